#include "copper/detail/part_pins.h"

namespace etchback::copper::detail {

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
        return number;
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
