#include "findings/detail/placeholders.h"

#include <cassert>

namespace etchback::findings::detail {

std::vector<std::string> placeholders_in(std::string_view text) {
    std::vector<std::string> found;
    for (auto open = text.find('{'); open != std::string_view::npos;
         open = text.find('{', open + 1)) {
        const auto close = text.find('}', open);
        if (close == std::string_view::npos) {
            found.emplace_back(text.substr(open));
            break;
        }
        found.emplace_back(text.substr(open + 1, close - open - 1));
    }
    return found;
}

std::string filled(std::string_view text,
                   const std::map<std::string, std::string, std::less<>>& words) {
    std::string out;
    for (std::size_t at = 0; at < text.size();) {
        const auto open = text.find('{', at);
        const auto close = open == std::string_view::npos ? open : text.find('}', open);
        if (close == std::string_view::npos) {
            out += text.substr(at);
            break;
        }
        out += text.substr(at, open - at);
        const auto word = words.find(text.substr(open + 1, close - open - 1));
        assert(word != words.end());
        out += word != words.end() ? word->second : "";
        at = close + 1;
    }
    return out;
}

std::span<const TextSpec> text_specs() {
    static const std::vector<TextSpec> specs = {
        {"no_fuse", {"path", "instead"}},
        {"no_fuse.behind", {"path", "fuse"}},
        {"no_inrush_limiting", {"part", "value", "peak", "energy"}},
        {"no_inrush_limiting.dropper", {"part", "value", "peak"}},
        {"x_capacitor_without_bleed",
         {"parts", "part", "value", "peak", "lies", "where", "rc", "unless"}},
        {"x_capacitor_without_bleed.small",
         {"parts", "part", "value", "peak", "lies", "where", "limit", "unless"}},
        {"x_capacitor_slow_bleed",
         {"parts", "resistors", "resistance", "value", "after_1s", "after_2s", "verdict"}},
        {"dropper_capacitor_class", {"part", "kind", "rms"}},
        {"dropper_capacitor_class.across", {"part", "kind", "rms"}},
        {"y_position_class", {"part", "kind", "other_side"}},
        {"y_position_class.earth", {"part", "kind", "other_side"}},
        {"y_position_class.in_series", {"part", "kind", "other_side", "others"}},
        {"y_position_class.single_y2", {"part", "kind", "other_side"}},
        {"resistor_over_voltage", {"part", "seen", "limit", "limit_words", "because", "share"}},
        {"resistor_over_voltage.far", {"part", "seen", "limit", "limit_words", "because", "share"}},
        {"resistor_over_power", {"part", "power", "limit", "limit_words", "worked"}},
        {"capacitor_over_voltage", {"part", "is", "sees", "it", "seen", "rated", "because"}},
        {"capacitor_over_voltage.fault",
         {"part", "is", "sees", "it", "seen", "rated", "normal", "because"}},
        {"capacitor_over_voltage.bound", {"part", "is", "it", "seen", "rated", "because"}},
        {"capacitor_over_voltage.unlimited", {"part", "is", "sees", "rated", "normal", "because"}},
        {"capacitor_little_margin", {"part", "is", "has", "seen", "rated", "margin", "because"}},
        {"load_not_isolated", {"things", "are"}},
        {"load_not_isolated.current",
         {"things", "resistors", "resistance", "let", "stand", "current", "peak"}},
        {"load_not_isolated.single",
         {"things", "are", "resistors", "resistance", "keep", "current", "peak", "after"}},
        {"load_not_isolated.impedance",
         {"things", "are", "are_these", "resistors", "resistance", "current", "peak", "after"}},
        {"load_at_mains", {"part"}},
        {"claims_contradict", {"what", "why", "so"}},
        {"readings_contradict_claims", {"quantity", "claim", "where", "reading", "group", "gap"}},
        {"readings_contradict_claims.supply", {"claim", "where", "reading", "group", "side"}},
        {"readings_disagree", {"group", "why", "suspect"}},
        {"readings_disagree.more_out_than_in", {"group", "output", "input"}},
    };
    return specs;
}

}  // namespace etchback::findings::detail
