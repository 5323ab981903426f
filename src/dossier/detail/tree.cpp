#include "dossier/detail/tree.h"

#include <algorithm>

#include "dossier/detail/quantity_text.h"
#include "dossier/detail/toml_text.h"
#include "dossier/words.h"

namespace etchback::dossier::detail {

namespace {

using base::Unit;
using Manner = Node::Manner;

// Adds fields to a table, leaving out what is empty or as it is without saying so.
class Table {
public:
    explicit Table(Manner manner, bool ordered = false) : node_(Node::table_of(manner, ordered)) {}

    Table& put(std::string key, Node node) {
        node_.fields.emplace_back(std::move(key), std::move(node));
        return *this;
    }
    Table& raw(std::string key, std::string text) {
        return put(std::move(key), Node::value_of(std::move(text)));
    }
    Table& text(std::string key, const std::string& text) {
        return text.empty() ? *this : raw(std::move(key), string_text(text));
    }
    Table& long_text(std::string key, const Text& text) {
        return text.value.empty() ? *this : raw(std::move(key), long_string_text(text.value));
    }
    Table& date(std::string key, const std::string& date) {
        return date.empty() ? *this : raw(std::move(key), date_text(date));
    }
    Table& number(std::string key, const std::optional<Placed<double>>& number) {
        return number ? raw(std::move(key), number_text(number->value)) : *this;
    }
    Table& amount(std::string key, const std::optional<Amount>& amount, Unit expected) {
        return amount ? raw(std::move(key), string_text(quantity_text(amount->value, expected)))
                      : *this;
    }
    Table& flag(std::string key, bool flag, bool otherwise) {
        return flag == otherwise ? *this : raw(std::move(key), flag ? "true" : "false");
    }
    Table& texts(std::string key, const std::vector<Text>& texts) {
        if (texts.empty()) {
            return *this;
        }
        Node list = Node::list_of(Manner::inline_);
        for (const Text& text : texts) {
            list.elements.push_back(Node::value_of(string_text(text.value)));
        }
        return put(std::move(key), std::move(list));
    }
    // A table or list, unless it is empty.
    Table& filled(std::string key, Node node) {
        return node.fields.empty() && node.elements.empty() ? *this
                                                            : put(std::move(key), std::move(node));
    }
    Node done() { return std::move(node_); }

private:
    Node node_;
};

template <typename T, typename Make>
Node list_from(const std::vector<T>& things, Manner manner, Make make) {
    Node list = Node::list_of(manner);
    for (const T& thing : things) {
        list.elements.push_back(make(thing));
    }
    return list;
}

Node tree_of(const Item& item) {
    return Table(Manner::headed)
        .raw("name", string_text(item.name.value))
        .text("maker", item.maker.value)
        .text("model", item.model.value)
        .text("author", item.author.value)
        .text("licence", item.licence.value)
        .date("date", item.date.value)
        .flag("invented", item.invented, false)
        .long_text("story", item.story)
        .done();
}

Node tree_of(const Claim& claim) {
    return Table(Manner::headed)
        .raw("quantity", string_text(claim.quantity.value))
        .amount("value", claim.value, unit_of(claim.quantity.value))
        .text("where", claim.where.value)
        .long_text("note", claim.note)
        .done();
}

Node tree_of(const Supply& supply) {
    Table table(Manner::headed);
    if (supply == Supply{}) {
        return table.done();
    }
    table.raw("kind", supply.kind == Supply::Kind::ac ? "\"ac\"" : "\"dc\"")
        .amount("voltage", supply.voltage, Unit::volt)
        .amount("frequency", supply.frequency, Unit::hertz);
    if (supply.earthed) {
        table.raw("earthed", *supply.earthed ? "true" : "false");
    }
    return table.long_text("note", supply.note).done();
}

Node pins_of(const Part& part) {
    Table table(Manner::inline_, true);
    for (const PinUse& use : part.pins) {
        table.raw(use.pin, string_text(use.net));
    }
    return table.done();
}

Node amounts_of(const std::map<std::string, Amount>& amounts, const parts::Kind* kind) {
    Table table(Manner::inline_);
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
    return Table(Manner::inline_)
        .raw("name", string_text(winding.name.value))
        .texts("pins", winding.pins)
        .number("turns", winding.turns)
        .amount("inductance", winding.inductance, Unit::henry)
        .amount("resistance", winding.resistance, Unit::ohm)
        .done();
}

Node tree_of(const Position& position) {
    Table table(Manner::inline_);
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
    Table table(Manner::inline_);
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
    Table table(Manner::headed);
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
    Table table(Manner::headed);
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

Node parts_of(const std::vector<Part>& parts, const parts::Catalogue& catalogue) {
    Table table(Manner::headed, true);
    for (const Part& part : parts) {
        table.put(part.name, tree_of(part, catalogue));
    }
    return table.done();
}

Node tree_of(const NetNote& net) {
    return Table(Manner::headed)
        .text("role", net.role.value)
        .texts("also", net.also)
        .amount("voltage", net.voltage, Unit::volt)
        .flag("touchable", net.touchable, false)
        .long_text("note", net.note)
        .done();
}

Node nets_of(const std::vector<NetNote>& nets) {
    Table table(Manner::headed, true);
    for (const NetNote& net : nets) {
        table.put(net.name, tree_of(net));
    }
    return table.done();
}

Node tree_of(const Reading& reading) {
    const bool in_percent = reading.uncertainty && reading.uncertainty->value.unit == Unit::percent;
    return Table(Manner::headed)
        .raw("quantity", string_text(reading.quantity.value))
        .texts("between", reading.between)
        .amount("value", reading.value, unit_of(reading.quantity.value))
        .amount("uncertainty",
                reading.uncertainty,
                in_percent ? Unit::percent : reading.value.value.unit)
        .text("meter", reading.meter.value)
        .text("group", reading.group)
        .text("conditions", reading.conditions)
        .long_text("note", reading.note)
        .done();
}

Node tree_of(const Continuity& beep) {
    return Table(Manner::headed)
        .texts("between", beep.between)
        .raw("beeps", beep.beeps ? "true" : "false")
        .long_text("note", beep.note)
        .done();
}

Node tree_of(const Waveform& waveform) {
    return Table(Manner::headed)
        .raw("file", string_text(waveform.file.value))
        .text("what", waveform.what.value)
        .texts("between", waveform.between)
        .number("probe", waveform.probe)
        .long_text("note", waveform.note)
        .done();
}

Node tree_of(const Photo& photo) {
    return Table(Manner::headed)
        .raw("file", string_text(photo.file.value))
        .text("side", photo.side.value)
        .long_text("note", photo.note)
        .done();
}

Node tree_of(const Reference& reference, const parts::Catalogue& catalogue) {
    return Table(Manner::headed)
        .text("title", reference.title.value)
        .text("source", reference.source.value)
        .filled("parts", parts_of(reference.parts, catalogue))
        .done();
}

template <typename T>
Node headed_list(const std::vector<T>& things) {
    return list_from(things, Manner::headed, [](const T& thing) { return tree_of(thing); });
}

}  // namespace

Node Node::value_of(std::string text) {
    Node node;
    node.text = std::move(text);
    return node;
}

Node Node::table_of(Manner manner, bool ordered) {
    Node node;
    node.kind = Kind::table;
    node.manner = manner;
    node.ordered = ordered;
    return node;
}

Node Node::list_of(Manner manner) {
    Node node;
    node.kind = Kind::list;
    node.manner = manner;
    return node;
}

const Node* Node::find(std::string_view key) const {
    for (const auto& [name, node] : fields) {
        if (name == key) {
            return &node;
        }
    }
    return nullptr;
}

Node tree_of(const Dossier& dossier, const parts::Catalogue& catalogue) {
    Table root(Manner::headed);
    root.raw("format", std::to_string(format_version))
        .put("item", tree_of(dossier.item))
        .filled("claims", headed_list(dossier.claims))
        .filled("supply", tree_of(dossier.supply))
        .filled("parts", parts_of(dossier.parts, catalogue))
        .filled("nets", nets_of(dossier.nets))
        .filled("readings", headed_list(dossier.readings))
        .filled("continuity", headed_list(dossier.continuity))
        .filled("waveforms", headed_list(dossier.waveforms))
        .filled("photos", headed_list(dossier.photos));
    if (dossier.reference) {
        root.put("reference", tree_of(*dossier.reference, catalogue));
    }
    return root.done();
}

}  // namespace etchback::dossier::detail
