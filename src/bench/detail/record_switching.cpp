// Figures of a converter's waveforms: switching, ripple, ringing.
#include <fmt/format.h>

#include <cmath>

#include "base/text.h"
#include "bench/detail/record_parts.h"

namespace etchback::bench::detail {
namespace {

using base::Unit;

void add_course(Record& record, const SwitchingSeen& seen) {
    if (!seen.course) {
        return;
    }
    Builder b(record);
    const FrequencyCourse& course = *seen.course;
    b.add("switching_frequency_least." + seen.channel,
          "Lowest switching frequency of " + seen.channel + ", at " +
              base::to_engineering(course.least_at_s, Unit::second, {3, false}),
          "f",
          course.least_hz,
          Unit::hertz,
          "stretches of ten periods",
          false);
    b.add("switching_frequency_largest." + seen.channel,
          "Highest switching frequency of " + seen.channel + ", at " +
              base::to_engineering(course.largest_at_s, Unit::second, {3, false}),
          "f",
          course.largest_hz,
          Unit::hertz,
          "stretches of ten periods",
          false);
    if (record.wave->dt_s * static_cast<double>(record.wave->size()) < 8e-3) {
        record.warnings.push_back(
            "The record is shorter than half a cycle of the mains: the range of the switching "
            "frequency is that of its stretch.");
    }
}

void add_switching_of(Record& record, const Channel& channel) {
    const auto s = find_switching(channel.value, record.wave->dt_s);
    if (!s) {
        return;
    }
    SwitchingSeen seen{channel.name, *s, frequency_course(*s, record.wave->dt_s)};
    Builder b(record);
    b.add("switching_frequency." + channel.name,
          "Switching frequency of " + channel.name,
          "f",
          s->frequency_hz,
          Unit::hertz,
          "definition",
          false);
    b.add("duty." + channel.name,
          "Share of the time above the middle, " + channel.name,
          "D",
          s->duty,
          Unit::none,
          "definition",
          false);
    add_course(record, seen);
    record.switching.push_back(std::move(seen));
}

// Inductance that the dossier gives to what rings, by the words of `what`.
struct KnownInductance {
    Estimate henry;
    std::string part, words;
};
std::optional<KnownInductance> known_inductance(const dossier::Dossier& dossier,
                                                const Record& record) {
    const bool leakage = has_word(record.what, {"leakage"});
    const bool magnetising = has_word(record.what, {"magnetising", "magnetizing", "idle"});
    for (const dossier::Part& part : dossier.parts) {
        const dossier::Amount* amount = nullptr;
        if (leakage && part.leakage) {
            amount = &*part.leakage;
        } else if (magnetising && !part.windings.empty() && part.windings[0].inductance) {
            amount = &*part.windings[0].inductance;
        }
        if (amount != nullptr && part.fitted) {
            const base::Quantity& q = amount->value;
            // A range is taken at k = 2; else a tenth, as inductances are known (common practice).
            const double half = q.high > q.low ? 0.5 * (q.high - q.low) : 0.1 * q.value;
            return KnownInductance{
                {q.value, 0.5 * half},
                part.name,
                leakage ? "leakage of " + part.name : "first winding of " + part.name};
        }
    }
    return std::nullopt;
}

void add_both(Record& record, const Resonance& resonance) {
    Builder b(record);
    b.add("node_capacitance",
          "Capacitance of what rings",
          "C",
          resonance.capacitance_f,
          Unit::farad,
          "C_added/((f/f_added)² − 1)",
          false);
    b.add("ringing_inductance",
          "Inductance of what rings",
          "L",
          resonance.inductance_h,
          Unit::henry,
          "1/((2·π·f)²·C)",
          false);
}

}  // namespace

void add_switching(Record& record, const MainsSetup& setup) {
    Builder b(record);
    for (const Channel& channel : record.wave->channels) {
        const Ripple ripple = ripple_of(channel.value);
        const double u_gain =
            channel.unit == Unit::ampere ? setup.current.u_gain : setup.voltage.u_gain;
        b.add("mean." + channel.name,
              "Mean of " + channel.name,
              "",
              {ripple.mean, u_gain * std::abs(ripple.mean)},
              channel.unit,
              "definition");
        b.add("ripple." + channel.name,
              "Ripple of " + channel.name + ", peak to peak",
              "",
              {ripple.peak_to_peak, u_gain * ripple.peak_to_peak},
              channel.unit,
              "definition");
        if (!has_word(record.what, {"ripple"})) {
            add_switching_of(record, channel);
        }
    }
}

void add_ringing(Record& record, const Channel& channel) {
    const After edge = has_word(record.what, {"turn-on", "fall"}) ? After::fall : After::rise;
    record.ringing = ringing_after(channel.value, record.wave->dt_s, edge);
    if (!record.ringing) {
        record.warnings.push_back("No ringing of three or more edges stands out alike.");
        return;
    }
    Builder b(record);
    b.add("ringing_frequency",
          "Frequency of the ringing",
          "f",
          record.ringing->frequency_hz,
          Unit::hertz,
          "least squares",
          false);
    b.add("ringing_decay",
          "Time constant of its decay",
          "τ",
          record.ringing->decay_s,
          Unit::second,
          "least squares",
          false);
    b.add(
        "ringing_damping",
        "Damping ratio",
        "ζ",
        {record.ringing->damping_ratio,
         record.ringing->damping_ratio * record.ringing->decay_s.u / record.ringing->decay_s.value},
        Unit::none,
        "1/(τ·ω₀)",
        false);
}

void add_resonances(std::vector<Record>& records, const dossier::Dossier& dossier) {
    for (Record& alone : records) {
        if (!alone.ringing || alone.added_capacitance_f) {
            continue;
        }
        for (const Record& with : records) {
            if (with.ringing && with.added_capacitance_f && with.between == alone.between &&
                with.ringing->frequency_hz.value < alone.ringing->frequency_hz.value) {
                add_both(alone,
                         resonance_of(alone.ringing->frequency_hz,
                                      with.ringing->frequency_hz,
                                      *with.added_capacitance_f));
            }
        }
        if (const auto known = known_inductance(dossier, alone)) {
            Builder(alone).add("node_capacitance_by_inductance",
                               "Capacitance of what rings, with the " + known->words,
                               "C",
                               other_of_resonance(alone.ringing->frequency_hz, known->henry),
                               Unit::farad,
                               "1/((2·π·f)²·L)",
                               false);
        }
    }
}

}  // namespace etchback::bench::detail
