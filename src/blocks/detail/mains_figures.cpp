#include <algorithm>
#include <cmath>

#include "base/text.h"
#include "blocks/detail/knowledge.h"
#include "blocks/detail/topics.h"
#include "blocks/discharge.h"
#include "blocks/kinds.h"

namespace etchback::blocks::detail {
namespace {

constexpr double nothing_v = 1e-6;  // what is left below this is nothing
constexpr double startle_j = 0.01;  // below this a charged capacitor is not worth a line

void peak(Topic& topic) {
    auto f = figure("mains_peak",
                    "Crest of the mains at its upper limit",
                    "Û",
                    topic.mains.high_v_peak,
                    base::Unit::volt);
    f.formula = "Û = √2 · Umax";
    f.worked = "Û = 1.41421 · " + volts(topic.mains.high_v_rms);
    f.source = "definition of the RMS value of a sine";
    f.assumed = topic.mains.voltage_assumed;
    f.evidence = topic.mains.evidence;
    topic.out.push_back(std::move(f));
}

void rest_on(base::Figure& f, const Topic& topic, const PlugCapacitor& c) {
    f.parts = c.with;
    f.assumed = topic.mains.voltage_assumed;
    f.evidence = topic.mains.evidence;
    const auto add = [&](const circuit::Part& part) {
        f.evidence.push_back(evidence_of(part, base::to_text(part.said.value->value)));
        f.assumed = f.assumed || is_doubtful(part, {"value"});
    };
    add(topic.circuit[c.capacitor]);
    for (const circuit::PartId id : c.bleeders) {
        add(topic.circuit[id]);
        f.parts.push_back(topic.circuit[id].name);
    }
}

void residual(Topic& topic, const PlugCapacitor& c, double seconds, const std::string& id) {
    const std::string& name = topic.circuit[c.capacitor].name;
    const std::string after = seconds == 1.0 ? "1 s" : "2 s";
    const double left = c.after_v(seconds);
    auto f =
        figure(id + "." + name,
               "Voltage of " + base::listed(c.with) + " " + after + " after the plug is pulled",
               "U",
               left < nothing_v ? 0.0 : left,
               base::Unit::volt);
    if (c.bleed_ohm > 0.0) {
        f.formula = "U = Û·exp(-t/(R·C))";
        f.worked = "U = " + volts(c.start_v) + " · exp(-" + after + "/(" +
                   text_of(c.bleed_ohm, base::Unit::ohm) + " · " +
                   text_of(c.total_f, base::Unit::farad) + "))" +
                   (left < nothing_v ? ": below 1 µV" : "");
        f.source = "exponential discharge";
    } else {
        f.formula = "U = Û";
        f.worked = c.other_path.empty() ? "U = " + volts(c.start_v) +
                                              ": no path found; it does not discharge by itself"
                                        : "U = 0 V: " + c.other_path + " discharges it";
        f.source = "no resistive path in the circuit";
    }
    rest_on(f, topic, c);
    topic.out.push_back(std::move(f));
}

void discharge(Topic& topic) {
    for (const PlugCapacitor& c : plug_capacitors(topic.circuit, topic.domains, topic.mains)) {
        residual(topic, c, 1.0, "residual");
        residual(topic, c, 2.0, "residual_2s");
        if (c.bleed_ohm <= 0.0) {
            continue;
        }
        const std::string& name = topic.circuit[c.capacitor].name;
        auto f =
            figure("bleed_time." + name,
                   "Time for " + base::listed(c.with) + " to fall to 60 V after the plug is pulled",
                   "t",
                   c.time_to_s(60.0),
                   base::Unit::second);
        f.formula = "t = R·C·ln(Û/60 V)";
        f.worked = "t = " + text_of(c.bleed_ohm, base::Unit::ohm) + " · " +
                   text_of(c.total_f, base::Unit::farad) + " · ln(" + volts(c.start_v) + "/60 V)";
        f.source = "exponential discharge";
        rest_on(f, topic, c);
        topic.out.push_back(std::move(f));
    }
}

// What a capacitor above 60 V holds: it bites long after the plug is out.
void energy(Topic& topic) {
    for (const circuit::Part& part : topic.circuit.parts) {
        const auto both = is_capacitor(part) && part.value() ? ends(part) : std::nullopt;
        const VoltageBetween* v =
            both ? topic.voltages.between(both->first, both->second) : nullptr;
        if (v == nullptr || v->alternating || v->working_v_peak < 60.0) {
            continue;
        }
        const double joules = 0.5 * *part.value() * v->working_v_peak * v->working_v_peak;
        if (joules < startle_j) {
            continue;
        }
        auto f = figure("stored_energy." + part.name,
                        "Energy in " + part.name + " when charged",
                        "W",
                        joules,
                        base::Unit::joule);
        f.formula = "W = C·U²/2";
        f.worked = "W = " + text_of(*part.value(), base::Unit::farad) + " · (" +
                   volts(v->working_v_peak) + ")²/2";
        f.source = "definition";
        f.parts = {part.name};
        f.assumed = v->figure.assumed || is_doubtful(part, {"value"});
        f.evidence = v->figure.evidence;
        f.evidence.push_back(evidence_of(part, base::to_text(part.said.value->value)));
        topic.out.push_back(std::move(f));
    }
}

}  // namespace

void mains_figures(Topic& topic) {
    if (topic.mains.found()) {
        peak(topic);
        discharge(topic);
    }
    energy(topic);
}

}  // namespace etchback::blocks::detail
