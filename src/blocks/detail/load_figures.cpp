// Figures of loads: droppers, LED strings, fuses.
#include <algorithm>
#include <cmath>

#include "base/text.h"
#include "blocks/detail/knowledge.h"
#include "blocks/detail/topics.h"
#include "blocks/droppers.h"
#include "blocks/kinds.h"

namespace etchback::blocks::detail {
namespace {

std::string number(double n) {
    return text_of(n, base::Unit::none);
}

void dropper_rms(Topic& topic, const Dropper& d) {
    const circuit::Part& part = topic.circuit[d.capacitor];
    auto f = figure("dropper_rms." + part.name,
                    "Mains current through the dropper " + part.name + ", upper bound",
                    "I",
                    d.current_a_rms,
                    base::Unit::ampere);
    f.formula = "I = 2·π·f·C·Umax";
    f.worked = "I = 2 · π · " + text_of(topic.mains.high_hz, base::Unit::hertz) + " · " +
               text_of(d.capacitance_f, base::Unit::farad) + " · " + volts(topic.mains.high_v_rms);
    f.source = "reactance of a capacitor; the load taken as a short circuit";
    f.assumed = topic.mains.voltage_assumed || topic.mains.frequency_assumed ||
                is_doubtful(part, {"value"});
    f.parts = {part.name};
    f.evidence = topic.mains.evidence;
    f.evidence.push_back(evidence_of(part, base::to_text(part.said.value->value)));
    topic.out.push_back(std::move(f));
}

void dropper_load(Topic& topic, const Dropper& d) {
    if (!d.load_current_a) {
        return;
    }
    const circuit::Part& part = topic.circuit[d.capacitor];
    const circuit::Part& load = topic.circuit[d.limits.front().part];
    auto f = figure(
        "dropper_current." + part.name,
        "Mean current that the dropper " + part.name + " gives its load at the mains' upper limit",
        "I",
        *d.load_current_a,
        base::Unit::ampere);
    f.formula = d.full_wave ? "I = 4·f·C·(Û - Uo - 2·Uf)" : "I = f·C·(2·Û - Uo - 2·Uf)";
    f.worked = std::string(d.full_wave ? "I = 4 · " : "I = ") +
               text_of(topic.mains.high_hz, base::Unit::hertz) + " · " +
               text_of(d.capacitance_f, base::Unit::farad) + " · (" + (d.full_wave ? "" : "2 · ") +
               volts(topic.mains.high_v_peak) + " - " + volts(d.limits.front().volts) + " - 1.4 V)";
    f.source = "charge balance of the dropper; series resistors neglected";
    f.assumed = topic.mains.voltage_assumed || topic.mains.frequency_assumed ||
                is_doubtful(part, {"value"});
    f.parts = {part.name, load.name};
    f.evidence = topic.mains.evidence;
    f.evidence.push_back(evidence_of(part, base::to_text(part.said.value->value)));
    f.evidence.push_back(evidence_of(load, volts(d.limits.front().volts)));
    topic.out.push_back(f);

    auto p = figure("led_power." + load.name,
                    "Power in " + load.name + " at the mains' upper limit",
                    "P",
                    d.limits.front().volts * *d.load_current_a,
                    base::Unit::watt);
    p.formula = "P = Uo·I";
    p.worked = "P = " + volts(d.limits.front().volts) + " · " +
               text_of(*d.load_current_a, base::Unit::ampere);
    p.source = "definition";
    p.assumed = f.assumed;
    p.parts = f.parts;
    p.evidence = f.evidence;
    if (d.limits.front().is_led) {
        topic.out.push_back(std::move(p));
    }
}

// The largest supply current among the readings.
const dossier::Reading* largest_current(const dossier::Dossier& dossier) {
    const dossier::Reading* best = nullptr;
    for (const dossier::Reading& r : dossier.readings) {
        if (base::lowered(r.quantity.value) == "supply current" &&
            (best == nullptr || r.value.value.value > best->value.value.value)) {
            best = &r;
        }
    }
    return best;
}

// As stated, or the fuse's own value; 0 where neither is known.
double rated_current_a(const circuit::Part& part) {
    if (part.said.rated_current) {
        return part.said.rated_current->value.value;
    }
    return part.kind.value_unit == base::Unit::ampere ? part.value().value_or(0.0) : 0.0;
}

}  // namespace

void dropper_figures(Topic& topic) {
    for (const Dropper& d : droppers(topic.circuit, topic.domains, topic.mains)) {
        dropper_rms(topic, d);
        dropper_load(topic, d);
    }
}

void led_figures(Topic& topic) {
    for (const circuit::Part& part : topic.circuit.parts) {
        const auto knee = is_led_string(part) ? led_knee_v(part) : std::nullopt;
        if (!knee) {
            continue;
        }
        auto f = figure("led_knee." + part.name,
                        "Voltage of the LED string " + part.name + " when lit",
                        "U",
                        *knee,
                        base::Unit::volt);
        f.formula = "U = n·Vf";
        f.worked = "U = " + number(property(part, "count").value_or(1.0)) + " · " +
                   volts(property(part, "forward_voltage").value_or(*knee));
        f.source = "definition";
        f.assumed = is_doubtful(part, {"count", "forward_voltage", "properties", "value"});
        f.parts = {part.name};
        f.evidence = {evidence_of(part, "count and forward voltage")};
        topic.out.push_back(std::move(f));
    }
}

void fuse_figures(Topic& topic) {
    const dossier::Reading* current = largest_current(topic.dossier);
    for (const circuit::Part& part : topic.circuit.parts) {
        const double rated = rated_current_a(part);
        const auto both = ends(part);
        const bool in_line =
            both && ((topic.mains.on_live(both->first) && topic.mains.on_live(both->second)) ||
                     (topic.mains.on_neutral(both->first) && topic.mains.on_neutral(both->second)));
        if (current == nullptr || !is_fuse(part) || rated <= 0.0 || !in_line) {
            continue;
        }
        auto f = figure("fuse_load." + part.name,
                        "Supply current as a share of the rated current of " + part.name,
                        "k",
                        100.0 * current->value.value.value / rated,
                        base::Unit::percent);
        f.formula = "k = I/In";
        f.worked = "k = " + text_of(current->value.value.value, base::Unit::ampere) + "/" +
                   text_of(rated, base::Unit::ampere);
        f.source = "definition";
        f.assumed = is_doubtful(part, {"value", "rated_current"});
        f.parts = {part.name};
        f.evidence = {evidence_of(part, text_of(rated, base::Unit::ampere)),
                      {base::Evidence::Kind::reading,
                       "supply current",
                       base::to_text(current->value.value),
                       current->place}};
        topic.out.push_back(std::move(f));
    }
}

}  // namespace etchback::blocks::detail
