// Notes on nets, and what came from the bench: readings, beeps, waveforms.
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "base/text.h"
#include "dossier/detail/reading.h"
#include "dossier/words.h"

namespace etchback::dossier::detail {

namespace {

using base::Unit;

// "Ground" is what most call the return, and some the earth: it must be said which.
Text read_role(TableReader& reader) {
    static const std::array<std::string_view, 5> vague = {"ground", "gnd", "0v", "0 v", "common"};
    const auto said = reader.text("role");
    if (!said) {
        return {};
    }
    if (std::ranges::find(vague, base::lowered(said->value)) != vague.end()) {
        reader.complain(
            said->place,
            fmt::format("role: {} may be the return or the earth", in_quotes(said->value)),
            "write \"return\" for the 0 V of its side, \"earth\" for protective earth");
        return {};
    }
    return reader.word("role", net_roles()).value_or(Text{});
}

NetNote read_net(const std::string& name, TableReader& reader) {
    NetNote net;
    net.name = name;
    net.also = reader.texts("also");
    net.role = read_role(reader);
    net.voltage = reader.quantity("voltage", Unit::volt);
    net.touchable = flag_of(reader, "touchable", false);
    net.note = text_of(reader, "note");
    reader.finish();
    return net;
}

// In percent if it says so, else in the unit of the value.
std::optional<Amount> read_uncertainty(TableReader& reader, Unit of_value, const Context& context) {
    const auto spelled = reader.spelled("uncertainty");
    const bool in_percent = spelled && spelled->value.find('%') != std::string::npos;
    if (!spelled) {
        return std::nullopt;
    }
    const auto amount = amount_of(
        reader, "uncertainty", in_percent ? Unit::percent : of_value, Least::zero, context);
    if (amount && (!amount->value.exact() || amount->value.nominal)) {
        context.complain(amount->place,
                         fmt::format("{}: the uncertainty is not one number", reader.where()),
                         "write the half-width at about 95 %: uncertainty = \"1 %\"");
    }
    return amount;
}

Reading read_reading(TableReader& reader, const Context& context) {
    Reading reading;
    reading.place = reader.place();
    reading.quantity = quantity_word_of(reader);
    reader.require("value", "write what the meter showed: value = \"231 V\"");
    reading.value = reader.quantity("value", unit_of(reading.quantity.value)).value_or(Amount{});
    reading.uncertainty = read_uncertainty(reader, reading.value.value.unit, context);
    reading.meter = text_of(reader, "meter");
    reading.between = pair_of(reader, "nets", context);
    reading.conditions = text_of(reader, "conditions").value;
    reading.group = text_of(reader, "group").value;
    reading.note = text_of(reader, "note");
    reader.finish();
    return reading;
}

Continuity read_beep(TableReader& reader, const Context& context) {
    Continuity beep;
    beep.place = reader.place();
    reader.require("between", "write the two ends: between = [\"R1.1\", \"C2.2\"]");
    beep.between = pair_of(reader, "ends (\"part.pin\" or nets)", context);
    beep.beeps = flag_of(reader, "beeps", true);
    beep.note = text_of(reader, "note");
    reader.finish();
    return beep;
}

// One number of a waveform's table, where a range means nothing.
void expect_one(const TableReader& reader,
                const std::optional<Amount>& amount,
                std::string_view key,
                std::string_view example,
                const Context& context) {
    if (amount && (!amount->value.exact() || amount->value.nominal)) {
        context.complain(amount->place,
                         fmt::format("{}: {} is not one number", reader.where(), key),
                         fmt::format("write one: {} = \"{}\"", key, example));
    }
}

Waveform read_waveform(TableReader& reader, const Context& context) {
    Waveform waveform;
    waveform.place = reader.place();
    waveform.file = file_within(reader, "name the file: file = \"waves/drain.csv\"", context);
    waveform.what = text_of(reader, "what");
    waveform.between = pair_of(reader, "nets", context);
    waveform.probe = reader.number("probe");
    if (waveform.probe && !(waveform.probe->value > 0.0)) {
        context.complain(
            waveform.probe->place,
            fmt::format("{}: a probe of {:g} cannot be", reader.where(), waveform.probe->value),
            "write its attenuation: probe = 10");
    }
    waveform.through = text_of(reader, "through");
    waveform.meter = text_of(reader, "meter");
    waveform.sample_rate =
        amount_of(reader, "sample_rate", Unit::hertz, Least::above_zero, context);
    expect_one(reader, waveform.sample_rate, "sample_rate", "100 kHz", context);
    waveform.current_delay = reader.quantity("current_delay", Unit::second);
    expect_one(reader, waveform.current_delay, "current_delay", "120 ns", context);
    waveform.zero = reader.number("zero");
    waveform.added_capacitance =
        amount_of(reader, "added_capacitance", Unit::farad, Least::above_zero, context);
    expect_one(reader, waveform.added_capacitance, "added_capacitance", "100 pF", context);
    waveform.scenario = text_of(reader, "scenario");
    waveform.note = text_of(reader, "note");
    reader.finish();
    return waveform;
}

}  // namespace

std::vector<NetNote> read_nets(TableReader& root, const Context& context) {
    std::vector<NetNote> nets;
    const toml::table* table = root.table("nets");
    if (table == nullptr) {
        return nets;
    }
    TableReader reader(*table, context.file, "nets", context.errors);
    for (const std::string& name : reader.keys()) {
        const Place place = reader.key_place(name);
        check_name(name, "net", place, context);
        if (const toml::table* own = reader.table(name)) {
            TableReader net_reader(*own, context.file, "net " + name, context.errors);
            nets.push_back(read_net(name, net_reader));
            nets.back().place = place;
        }
    }
    return nets;
}

std::vector<Reading> read_readings(TableReader& root, const Context& context) {
    return read_each<Reading>(root, "readings", "reading", context, read_reading);
}

std::vector<Continuity> read_continuity(TableReader& root, const Context& context) {
    return read_each<Continuity>(root, "continuity", "continuity check", context, read_beep);
}

std::vector<Waveform> read_waveforms(TableReader& root, const Context& context) {
    return read_each<Waveform>(root, "waveforms", "waveform", context, read_waveform);
}

}  // namespace etchback::dossier::detail
