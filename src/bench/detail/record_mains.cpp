// Figures of the mains, of light, and of things that happen once.
#include "bench/detail/record_parts.h"

namespace etchback::bench::detail {
namespace {

using base::Unit;

constexpr const char* kIeee1459 = "IEEE Std 1459-2010, 3.1.2 (from memory)";

}  // namespace

void add_mains(
    Record& record, const Channel* v, const Channel* i, const MainsSetup& setup, bool lighting) {
    MainsFigures f =
        analyse_mains(v != nullptr ? std::span<const double>(v->value) : std::span<const double>{},
                      i != nullptr ? std::span<const double>(i->value) : std::span<const double>{},
                      record.wave->dt_s,
                      setup);
    if (f.cycles == 0.0 || f.frequency_hz.value < 40.0 || f.frequency_hz.value > 70.0) {
        return;
    }
    Builder b(record);
    b.add("frequency", "Frequency", "f", f.frequency_hz, Unit::hertz, "fit");
    if (v != nullptr) {
        b.add("voltage", "Voltage", "U", f.voltage.rms, Unit::volt, kIeee1459);
        b.add("voltage_peak", "Peak of the voltage", "û", f.voltage.peak, Unit::volt, "definition");
        b.add("voltage_thd",
              "Total distortion of the voltage",
              "THD",
              f.voltage.thd,
              Unit::none,
              kIeee1459);
    }
    if (i != nullptr) {
        b.add("current", "Current", "I", f.current.rms, Unit::ampere, kIeee1459);
        b.add("current_mean",
              "Direct part of the current",
              "I₀",
              f.current.mean,
              Unit::ampere,
              "definition");
        b.add(
            "current_peak", "Peak of the current", "î", f.current.peak, Unit::ampere, "definition");
        b.add("crest_factor",
              "Crest factor of the current",
              "CF",
              f.current.crest_factor,
              Unit::none,
              "definition");
        b.add("current_thd",
              "Total distortion of the current, all but the fundamental",
              "THD",
              f.current.thd,
              Unit::none,
              kIeee1459);
        b.add("current_thd_40",
              "Total distortion of the current, orders 2 to 40",
              "THD",
              f.current.thd_40,
              Unit::none,
              "IEC 61000-4-7 (from memory)");
    }
    if (v != nullptr && i != nullptr) {
        b.add("power", "Active power", "P", f.power_w, Unit::watt, kIeee1459);
        b.add("apparent_power", "Apparent power", "S", f.apparent_va, Unit::volt_ampere, kIeee1459);
        b.add("non_active_power", "Non-active power", "N", f.non_active_var, Unit::var, kIeee1459);
        b.add("reactive_power",
              "Reactive power of the fundamental",
              "Q₁",
              f.fundamental_reactive_var,
              Unit::var,
              kIeee1459);
        b.add("power_factor", "Power factor", "λ", f.power_factor, Unit::none, kIeee1459);
        b.add("displacement_factor",
              "Displacement factor",
              "cos φ₁",
              f.displacement_factor,
              Unit::none,
              kIeee1459);
        b.add("distortion_factor",
              "Distortion factor of the current",
              "I₁/I",
              f.distortion_factor,
              Unit::none,
              kIeee1459);
        record.limits = judge_harmonics(f, lighting);
    }
    record.warnings.insert(record.warnings.end(), f.warnings.begin(), f.warnings.end());
    record.mains = std::move(f);
}

void add_light(Record& record, const Channel& channel, bool zero_known) {
    LightFigures f = analyse_light(channel.value, record.wave->dt_s);
    Builder b(record);
    if (f.periodic) {
        b.add(
            "light_frequency", "Frequency of the flicker", "f", f.frequency_hz, Unit::hertz, "fit");
    }
    if (!f.cycle.empty()) {
        b.add("percent_flicker",
              "Percent flicker",
              "m",
              f.percent_flicker,
              Unit::percent,
              "IEEE Std 1789-2015, 4.2 (from memory)");
        b.add("flicker_index",
              "Flicker index",
              "FI",
              f.flicker_index,
              Unit::none,
              "IES Lighting Handbook (from memory)");
    }
    if (f.svm) {
        b.add("svm",
              "Stroboscopic visibility measure",
              "SVM",
              *f.svm,
              Unit::none,
              "CIE TN 006:2016 (from memory)");
    }
    record.warnings.insert(record.warnings.end(), f.warnings.begin(), f.warnings.end());
    if (!zero_known) {
        record.warnings.push_back("The zero of the light meter is taken as dark.");
    }
    record.flicker = light_flicker(channel.value, record.wave->dt_s);
    if (record.flicker) {
        b.add("pst_light",
              "Short-term flicker severity of the light",
              "PstLM",
              record.flicker->pst,
              Unit::none,
              "IEC TR 61547-1 (from memory)");
        if (record.flicker->span_s < 160.0) {
            record.warnings.push_back("PstLM asks for three minutes of light.");
        }
    }
    record.light = std::move(f);
}

void add_events(Record& record, const Channel* v, const Channel* i, const MainsSetup& setup) {
    Builder b(record);
    const double dt = record.wave->dt_s;
    const Channel& first = record.wave->channels.front();
    if (has_word(record.what, {"inrush"}) && i != nullptr) {
        if (const auto inrush = find_inrush(i->value, dt, setup.current.u_gain)) {
            b.add("inrush_peak",
                  "Peak of the inrush current",
                  "î",
                  inrush->peak_a,
                  Unit::ampere,
                  "definition");
            b.add("inrush_i2t",
                  "I²t of the inrush",
                  "I²t",
                  inrush->i2t_a2s,
                  Unit::ampere_squared_second,
                  "definition");
        }
    }
    if (has_word(record.what, {"start"})) {
        if (const auto time = start_up_time(v != nullptr ? v->value : first.value, dt)) {
            b.add("start_up",
                  "From the beginning of the record to 90 % of the last level",
                  "t",
                  *time,
                  Unit::second,
                  "definition",
                  false);
        }
    }
    if (has_word(record.what, {"hold-up", "hold up"}) && record.wave->channels.size() > 1) {
        if (const auto time = hold_up_time(first.value, record.wave->channels[1].value, dt)) {
            b.add("hold_up",
                  "From the loss of the supply until the output is below 90 %",
                  "t",
                  *time,
                  Unit::second,
                  "definition",
                  false);
        }
    }
    if (has_word(record.what, {"hiccup", "tick", "burst"})) {
        if (const auto period = hiccup_period(first.value, dt)) {
            b.add(
                "hiccup", "Period of the bursts", "T", *period, Unit::second, "definition", false);
        }
    }
}

}  // namespace etchback::bench::detail
