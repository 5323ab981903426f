#include "parts/kind.h"

#include <algorithm>

#include "base/text.h"

namespace etchback::parts {
namespace {

bool is_called(const PinSpec& pin, std::string_view name) {
    const auto same = [&](const std::string& word) {
        return base::lowered(word) == base::lowered(name);
    };
    return same(pin.name) || std::any_of(pin.aliases.begin(), pin.aliases.end(), same);
}

}  // namespace

std::optional<std::size_t> Kind::pin(std::string_view name) const {
    const std::string_view word = base::trimmed(name);
    for (std::size_t i = 0; i < pins.size(); ++i) {
        if (is_called(pins[i], word)) {
            return i;
        }
    }
    return std::nullopt;
}

std::string_view name_of(PinRole role) {
    switch (role) {
        case PinRole::passive:
            return "passive";
        case PinRole::positive:
            return "positive";
        case PinRole::negative:
            return "negative";
        case PinRole::input:
            return "input";
        case PinRole::output:
            return "output";
        case PinRole::supply:
            return "supply";
        case PinRole::ground:
            return "ground";
        case PinRole::line:
            return "line";
        case PinRole::earth:
            return "earth";
    }
    return "passive";
}

std::string_view name_of(Coupling coupling) {
    switch (coupling) {
        case Coupling::conductive:
            return "conductive";
        case Coupling::capacitive:
            return "capacitive";
        case Coupling::magnetic:
            return "magnetic";
        case Coupling::optical:
            return "optical";
        case Coupling::gap:
            return "gap";
        case Coupling::none:
            return "none";
    }
    return "none";
}

}  // namespace etchback::parts
