// Parts as tables.
#include <algorithm>

#include "dossier/detail/fields.h"

namespace etchback::dossier::detail {

namespace {

using base::Unit;
using Manner = Node::Manner;

Node pins_of(const Part& part) {
    Fields table(Manner::inline_, true);
    for (const PinUse& use : part.pins) {
        table.raw(use.pin, string_text(use.net));
    }
    return table.done();
}

Node pads_of(const Part& part) {
    Fields table(Manner::inline_, true);
    for (const PadPlace& pad : part.pads) {
        table.spot(pad.pin, pad.x, pad.y);
    }
    return table.done();
}

Node amounts_of(const std::map<std::string, Amount>& amounts, const parts::Kind* kind) {
    Fields table(Manner::inline_);
    for (const auto& [key, amount] : amounts) {
        Unit expected = Unit::none;
        if (kind != nullptr) {
            const auto found = std::ranges::find(kind->properties, key, &parts::Property::key);
            expected = found == kind->properties.end() ? Unit::none : found->unit;
        }
        table.amount(key, amount, expected);
    }
    return table.done();
}

Node tree_of(const Winding& winding) {
    return Fields(Manner::inline_)
        .raw("name", string_text(winding.name.value))
        .texts("pins", winding.pins)
        .number("turns", winding.turns)
        .amount("inductance", winding.inductance, Unit::henry)
        .amount("resistance", winding.resistance, Unit::ohm)
        .done();
}

Node tree_of(const Position& position) {
    Fields table(Manner::inline_);
    table.raw("x_mm", number_text(position.x_mm)).raw("y_mm", number_text(position.y_mm));
    if (position.turn_deg != 0.0) {
        table.raw("turn_deg", number_text(position.turn_deg));
    }
    return table.raw("side", position.bottom ? "\"bottom\"" : "\"top\"").done();
}

// One word for all, or a table.
Node known_of(const std::map<std::string, Basis>& known) {
    const auto rest = known.find("");
    if (known.size() == 1 && rest != known.end()) {
        return Node::value_of(string_text(name_of(rest->second)));
    }
    Fields table(Manner::inline_);
    for (const auto& [fact, basis] : known) {
        if (!fact.empty()) {
            table.raw(fact, string_text(name_of(basis)));
        }
    }
    if (rest != known.end()) {
        table.raw("rest", string_text(name_of(rest->second)));
    }
    return table.done();
}

Node tree_of(const Alternative& alternative) {
    Fields table(Manner::headed);
    table.raw("field", string_text(alternative.field))
        .raw("reading", string_text(alternative.reading.value))
        .long_text("because", alternative.because);
    if (alternative.weight != 0.0) {
        table.raw("weight", number_text(alternative.weight));
    }
    return table.done();
}

Node tree_of(const Part& part, const parts::Catalogue& catalogue) {
    const parts::Kind* kind = catalogue.find(part.kind.value);
    Fields table(Manner::headed);
    table.text("kind", kind != nullptr ? kind->title : part.kind.value)
        .text("title", part.title.value)
        .text("marking", part.marking.value)
        .text("type", part.type.value)
        .amount("value", part.value, kind != nullptr ? kind->value_unit : Unit::none)
        .amount("tolerance", part.tolerance, Unit::percent)
        .text("body", part.body.value)
        .amount("rated_voltage", part.rated_voltage, Unit::volt)
        .amount("rated_current", part.rated_current, Unit::ampere)
        .amount("rated_power", part.rated_power, Unit::watt)
        .amount("rated_temperature", part.rated_temperature, Unit::celsius)
        .filled("properties", amounts_of(part.properties, kind))
        .filled("pins", pins_of(part))
        .filled("windings",
                list_from(
                    part.windings, Manner::line_each, [](const Winding& w) { return tree_of(w); }))
        .amount("leakage", part.leakage, Unit::henry)
        .text("family", part.family.value)
        .filled("thresholds", amounts_of(part.thresholds, nullptr));
    if (part.position) {
        table.put("position", tree_of(*part.position));
    }
    table.filled("pads", pads_of(part)).text("pads_on", part.pads_on.value);
    table.flag("fitted", part.fitted, true).flag("touchable", part.touchable, false);
    if (!part.known.empty()) {
        table.put("known", known_of(part.known));
    }
    return table.long_text("note", part.note)
        .filled(
            "alternatives",
            list_from(
                part.alternatives, Manner::headed, [](const Alternative& a) { return tree_of(a); }))
        .done();
}

}  // namespace

Node parts_of(const std::vector<Part>& parts, const parts::Catalogue& catalogue) {
    Fields table(Manner::headed, true);
    for (const Part& part : parts) {
        table.put(part.name, tree_of(part, catalogue));
    }
    return table.done();
}

}  // namespace etchback::dossier::detail
