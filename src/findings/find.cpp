#include <algorithm>
#include <array>
#include <tuple>

#include "base/text.h"
#include "findings/detail/rules.h"
#include "findings/finding.h"

namespace etchback::findings {

std::string_view name_of(Severity severity) {
    static constexpr std::array<std::string_view, 4> names = {
        "danger", "warning", "weakness", "note"};
    return names[static_cast<std::size_t>(severity)];
}

std::string_view name_of(Confidence confidence) {
    static constexpr std::array<std::string_view, 3> names = {"certain", "likely", "possible"};
    return names[static_cast<std::size_t>(confidence)];
}

std::vector<Finding> find(const Subject& subject, const RuleTexts& texts) {
    static constexpr std::array rules = {
        detail::no_fuse,
        detail::no_inrush_limiting,
        detail::plug_capacitors,
        detail::dropper_capacitor_class,
        detail::y_position_class,
        detail::resistor_over_voltage,
        detail::resistor_over_power,
        detail::capacitor_over_voltage,
        detail::load_not_isolated,
        detail::claims_contradict,
        detail::readings_contradict_claims,
        detail::readings_disagree,
    };
    std::vector<Finding> found;
    const detail::Kit kit{subject,
                          texts,
                          blocks::mains_lines(subject.circuit, subject.dossier),
                          blocks::insulation(subject.circuit, subject.domains),
                          found};
    for (const auto& rule : rules) {
        rule(kit);
    }
    std::stable_sort(found.begin(), found.end(), [](const Finding& a, const Finding& b) {
        const auto ka = std::tie(a.severity, a.confidence);
        const auto kb = std::tie(b.severity, b.confidence);
        return ka != kb ? ka < kb : base::natural_less(a.id, b.id);
    });
    return found;
}

}  // namespace etchback::findings
