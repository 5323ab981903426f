#include <fmt/format.h>
#include <algorithm>
#include <array>

#include "base/file.h"
#include "base/toml_reader.h"
#include "bench-capture/captures.h"

namespace etchback::capture {
namespace {

using base::TableReader;
using base::Unit;

double quantity_of(TableReader& reader, const char* key, Unit unit, double usual) {
    const auto value = reader.quantity(key, unit);
    return value ? value->value.value : usual;
}

double number_of(TableReader& reader, const char* key, double usual) {
    const auto value = reader.number(key);
    return value ? value->value : usual;
}

std::string text_of(TableReader& reader, const char* key) {
    const auto value = reader.text(key);
    return value ? value->value : std::string();
}

std::vector<std::string> texts_of(TableReader& reader, const char* key) {
    std::vector<std::string> texts;
    for (const auto& text : reader.texts(key)) {
        texts.push_back(text.value);
    }
    return texts;
}

Channel read_channel(TableReader& reader) {
    Channel channel;
    channel.name = text_of(reader, "name");
    channel.between = texts_of(reader, "between");
    channel.through = text_of(reader, "through");
    channel.light_of = text_of(reader, "light_of");
    channel.unit = channel.through.empty() ? Unit::volt : Unit::ampere;
    channel.from = number_of(reader, "from", 0.0);
    channel.to = number_of(reader, "to", 0.0);
    channel.probe = number_of(reader, "probe", 1.0);
    channel.gain = 1.0 + number_of(reader, "gain_error", 0.0);
    channel.offset = number_of(reader, "offset", 0.0);
    channel.noise = number_of(reader, "noise", 0.002);
    channel.late_s = quantity_of(reader, "late", Unit::second, 0.0);
    const auto without = reader.flag("without_mean");
    channel.without_mean = without && without->value;
    if (!(channel.to > channel.from)) {
        reader.complain(reader.place(),
                        reader.where() + ": the screen has no height",
                        "write from and to, the values at its lower and upper edge");
    }
    if ((channel.between.size() == 2) + !channel.through.empty() + !channel.light_of.empty() != 1) {
        reader.complain(reader.place(),
                        reader.where() + ": it is not said what the channel sees",
                        "write one of between (two nets), through (a part) and light_of (LEDs)");
    }
    reader.finish();
    return channel;
}

Capture read_capture(TableReader& reader, const std::string& file, base::Errors& errors) {
    static const std::array<std::string, 4> dialects = {
        "scope", "settings", "spreadsheet", "logger"};
    Capture capture;
    reader.require("file", "name the file to write: file = \"waves/mains.csv\"");
    capture.file = text_of(reader, "file");
    if (const auto word = reader.word("dialect", dialects)) {
        capture.dialect = static_cast<Dialect>(
            std::find(dialects.begin(), dialects.end(), word->value) - dialects.begin());
    }
    capture.phase_deg = quantity_of(reader, "phase", Unit::degree, 0.0);
    capture.start_s = quantity_of(reader, "start", Unit::second, 0.0);
    capture.span_s = quantity_of(reader, "span", Unit::second, 0.0);
    capture.rate_hz = quantity_of(reader, "rate", Unit::hertz, 0.0);
    capture.bits = static_cast<int>(number_of(reader, "bits", 8));
    capture.averaged = static_cast<int>(number_of(reader, "averaged", 1));
    capture.clock = number_of(reader, "clock_error", 0.0);
    capture.jitter_s = quantity_of(reader, "jitter", Unit::second, 0.0);
    for (const toml::table* table : reader.tables("channel")) {
        TableReader channel(
            *table,
            file,
            fmt::format("{}, channel {}", reader.where(), capture.channels.size() + 1),
            errors);
        capture.channels.push_back(read_channel(channel));
    }
    if (!(capture.span_s > 0.0 && capture.rate_hz > 0.0) || capture.channels.empty() ||
        capture.averaged < 1 || capture.bits < 2) {
        reader.complain(reader.place(),
                        reader.where() + ": nothing would be recorded",
                        "write span, rate and at least one channel");
    }
    reader.finish();
    return capture;
}

MeterReading read_reading(TableReader& reader) {
    MeterReading reading;
    reader.require("quantity", "say what is read: quantity = \"input power\"");
    reading.quantity = text_of(reader, "quantity");
    reading.between = texts_of(reader, "between");
    reading.through = text_of(reader, "through");
    reading.gain = 1.0 + number_of(reader, "gain_error", 0.0);
    reading.digit = number_of(reader, "digit", 0.01);
    reader.finish();
    return reading;
}

}  // namespace

base::Result<Captures> read_captures(const std::filesystem::path& path) {
    const std::string file = path.string();
    const auto root = base::parse_toml(base::read_file(path), file);
    if (!root) {
        return root.errors();
    }
    base::Errors errors;
    TableReader reader(*root, file, "captures", errors);
    Captures all;
    reader.know("format");
    all.seed = static_cast<std::uint64_t>(number_of(reader, "seed", 1));
    if (reader.has("supply_voltage")) {
        all.supply_v_rms = quantity_of(reader, "supply_voltage", Unit::volt, 0.0);
    }
    if (reader.has("supply_frequency")) {
        all.supply_hz = quantity_of(reader, "supply_frequency", Unit::hertz, 0.0);
    }
    all.steady_s = quantity_of(reader, "steady", Unit::second, 1.0);
    if (const toml::table* table = reader.table("values")) {
        TableReader values(*table, file, "values", errors);
        for (const std::string& key : values.keys()) {
            all.values[key] = number_of(values, key.c_str(), 0.0);
        }
    }
    for (const toml::table* table : reader.tables("capture")) {
        TableReader one(*table, file, fmt::format("capture {}", all.captures.size() + 1), errors);
        all.captures.push_back(read_capture(one, file, errors));
    }
    for (const toml::table* table : reader.tables("reading")) {
        TableReader one(*table, file, fmt::format("reading {}", all.readings.size() + 1), errors);
        all.readings.push_back(read_reading(one));
    }
    reader.finish();
    if (!errors.empty()) {
        return errors;
    }
    return all;
}

}  // namespace etchback::capture
