#include "drawing/symbol.h"

#include <algorithm>

#include "drawing/detail/path.h"
#include "drawing/detail/pen.h"
#include "drawing/detail/shapes.h"

namespace etchback::drawing {
namespace {

std::vector<detail::ShapeRow> all_shapes() {
    std::vector<detail::ShapeRow> all;
    for (const auto rows : {detail::passive_shapes(),
                            detail::diode_shapes(),
                            detail::transistor_shapes(),
                            detail::winding_shapes(),
                            detail::chip_shapes(),
                            detail::terminal_shapes(),
                            detail::contact_shapes()}) {
        all.insert(all.end(), rows.begin(), rows.end());
    }
    return all;
}

// The part with its drawn pins only, and where each was.
struct Visible {
    circuit::Part part;
    std::vector<int> pins;
    std::vector<double> height;
};

Visible visible(const circuit::Part& part, std::span<const double> pin_height) {
    Visible result{part, {}, {}};
    result.part.pins.clear();
    result.part.kind.pins.clear();
    for (std::size_t i = 0; i < part.pins.size(); ++i) {
        if (!is_drawn(part, i)) {
            continue;
        }
        result.part.pins.push_back(part.pins[i]);
        if (i < part.kind.pins.size()) {
            result.part.kind.pins.push_back(part.kind.pins[i]);
        }
        result.pins.push_back(static_cast<int>(i));
        result.height.push_back(i < pin_height.size() ? pin_height[i] : 0.0);
    }
    return result;
}

// A shape finds its pins by name; one that found a pin twice or missed one is not used.
bool has_every_pin_once(const Symbol& symbol, std::size_t count) {
    std::vector<bool> seen(count, false);
    for (const SymbolPin& pin : symbol.pins) {
        const auto i = static_cast<std::size_t>(pin.pin);
        if (i >= count || seen[i]) {
            return false;
        }
        seen[i] = true;
    }
    return symbol.pins.size() == count;
}

Symbol drawn(const detail::Request& request) {
    for (const detail::ShapeRow& row : all_shapes()) {
        if (row.id != request.id) {
            continue;
        }
        const std::optional<Symbol> symbol = row.shape(request);
        if (symbol && has_every_pin_once(*symbol, request.part.pins.size())) {
            return *symbol;
        }
    }
    return detail::box_shape({"box", request.part, request.standard, request.pin_height});
}

}  // namespace

bool is_drawn(const circuit::Part& part, std::size_t pin) {
    const bool optional = pin < part.kind.pins.size() && part.kind.pins[pin].optional;
    return !optional || part.pins[pin].net.known();
}

Symbol symbol_of(const circuit::Part& part, Standard standard, std::span<const double> pin_height) {
    const Visible seen = visible(part, pin_height);
    Symbol symbol = drawn({part.kind.symbol, seen.part, standard, seen.height});
    for (SymbolPin& pin : symbol.pins) {
        pin.pin = seen.pins[static_cast<std::size_t>(pin.pin)];
    }
    return symbol;
}

std::vector<std::string> symbol_ids() {
    std::vector<std::string> ids{"box"};
    for (const detail::ShapeRow& row : all_shapes()) {
        ids.emplace_back(row.id);
    }
    std::sort(ids.begin(), ids.end());
    return ids;
}

}  // namespace etchback::drawing
