// Scenarios: what to do to the simulated circuit, and for how long.
#include <fmt/format.h>

#include <map>

#include "base/text.h"
#include "dossier/detail/reading.h"
#include "dossier/words.h"

namespace etchback::dossier::detail {

namespace {

using base::Unit;

// One number, where a range means nothing.
std::optional<Amount> single_of(TableReader& reader,
                                std::string_view key,
                                Unit unit,
                                Least least,
                                std::string_view example,
                                const Context& context) {
    const auto amount = amount_of(reader, key, unit, least, context);
    if (amount && !amount->value.exact()) {
        context.complain(amount->place,
                         fmt::format("{}: {} is not one number", reader.where(), key),
                         fmt::format("write one: {} = \"{}\"", key, example));
    }
    return amount;
}

void check_factor(const TableReader& reader, const Deed& deed, const Context& context) {
    const bool scales = deed.what.value == "scale supply";
    if (scales && !deed.factor) {
        context.complain(reader.place(),
                         fmt::format("{}: it does not say by how much", reader.where()),
                         "write the factor: factor = 0.7");
    }
    if (!scales && deed.factor && !deed.what.value.empty()) {
        context.complain(
            deed.factor->place,
            fmt::format("{}: {} has no factor", reader.where(), in_quotes(deed.what.value)),
            "take it out, or write what = \"scale supply\"");
    }
    if (deed.factor && !(deed.factor->value >= 0.0)) {
        context.complain(
            deed.factor->place,
            fmt::format("{}: a factor of {:g} cannot be", reader.where(), deed.factor->value),
            "write what part of the voltage is left: factor = 0.7");
    }
    if (scales && !deed.load.value.empty()) {
        context.complain(deed.load.place,
                         fmt::format("{}: the supply is no load", reader.where()),
                         "take load out");
    }
}

Deed read_deed(TableReader& reader, const Context& context) {
    Deed deed;
    reader.require("what", "say what is done: what = \"open load\"");
    deed.what = reader.word("what", deed_words()).value_or(Text{});
    reader.require("at", "say when, from the scenario's beginning: at = \"20 ms\"");
    deed.at = single_of(reader, "at", Unit::second, Least::zero, "20 ms", context)
                  .value_or(Amount{Quantity::of(0.0, Unit::second), reader.place()});
    deed.factor = reader.number("factor");
    deed.load = text_of(reader, "load");
    check_factor(reader, deed, context);
    reader.finish();
    return deed;
}

void check_times(const TableReader& reader, const Scenario& scenario, const Context& context) {
    const double span_s = scenario.span.value.value;
    if (!(span_s > 0.0)) {
        if (span_s == 0.0 && scenario.span.place.line > 0) {
            context.complain(scenario.span.place,
                             fmt::format("{}: a span of zero shows nothing", reader.where()),
                             "say how long it is simulated: span = \"200 ms\"");
        }
        return;
    }
    if (scenario.measure && scenario.measure->value.value > span_s) {
        context.complain(scenario.measure->place,
                         fmt::format("{}: measure is longer than the span", reader.where()),
                         "measure the last part of the span, or leave it out to measure all of it");
    }
    for (const Deed& deed : scenario.deeds) {
        if (deed.at.value.value >= span_s) {
            context.complain(
                deed.at.place,
                fmt::format("{}: {} comes when the scenario is over",
                            reader.where(),
                            deed.what.value.empty() ? "a deed" : in_quotes(deed.what.value)),
                "let it come earlier, or make the span longer");
        }
    }
}

Scenario read_scenario(TableReader& reader, const Context& context) {
    Scenario scenario;
    scenario.place = reader.place();
    scenario.id = needed_text(reader, "id", "give it a short name: id = \"brown-out\"");
    if (!base::trimmed(scenario.id.value).empty()) {
        check_name(scenario.id.value, "scenario", scenario.id.place, context);
    }
    scenario.title = text_of(reader, "title");
    scenario.words = text_of(reader, "words");
    scenario.supply = reader.word("supply", supply_words()).value_or(Text{});
    scenario.supply_voltage =
        single_of(reader, "supply_voltage", Unit::volt, Least::above_zero, "180 V", context);
    if (scenario.supply_voltage && !scenario.supply.value.empty()) {
        context.complain(scenario.supply_voltage->place,
                         fmt::format("{}: both supply and supply_voltage", reader.where()),
                         "leave one of them out");
    }
    scenario.supply_phase =
        single_of(reader, "supply_phase", Unit::degree, Least::zero, "90°", context);
    scenario.from = reader.word("from", beginning_words()).value_or(Text{});
    reader.require("span", "say how long it is simulated: span = \"200 ms\"");
    scenario.span =
        single_of(reader, "span", Unit::second, Least::zero, "200 ms", context).value_or(Amount{});
    scenario.measure =
        single_of(reader, "measure", Unit::second, Least::above_zero, "40 ms", context);
    scenario.steady_at_end = flag_of(reader, "steady_at_end", false);
    for (const toml::table* table : reader.tables("deeds")) {
        TableReader deed_reader(
            *table,
            context.file,
            fmt::format("{}, deed {}", reader.where(), scenario.deeds.size() + 1),
            context.errors);
        scenario.deeds.push_back(read_deed(deed_reader, context));
    }
    check_times(reader, scenario, context);
    reader.finish();
    return scenario;
}

}  // namespace

std::vector<Scenario> read_scenarios(TableReader& root, const Context& context) {
    std::vector<Scenario> all;
    std::map<std::string, int> seen;
    for (const toml::table* table : root.tables("scenarios")) {
        TableReader reader(
            *table, context.file, fmt::format("scenario {}", all.size() + 1), context.errors);
        all.push_back(read_scenario(reader, context));
        const Text& id = all.back().id;
        if (!id.value.empty() && ++seen[id.value] == 2) {
            context.complain(id.place,
                             fmt::format("two scenarios are called {}", in_quotes(id.value)),
                             "give each a name of its own");
        }
    }
    return all;
}

}  // namespace etchback::dossier::detail
