#include <algorithm>

#include "base/text.h"
#include "drawing/detail/shapes.h"

namespace etchback::drawing::detail {
namespace {

bool has_alias(const circuit::Part& part, std::size_t pin, std::string_view name) {
    if (pin >= part.kind.pins.size()) {
        return false;
    }
    const std::vector<std::string>& aliases = part.kind.pins[pin].aliases;
    return std::any_of(aliases.begin(), aliases.end(), [&](const std::string& alias) {
        return base::lowered(alias) == name;
    });
}

}  // namespace

int find_pin(const circuit::Part& part, std::initializer_list<std::string_view> names) {
    for (const std::string_view name : names) {
        for (std::size_t i = 0; i < part.pins.size(); ++i) {
            if (base::lowered(part.pins[i].name) == name) {
                return static_cast<int>(i);
            }
        }
    }
    for (const std::string_view name : names) {
        for (std::size_t i = 0; i < part.pins.size(); ++i) {
            if (has_alias(part, i, name)) {
                return static_cast<int>(i);
            }
        }
    }
    return -1;
}

std::vector<int> by_height(std::vector<int> pins, std::span<const double> pin_height) {
    const auto height = [&](int pin) {
        const auto i = static_cast<std::size_t>(pin);
        return i < pin_height.size() ? pin_height[i] : 0.0;
    };
    std::stable_sort(pins.begin(), pins.end(), [&](int a, int b) { return height(a) > height(b); });
    return pins;
}

std::optional<Ends> ends_of(const circuit::Part& part) {
    if (part.pins.size() != 2) {
        return std::nullopt;
    }
    int first = find_pin(part, {"anode", "+", "plus", "positive"});
    for (int i = 0; first < 0 && i < 2; ++i) {
        if (part.pins[static_cast<std::size_t>(i)].role == parts::PinRole::positive) {
            first = i;
        }
    }
    first = std::max(first, 0);
    return Ends{first, 1 - first};
}

}  // namespace etchback::drawing::detail
