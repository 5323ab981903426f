#include "blocks/figures.h"

#include <algorithm>

#include "base/text.h"
#include "blocks/detail/knowledge.h"
#include "blocks/detail/topics.h"
#include "blocks/kinds.h"

namespace etchback::blocks {
namespace detail {

std::string text_of(double value, base::Unit unit) {
    return base::to_engineering(value, unit, {.digits = 4});
}

std::string in_ohms(double r) {
    return text_of(r, base::Unit::ohm);
}

std::string joined(const circuit::Circuit& circuit,
                   const std::vector<circuit::PartId>& parts,
                   std::string_view joint) {
    std::string text;
    for (const circuit::PartId id : parts) {
        text += (text.empty() ? "" : std::string(joint)) + circuit[id].name;
    }
    return text;
}

void rest_on(base::Figure& f,
             const circuit::Circuit& circuit,
             const std::vector<circuit::PartId>& parts) {
    for (const circuit::PartId id : parts) {
        const circuit::Part& part = circuit[id];
        f.parts.push_back(part.name);
        f.evidence.push_back(
            evidence_of(part, part.said.value ? base::to_text(part.said.value->value) : ""));
        f.assumed = f.assumed || is_doubtful(part, {"value"});
    }
}

bool is_tap(const circuit::Circuit& circuit, circuit::NetId net) {
    const auto& pins = circuit[net].pins;
    return std::any_of(pins.begin(), pins.end(), [&](circuit::PinRef pin) {
        return is_high_impedance(circuit, pin) && !is_test_point(circuit[pin.part]);
    });
}

base::Figure figure(
    std::string id, std::string title, std::string symbol, double value, base::Unit unit) {
    base::Figure f;
    f.id = std::move(id);
    f.title = std::move(title);
    f.symbol = std::move(symbol);
    f.value = value;
    f.unit = unit;
    return f;
}

void voltage_figures(Topic& topic) {
    for (const VoltageBetween& v : topic.voltages.known) {
        topic.out.push_back(v.figure);
        if (!v.single_fault_v_peak) {
            continue;
        }
        base::Figure f = v.figure;
        const auto dot = f.id.find('.');
        f.id = "voltage_in_fault" + f.id.substr(dot);
        f.title = "Voltage between " + f.nets[0] + " and " + f.nets[1] + " with one fault";
        f.value = *v.single_fault_v_peak;
        f.formula = "by the limit that is left";
        f.worked = v.fault_because;
        topic.out.push_back(std::move(f));
    }
}

}  // namespace detail

std::vector<base::Figure> structure_figures(const circuit::Circuit& circuit,
                                            const circuit::Domains& domains,
                                            const std::vector<circuit::Reduction>& reductions,
                                            const Voltages& voltages,
                                            const dossier::Dossier& dossier) {
    std::vector<base::Figure> out;
    detail::Topic topic{circuit, domains, voltages, dossier, mains_lines(circuit, dossier), out};
    detail::mains_figures(topic);
    for (const circuit::Reduction& r : reductions) {
        out.push_back(r.figure);
    }
    detail::divider_figures(topic);
    detail::time_figures(topic);
    detail::dropper_figures(topic);
    detail::led_figures(topic);
    detail::voltage_figures(topic);
    detail::resistor_figures(topic);
    detail::fuse_figures(topic);
    for (base::Figure& f : out) {
        detail::name_doubts(f, circuit);
    }
    const auto topic_of = [](const base::Figure& f) { return f.id.substr(0, f.id.find('.')); };
    std::stable_sort(out.begin(), out.end(), [&](const base::Figure& a, const base::Figure& b) {
        const auto ta = topic_of(a);
        const auto tb = topic_of(b);
        return ta != tb ? ta < tb : base::natural_less(a.id, b.id);
    });
    return out;
}

}  // namespace etchback::blocks
