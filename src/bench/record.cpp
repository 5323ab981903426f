#include "bench/record.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/file.h"
#include "base/text.h"

namespace etchback::bench {
namespace {

using base::Unit;

bool has_word(const std::string& text, std::initializer_list<const char*> words) {
    const std::string low = base::lowered(text);
    return std::any_of(words.begin(), words.end(), [&](const char* word) {
        return low.find(word) != std::string::npos;
    });
}

// The channel of a unit, or else the first of those without unit whose name says so.
const Channel* channel_of(const Waveform& wave,
                          Unit unit,
                          std::initializer_list<const char*> names) {
    for (const Channel& channel : wave.channels) {
        if (channel.unit == unit) {
            return &channel;
        }
    }
    for (const Channel& channel : wave.channels) {
        if (channel.unit == Unit::none && has_word(channel.name, names)) {
            return &channel;
        }
    }
    return nullptr;
}

class Builder {
public:
    explicit Builder(Record& record) : record_(record) {}
    void add(const char* id,
             const char* title,
             const char* symbol,
             const Estimate& e,
             Unit unit,
             const char* source,
             bool assumed = true) {
        base::Figure figure;
        figure.id = fmt::format("{}.{}", id, record_.file);
        figure.title = title;
        figure.symbol = symbol;
        figure.value = e.value;
        figure.unit = unit;
        figure.uncertainty = e.u;
        figure.source = source;
        figure.assumed = assumed;
        figure.evidence.push_back({base::Evidence::Kind::reading, record_.file, record_.what, {}});
        record_.figures.push_back(std::move(figure));
    }

private:
    Record& record_;
};

constexpr const char* kIeee1459 = "IEEE Std 1459-2010, 3.1.2 (from memory)";

void add_mains(Record& record, const Channel* v, const Channel* i, double probe, bool lighting) {
    MainsSetup setup = usual_setup();
    setup.voltage.scale = probe;
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

void add_light(Record& record, const Channel& channel) {
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
    record.warnings.push_back("The zero of the light meter is taken as dark.");
    record.light = std::move(f);
}

void add_events(Record& record, const Channel* v, const Channel* i) {
    Builder b(record);
    const double dt = record.wave->dt_s;
    const Channel& first = record.wave->channels.front();
    if (has_word(record.what, {"inrush"}) && i != nullptr) {
        if (const auto inrush = find_inrush(i->value, dt, 0.015)) {
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

void add_switching(Record& record, double probe) {
    Builder b(record);
    for (const Channel& channel : record.wave->channels) {
        const double scale = channel.unit == Unit::volt ? probe : 1.0;
        const Ripple ripple = ripple_of(channel.value);
        b.add(("mean." + channel.name).c_str(),
              ("Mean of " + channel.name).c_str(),
              "",
              {ripple.mean * scale, 0.01 * std::abs(ripple.mean * scale)},
              channel.unit,
              "definition");
        b.add(("ripple." + channel.name).c_str(),
              ("Ripple of " + channel.name + ", peak to peak").c_str(),
              "",
              {ripple.peak_to_peak * scale, 0.01 * ripple.peak_to_peak * scale},
              channel.unit,
              "definition");
        if (const auto s = find_switching(channel.value, record.wave->dt_s)) {
            b.add(("switching_frequency." + channel.name).c_str(),
                  ("Switching frequency of " + channel.name).c_str(),
                  "f",
                  s->frequency_hz,
                  Unit::hertz,
                  "definition",
                  false);
            b.add(("duty." + channel.name).c_str(),
                  ("Duty of " + channel.name).c_str(),
                  "D",
                  s->duty,
                  Unit::none,
                  "definition",
                  false);
            record.warnings.push_back(
                fmt::format("{}: single periods range from {} to {}.",
                            channel.name,
                            base::to_engineering(s->least_hz, Unit::hertz),
                            base::to_engineering(s->largest_hz, Unit::hertz)));
        }
    }
}

}  // namespace

bool is_lighting(const dossier::Dossier& dossier) {
    double leds = 0.0;
    for (const dossier::Part& part : dossier.parts) {
        const std::string kind = base::lowered(part.kind.value);
        if (part.fitted && kind.rfind("led", 0) == 0) {
            const auto count = part.properties.find("count");
            leds += count != part.properties.end() ? count->second.value.value : 1.0;
        }
    }
    return leds >= 3.0;
}

MainsSetup usual_setup() {
    MainsSetup setup;
    setup.voltage = {.u_gain = 0.01, .u_delay_s = 0.5e-6};
    setup.current = {.u_gain = 0.015, .u_delay_s = 0.5e-6};
    setup.u_clock = 50e-6;
    return setup;
}

Record record_of(const dossier::Waveform& said,
                 const std::filesystem::path& folder,
                 bool lighting) {
    Record record;
    record.file = said.file.value;
    record.what = said.what.value;
    const std::filesystem::path path = folder / said.file.value;
    if (!std::filesystem::is_regular_file(path)) {
        record.why_not = {{said.place,
                           "the waveform '" + record.file + "' is not there",
                           "put it into the dossier's folder"}};
        return record;
    }
    auto wave = read_waveform(path);
    if (!wave) {
        record.why_not = wave.errors();
        return record;
    }
    record.wave = *std::move(wave);
    const Channel* v = channel_of(*record.wave, Unit::volt, {"volt", "u", "v"});
    const Channel* i = channel_of(*record.wave, Unit::ampere, {"curr", "amp", "i"});
    const double probe = said.probe ? said.probe->value : 1.0;
    if (has_word(record.what, {"light", "lux", "photodiode", "flicker"})) {
        add_light(record, record.wave->channels.front());
        return record;
    }
    add_events(record, v, i);
    if (record.figures.empty() && (v != nullptr || i != nullptr)) {
        add_mains(record, v, i, probe, lighting);
    }
    if (record.figures.empty()) {
        add_switching(record, probe);
    }
    return record;
}

std::vector<Record> records_of(const dossier::Dossier& dossier,
                               const std::filesystem::path& folder) {
    std::vector<Record> records;
    const bool lighting = is_lighting(dossier);
    for (const dossier::Waveform& wave : dossier.waveforms) {
        records.push_back(record_of(wave, folder, lighting));
    }
    return records;
}

}  // namespace etchback::bench
