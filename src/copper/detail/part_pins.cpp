#include "copper/detail/part_pins.h"

#include <algorithm>

namespace etchback::copper::detail {

namespace {

bool is_number(std::string_view name) {
    return !name.empty() && name.find_first_not_of("0123456789") == std::string_view::npos;
}

bool has_numbers(const dossier::Part& part) {
    return std::ranges::any_of(part.pins, is_number, &dossier::PinUse::pin) ||
           std::ranges::any_of(part.pads, is_number, &dossier::PadPlace::pin);
}

}  // namespace

bool same_pin(const parts::Kind* kind, std::string_view a, std::string_view b) {
    if (a == b) {
        return true;
    }
    const auto one = kind != nullptr ? kind->pin(a) : std::nullopt;
    return one && one == kind->pin(b);
}

std::optional<std::string> pin_numbered(const dossier::Part& part,
                                        const parts::Kind* kind,
                                        const std::string& number) {
    for (const dossier::PinUse& use : part.pins) {
        if (same_pin(kind, use.pin, number)) {
            return use.pin;
        }
    }
    for (const dossier::PadPlace& pad : part.pads) {
        if (same_pin(kind, pad.pin, number)) {
            return pad.pin;
        }
    }
    if (kind == nullptr || kind->open_pins) {
        // Whoever names the pins of a chip does not number them, too.
        const bool named = !part.pins.empty() || !part.pads.empty();
        return named && !has_numbers(part) ? std::nullopt : std::optional(number);
    }
    const auto known = kind->pin(number);
    return known ? std::optional(kind->pins[*known].name) : std::nullopt;
}

std::string as_in_pins(const dossier::Part& part, const parts::Kind* kind, const std::string& pin) {
    for (const dossier::PinUse& use : part.pins) {
        if (same_pin(kind, use.pin, pin)) {
            return use.pin;
        }
    }
    return pin;
}

std::string written_net(const dossier::Part& part, const parts::Kind* kind, std::string_view pin) {
    for (const dossier::PinUse& use : part.pins) {
        if (same_pin(kind, use.pin, pin)) {
            return use.net;
        }
    }
    return {};
}

}  // namespace etchback::copper::detail
