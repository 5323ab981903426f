#include "bench/meters.h"

#include <algorithm>
#include <cmath>

#include "base/file.h"
#include "base/text.h"
#include "base/toml_reader.h"

namespace etchback::bench {
namespace {

using base::TableReader;

std::vector<double> numbers(TableReader& reader, std::string_view key) {
    std::vector<double> values;
    if (const toml::array* list = reader.list(key, "write full scales: [6, 60, 600]")) {
        for (const toml::node& node : *list) {
            if (const auto value = node.value<double>()) {
                values.push_back(*value);
            }
        }
    }
    if (values.empty() || !std::is_sorted(values.begin(), values.end())) {
        reader.complain(
            reader.place(key), "full scales must be numbers that rise", "write [6, 60, 600]");
    }
    return values;
}

double number(TableReader& reader, std::string_view key) {
    const auto value = reader.number(key);
    if (value && !(value->value >= 0.0)) {
        reader.complain(
            value->place, std::string(key) + " is below zero", "write a number from 0 on");
    }
    return value ? value->value : 0.0;
}

MeterRange range_of(TableReader& reader) {
    MeterRange range;
    reader.require("unit", "write unit = \"volt\"");
    if (const auto unit = reader.text("unit")) {
        const auto known = base::unit_named(unit->value);
        if (!known) {
            reader.complain(unit->place,
                            "'" + unit->value + "' is no unit",
                            "write volt, ampere, watt, ohm, none ...");
        }
        range.unit = known.value_or(base::Unit::none);
    }
    range.full_scale = numbers(reader, "full_scale");
    range.percent_of_reading = number(reader, "percent_of_reading");
    range.percent_of_range = number(reader, "percent_of_range");
    range.digits = number(reader, "digits");
    range.last_digit = number(reader, "last_digit");
    range.counts = number(reader, "counts");
    reader.finish();
    return range;
}

}  // namespace

base::Result<std::vector<Meter>> load_meters(const std::filesystem::path& path) {
    const std::string name = path.filename().string();
    const auto table = base::parse_toml(base::read_file(path), name);
    if (!table) {
        return table.errors();
    }
    base::Errors errors;
    TableReader file(*table, name, "the file", errors);
    std::vector<Meter> meters;
    for (const toml::table* entry : file.tables("meter")) {
        TableReader reader(*entry, name, "a meter", errors);
        Meter meter;
        for (const auto& word : reader.texts("words")) {
            meter.words.push_back(base::lowered(word.value));
        }
        reader.require("words", "write words = [\"multimeter\"]");
        if (const auto title = reader.text("title")) {
            meter.title = title->value;
        }
        reader.require("source", "say where the figures are from");
        if (const auto source = reader.text("source")) {
            meter.source = source->value;
        }
        if (const auto bandwidth = reader.quantity("bandwidth", base::Unit::hertz)) {
            meter.bandwidth_hz = bandwidth->value.value;
        }
        if (const auto crest = reader.number("crest_factor")) {
            meter.crest_factor = crest->value;
        }
        for (const toml::table* range : reader.tables("range")) {
            TableReader of(*range, name, "a range", errors);
            meter.ranges.push_back(range_of(of));
        }
        reader.finish();
        meters.push_back(std::move(meter));
    }
    file.finish();
    if (!errors.empty()) {
        return errors;
    }
    return meters;
}

const Meter* meter_named(const std::vector<Meter>& meters, const std::string& name) {
    const std::string said = base::lowered(name);
    for (const Meter& meter : meters) {
        for (const std::string& word : meter.words) {
            if (said.find(word) != std::string::npos) {
                return &meter;
            }
        }
    }
    return nullptr;
}

std::optional<double> error_limit(const Meter& meter, double value, base::Unit unit) {
    const double size = std::abs(value);
    for (const MeterRange& range : meter.ranges) {
        if (range.unit != unit) {
            continue;
        }
        for (const double full : range.full_scale) {
            if (size <= full) {
                const double digit = range.counts > 0.0 ? full / range.counts : range.last_digit;
                return range.percent_of_reading / 100.0 * size +
                       range.percent_of_range / 100.0 * full + range.digits * digit;
            }
        }
    }
    return std::nullopt;
}

std::vector<dossier::Reading> with_meters(const std::vector<dossier::Reading>& readings,
                                          const std::vector<Meter>& meters) {
    std::vector<dossier::Reading> all = readings;
    for (dossier::Reading& reading : all) {
        const base::Quantity& value = reading.value.value;
        const Meter* meter = reading.uncertainty || !value.exact()
                                 ? nullptr
                                 : meter_named(meters, reading.meter.value);
        const auto limit =
            meter != nullptr ? error_limit(*meter, value.value, value.unit) : std::nullopt;
        if (limit) {
            reading.uncertainty =
                dossier::Amount{base::Quantity::of(*limit, value.unit), reading.place};
        }
    }
    return all;
}

Estimate estimate_of(const dossier::Reading& reading) {
    const base::Quantity& value = reading.value.value;
    double half = 0.01 * std::abs(value.value);
    if (reading.uncertainty) {
        const base::Quantity& u = reading.uncertainty->value;
        half = u.unit == base::Unit::percent && value.unit != base::Unit::percent
                   ? u.value / 100.0 * std::abs(value.value)
                   : u.value;
    } else if (!value.exact()) {
        half = 0.5 * (value.high - value.low);
    }
    return {value.value, 0.5 * half};
}

}  // namespace etchback::bench
