#include "bench/record.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/file.h"
#include "base/text.h"
#include "bench/detail/record_parts.h"

namespace etchback::bench {
namespace {

using base::Unit;
using detail::has_word;

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

// To the circuit's units: the probe's attenuation, and the zero of the first channel.
void to_circuit(Waveform& wave, const dossier::Waveform& said) {
    for (std::size_t c = 0; c < wave.channels.size(); ++c) {
        Channel& channel = wave.channels[c];
        const double zero = c == 0 && said.zero ? said.zero->value : 0.0;
        const double scale = said.probe && channel.unit != Unit::ampere ? said.probe->value : 1.0;
        if (zero == 0.0 && scale == 1.0) {
            continue;
        }
        for (double& value : channel.value) {
            value = (value - zero) * scale;
        }
        channel.least = (channel.least - zero) * scale;
        channel.largest = (channel.largest - zero) * scale;
    }
    if (said.probe && said.probe->value != 1.0) {
        wave.how.push_back(
            fmt::format("Voltages are multiplied by the probe's {:g}.", said.probe->value));
    }
    if (said.zero) {
        wave.how.push_back(
            fmt::format("The zero of the first channel, {:g}, is taken off.", said.zero->value));
    }
}

// Half of the limit of error, relative: what a meter's gain is known to.
void take_gain(double& u_gain, const Meter& meter, Unit unit) {
    for (const MeterRange& range : meter.ranges) {
        if (range.unit == unit && range.percent_of_reading > 0.0) {
            u_gain = 0.5 * range.percent_of_reading / 100.0;
        }
    }
}

std::string scenario_of(const dossier::Waveform& said) {
    if (!said.scenario.value.empty()) {
        return said.scenario.value;
    }
    return has_word(said.what.value, {"inrush"}) ? "cold-start" : "normal";
}

void add_figures(Record& record, const dossier::Waveform& said, const Meter* meter, bool lighting) {
    const Channel* v = channel_of(*record.wave, Unit::volt, {"volt", "u", "v"});
    const Channel* i = channel_of(*record.wave, Unit::ampere, {"curr", "amp", "i"});
    MainsSetup setup = usual_setup(meter);
    setup.current.delay_s = said.current_delay ? said.current_delay->value.value : 0.0;
    if (has_word(record.what, {"light", "lux", "photodiode", "flicker"})) {
        detail::add_light(record, record.wave->channels.front(), said.zero.has_value());
        return;
    }
    if (has_word(record.what, {"ringing"})) {
        detail::add_ringing(record, record.wave->channels.front());
        detail::add_switching(record, setup);
        return;
    }
    detail::add_events(record, v, i, setup);
    if (record.figures.empty() && (v != nullptr || i != nullptr)) {
        detail::add_mains(record, v, i, setup, lighting);
    }
    if (record.figures.empty()) {
        detail::add_switching(record, setup);
    }
}

}  // namespace

bool detail::has_word(const std::string& text, std::initializer_list<const char*> words) {
    const std::string low = base::lowered(text);
    return std::any_of(words.begin(), words.end(), [&](const char* word) {
        return low.find(word) != std::string::npos;
    });
}

void detail::Builder::add(const std::string& id,
                          const std::string& title,
                          const std::string& symbol,
                          const Estimate& e,
                          Unit unit,
                          const std::string& source,
                          bool assumed) {
    base::Figure figure;
    figure.id = fmt::format("{}.{}", id, record_.file);
    figure.title = title;
    figure.symbol = symbol;
    figure.value = e.value;
    figure.unit = unit;
    figure.uncertainty = e.u;
    figure.source = source;
    figure.assumed = assumed;
    figure.evidence.push_back(
        {base::Evidence::Kind::reading, record_.file, record_.what, record_.place});
    record_.figures.push_back(std::move(figure));
}

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

MainsSetup usual_setup(const Meter* meter) {
    MainsSetup setup;
    setup.voltage = {.u_gain = 0.01, .u_delay_s = 0.5e-6};
    setup.current = {.u_gain = 0.015, .u_delay_s = 0.5e-6};
    setup.u_clock = 50e-6;
    if (meter != nullptr) {
        take_gain(setup.voltage.u_gain, *meter, Unit::volt);
        take_gain(setup.current.u_gain, *meter, Unit::ampere);
    }
    return setup;
}

Record record_of(const dossier::Waveform& said,
                 const std::filesystem::path& folder,
                 bool lighting,
                 const std::vector<Meter>& meters) {
    Record record;
    record.file = said.file.value;
    record.what = said.what.value;
    record.note = said.note.value;
    record.place = said.place;
    record.through = said.through.value;
    record.scenario = scenario_of(said);
    for (const dossier::Text& net : said.between) {
        record.between.push_back(net.value);
    }
    if (said.added_capacitance) {
        const double farad = said.added_capacitance->value.value;
        record.added_capacitance_f = Estimate{farad, 0.025 * farad};  // 5 % (common practice)
    }
    const std::filesystem::path path = folder / said.file.value;
    if (!std::filesystem::is_regular_file(path)) {
        record.why_not = {{said.place,
                           "the waveform '" + record.file + "' is not there",
                           "put it into the dossier's folder"}};
        return record;
    }
    ReadOptions options;
    if (said.sample_rate) {
        options.rate_hz = said.sample_rate->value.value;
    }
    auto wave = read_waveform(path, options);
    if (!wave) {
        record.why_not = wave.errors();
        return record;
    }
    record.wave = *std::move(wave);
    to_circuit(*record.wave, said);
    add_figures(record, said, meter_named(meters, said.meter.value), lighting);
    return record;
}

std::vector<Record> records_of(const dossier::Dossier& dossier,
                               const std::filesystem::path& folder,
                               const std::vector<Meter>& meters) {
    std::vector<Record> records;
    const bool lighting = is_lighting(dossier);
    for (const dossier::Waveform& wave : dossier.waveforms) {
        records.push_back(record_of(wave, folder, lighting, meters));
    }
    detail::add_resonances(records, dossier);
    return records;
}

}  // namespace etchback::bench
