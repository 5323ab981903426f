#include "bench/plan.h"

#include <fmt/format.h>

#include <algorithm>
#include <optional>

#include "base/text.h"
#include "bench/record.h"

namespace etchback::bench {
namespace {

using base::Unit;
using Simulated = std::map<std::string, SimulatedValue>;

// Expected values of a quantity: what is claimed, and what was simulated.
std::vector<std::string> expected(const dossier::Dossier& dossier,
                                  const Simulated& simulated,
                                  std::initializer_list<const char*> quantities) {
    std::vector<std::string> lines;
    for (const char* quantity : quantities) {
        for (const dossier::Claim& claim : dossier.claims) {
            if (claim.quantity.value == quantity) {
                lines.push_back(
                    fmt::format("{}: {} (claimed)", quantity, base::to_text(claim.value.value)));
            }
        }
        std::string id = quantity;
        std::replace(id.begin(), id.end(), ' ', '_');
        for (const auto& [name, value] : simulated) {
            if (name == id || name.rfind(id + ".", 0) == 0) {
                const std::string of = name == id ? "" : " of " + name.substr(id.size() + 1);
                lines.push_back(fmt::format("{}{}: {} (simulated)",
                                            quantity,
                                            of,
                                            base::to_engineering(value.value, value.unit)));
            }
        }
    }
    return lines;
}

// The most power that the item should draw, from simulation or from claims.
std::optional<double> expected_power(const dossier::Dossier& dossier, const Simulated& simulated) {
    if (const auto found = simulated.find("input_power"); found != simulated.end()) {
        return found->second.value;
    }
    std::optional<double> output;
    for (const dossier::Claim& claim : dossier.claims) {
        if (claim.quantity.value == "input power") {
            return claim.value.value.high;
        }
        if (claim.quantity.value == "output power") {
            output = claim.value.value.high / 0.8;  // of a usual small converter
        }
    }
    return output;
}

bool is_mains(const dossier::Dossier& dossier) {
    return dossier.supply.kind == dossier::Supply::Kind::ac;
}

// Capacitors that can hold a charge worth a caution.
std::vector<std::string> holders(const dossier::Dossier& dossier) {
    std::vector<std::string> names;
    for (const dossier::Part& part : dossier.parts) {
        const bool capacitor =
            base::lowered(part.kind.value).find("capacitor") != std::string::npos;
        const double farad = part.value ? part.value->value.value : 0.0;
        const double volt = part.rated_voltage ? part.rated_voltage->value.value : 0.0;
        if (capacitor && part.fitted && (farad >= 90e-9 && (volt >= 100.0 || volt == 0.0))) {
            names.push_back(part.name);
        }
    }
    std::sort(names.begin(), names.end(), base::natural_less);
    return names;
}

std::string discharge_words(const dossier::Dossier& dossier) {
    const auto names = holders(dossier);
    return names.empty()
               ? "Capacitors stay charged after the plug is pulled: measure before touching."
               : "Before touching, discharge " + base::listed(names) +
                     " through some kilohms and measure that they are empty: a bleeder may be "
                     "open.";
}

PlanStep look_step(const dossier::Dossier& dossier) {
    PlanStep step;
    step.title = "Look, with the plug out";
    step.doing = {
        "Look for bulged, leaking or burnt parts, cracked joints, bridges of solder, and loose "
        "strands.",
        "Compare the dossier with the board once more: polarities first."};
    step.cautions = {discharge_words(dossier)};
    step.stop = "Do not go on with damage that is not understood.";
    return step;
}

PlanStep insulation_step() {
    PlanStep step;
    step.title = "Insulation resistance, off-line";
    step.doing = {
        "Join live and neutral; measure with 500 V direct against all that can be touched and "
        "against the output.",
        "Also measure live against neutral with an ohmmeter."};
    step.cautions = {"The tester's 500 V stays on capacitors: discharge after each measurement.",
                     "Parts that bridge to earth or limit surges (varistors) conduct: know them "
                     "before judging."};
    step.expected = {
        "insulation resistance: some megohms at least; dry and clean, hundreds (common practice)",
        "live to neutral: no short; a bulk capacitor charges slowly"};
    step.stop =
        "Below 2 MΩ (common practice for double insulation): clean, dry, find out why, and do not "
        "apply power.";
    return step;
}

PlanStep first_power_step(const dossier::Dossier& dossier, const Simulated& simulated) {
    PlanStep step;
    step.title = "First power, limited";
    const auto power = expected_power(dossier, simulated);
    if (is_mains(dossier)) {
        const double lamp = std::max(25.0, 3.0 * power.value_or(20.0));
        step.doing = {
            "Feed it from an isolating transformer through a variable transformer, an electronic "
            "supply with "
            "current limit, or a filament lamp in series" +
                fmt::format(" (about {:.0f} W here).", lamp),
            "Connect its usual load first, raise the voltage slowly, and keep one hand away."};
        step.cautions = {
            "An isolating transformer is no licence to touch: a second contact, or one grounded "
            "instrument, closes the circuit.",
            "No probe with a grounded shell on the mains side: use a differential probe or an "
            "isolated instrument.",
            "A converter that sees a low voltage may draw more current, tick, or not start: no "
            "reason to push on."};
    } else {
        step.doing = {
            "Feed it from a bench supply with a current limit a little above the expected "
            "current."};
    }
    step.cautions.push_back("Wear eye protection: capacitors and fuses may burst.");
    if (is_lighting(dossier)) {
        step.cautions.push_back(
            "Bright light: cover the LEDs or turn them away; do not look into them.");
    }
    step.expected = expected(dossier, simulated, {"supply current", "input power"});
    step.stop = power ? fmt::format(
                            "Stop at twice the expected power ({}), at smell, smoke or noise, or "
                            "where a series lamp stays bright.",
                            base::to_engineering(2.0 * *power, Unit::watt))
                      : "Stop at smell, smoke or noise, or where a series lamp stays bright.";
    return step;
}

PlanStep reading_step(const dossier::Dossier& dossier, const Simulated& simulated) {
    PlanStep step;
    step.title = "Readings at the supply";
    step.doing = {"Let it warm up for 20 to 30 minutes at its usual load.",
                  "Write down voltage, current, power and power factor at one moment, as one group "
                  "of readings, with the meter's name."};
    step.cautions = {
        "Hot parts: heat sinks, rectifiers, transformers and dropper resistors burn fingers; heat "
        "sinks may be live."};
    step.expected = expected(
        dossier, simulated, {"supply voltage", "supply current", "input power", "power factor"});
    step.stop =
        "Stop where a part is too hot to have a finger on after the plug is pulled and it is "
        "discharged.";
    return step;
}

PlanStep output_step(const dossier::Dossier& dossier, const Simulated& simulated) {
    PlanStep step;
    step.title = "Readings at the output";
    step.doing = {
        "With the plug out and all discharged, clip the meter on; plug in, read, pull out, "
        "discharge."};
    step.cautions = {
        "An output that is not isolated is the mains: treat it so until the insulation is proved."};
    if (is_lighting(dossier)) {
        step.cautions.push_back(
            "Never disconnect LEDs from a running driver: its output rises, and stays charged.");
    }
    step.expected =
        expected(dossier, simulated, {"output voltage", "output current", "output power"});
    return step;
}

PlanStep waveform_step(const dossier::Dossier& dossier) {
    PlanStep step;
    step.title = "Waveforms";
    step.doing = {
        "Record supply voltage and current together, ten cycles, 10 000 samples a second or more, "
        "not clipped; save as CSV.",
        "Note the probes' attenuation, and the delay of a current probe."};
    if (is_lighting(dossier)) {
        step.doing.push_back(
            "Record the light with a photodiode for more than 1 s at 4000 samples a second or "
            "more; "
            "note what it reads in the dark.");
    }
    step.cautions = {
        "Probes on the mains side: differential or isolated, with the rating of the supply and its "
        "surges."};
    return step;
}

PlanStep end_step(const dossier::Dossier& dossier) {
    PlanStep step;
    step.title = "Afterwards";
    step.doing = {"Pull the plug, wait, discharge, measure."};
    step.cautions = {discharge_words(dossier)};
    return step;
}

}  // namespace

std::vector<PlanStep> bench_plan(const dossier::Dossier& dossier, const Simulated& simulated) {
    std::vector<PlanStep> steps = {look_step(dossier)};
    if (is_mains(dossier)) {
        steps.push_back(insulation_step());
    }
    steps.push_back(first_power_step(dossier, simulated));
    steps.push_back(reading_step(dossier, simulated));
    steps.push_back(output_step(dossier, simulated));
    steps.push_back(waveform_step(dossier));
    steps.push_back(end_step(dossier));
    return steps;
}

}  // namespace etchback::bench
