#include "dossier/detail/tree.h"

#include "dossier/detail/fields.h"
#include "dossier/words.h"

namespace etchback::dossier::detail {

namespace {

using base::Unit;
using Manner = Node::Manner;

Node tree_of(const Item& item) {
    return Fields(Manner::headed)
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
    return Fields(Manner::headed)
        .raw("quantity", string_text(claim.quantity.value))
        .amount("value", claim.value, unit_of(claim.quantity.value))
        .text("where", claim.where.value)
        .long_text("note", claim.note)
        .done();
}

Node tree_of(const Supply& supply) {
    Fields table(Manner::headed);
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

Node tree_of(const NetNote& net) {
    return Fields(Manner::headed)
        .text("role", net.role.value)
        .texts("also", net.also)
        .amount("voltage", net.voltage, Unit::volt)
        .flag("touchable", net.touchable, false)
        .long_text("note", net.note)
        .done();
}

Node nets_of(const std::vector<NetNote>& nets) {
    Fields table(Manner::headed, true);
    for (const NetNote& net : nets) {
        table.put(net.name, tree_of(net));
    }
    return table.done();
}

Node tree_of(const Reading& reading) {
    const bool in_percent = reading.uncertainty && reading.uncertainty->value.unit == Unit::percent;
    return Fields(Manner::headed)
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
    return Fields(Manner::headed)
        .texts("between", beep.between)
        .raw("beeps", beep.beeps ? "true" : "false")
        .long_text("note", beep.note)
        .done();
}

Node tree_of(const Waveform& waveform) {
    return Fields(Manner::headed)
        .raw("file", string_text(waveform.file.value))
        .text("what", waveform.what.value)
        .texts("between", waveform.between)
        .text("through", waveform.through.value)
        .number("probe", waveform.probe)
        .text("meter", waveform.meter.value)
        .amount("sample_rate", waveform.sample_rate, Unit::hertz)
        .amount("current_delay", waveform.current_delay, Unit::second)
        .number("zero", waveform.zero)
        .amount("added_capacitance", waveform.added_capacitance, Unit::farad)
        .text("scenario", waveform.scenario.value)
        .long_text("note", waveform.note)
        .done();
}

Node tree_of(const PhotoPoint& point) {
    Fields table(Manner::inline_);
    table.raw("name", string_text(point.name.value)).spot("at", point.x_px, point.y_px);
    if (point.x_mm && point.y_mm) {
        table.spot("board_mm", *point.x_mm, *point.y_mm);
    }
    return table.done();
}

Node tree_of(const Photo& photo) {
    return Fields(Manner::headed)
        .raw("file", string_text(photo.file.value))
        .text("side", photo.side.value)
        .text("shows", photo.shows.value)
        .text("seen_from", photo.seen_from.value)
        .number("px_per_mm", photo.px_per_mm)
        .filled(
            "points",
            list_from(
                photo.points, Manner::line_each, [](const PhotoPoint& p) { return tree_of(p); }))
        .long_text("note", photo.note)
        .done();
}

Node tree_of(const KnownLength& length) {
    return Fields(Manner::headed)
        .raw("photo", string_text(length.photo.value))
        .spot("from", length.from_x_px, length.from_y_px)
        .spot("to", length.to_x_px, length.to_y_px)
        .amount("length", length.length, Unit::metre)
        .long_text("note", length.note)
        .done();
}

Node tree_of(const Board& board) {
    Fields table(Manner::headed);
    table.amount("width", board.width, Unit::metre).amount("height", board.height, Unit::metre);
    if (board.sides) {
        table.raw("sides", std::to_string(board.sides->value));
    }
    return table.text("mask", board.mask.value)
        .text("holes", board.holes.value)
        .long_text("note", board.note)
        .filled("lengths",
                list_from(board.lengths,
                          Manner::headed,
                          [](const KnownLength& length) { return tree_of(length); }))
        .done();
}

Node tree_of(const Stroke& stroke) {
    Fields table(Manner::headed);
    table.raw("photo", string_text(stroke.photo.value))
        .raw("says", string_text(stroke.says.value))
        .put("along", list_from(stroke.along, Manner::inline_, [](const auto& at) {
                 return spot_node(at.first, at.second);
             }));
    if (stroke.width_px != 0.0) {
        table.raw("width", number_text(stroke.width_px));
    }
    return table.long_text("note", stroke.note).done();
}

Node tree_of(const Deed& deed) {
    return Fields(Manner::inline_)
        .raw("what", string_text(deed.what.value))
        .amount("at", deed.at, Unit::second)
        .number("factor", deed.factor)
        .text("load", deed.load.value)
        .done();
}

Node tree_of(const Scenario& scenario) {
    return Fields(Manner::headed)
        .raw("id", string_text(scenario.id.value))
        .text("title", scenario.title.value)
        .long_text("words", scenario.words)
        .text("supply", scenario.supply.value)
        .amount("supply_voltage", scenario.supply_voltage, Unit::volt)
        .amount("supply_phase", scenario.supply_phase, Unit::degree)
        .text("from", scenario.from.value)
        .amount("span", scenario.span, Unit::second)
        .amount("measure", scenario.measure, Unit::second)
        .flag("steady_at_end", scenario.steady_at_end, false)
        .filled(
            "deeds",
            list_from(
                scenario.deeds, Manner::line_each, [](const Deed& deed) { return tree_of(deed); }))
        .done();
}

Node step_node(const std::pair<int, int>& steps) {
    return spot_node(steps.first, steps.second);
}

Node tree_of(const PartWish& wish) {
    Fields table(Manner::inline_);
    if (wish.at) {
        table.put("at", step_node(wish.at->value));
    }
    table.text("from", wish.from.value);
    if (wish.by) {
        table.put("by", step_node(wish.by->value));
    }
    table.text("right_of", wish.right_of.value)
        .text("left_of", wish.left_of.value)
        .text("above", wish.above.value)
        .text("below", wish.below.value);
    if (wish.turn) {
        table.raw("turn", std::to_string(wish.turn->value));
    }
    if (wish.flip) {
        table.raw("flip", wish.flip->value ? "true" : "false");
    }
    return table.done();
}

Node texts_node(const std::vector<Text>& texts, Manner manner) {
    return list_from(
        texts, manner, [](const Text& text) { return Node::value_of(string_text(text.value)); });
}

Node tree_of(const DrawingWishes& drawing) {
    Fields parts(Manner::headed);
    for (const auto& [name, wish] : drawing.parts) {
        parts.put(name, tree_of(wish));
    }
    return Fields(Manner::headed)
        .text("symbols", drawing.symbols.value)
        .text("paper", drawing.paper.value)
        .text("revision", drawing.revision.value)
        .texts("show", drawing.show)
        .filled("notes", texts_node(drawing.notes, Manner::line_each))
        .filled("together",
                list_from(drawing.together,
                          Manner::line_each,
                          [](const std::vector<Text>& group) {
                              return texts_node(group, Manner::inline_);
                          }))
        .filled("parts", parts.done())
        .done();
}

Node tree_of(const Reference& reference, const parts::Catalogue& catalogue) {
    return Fields(Manner::headed)
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
    Fields root(Manner::headed);
    root.raw("format", std::to_string(format_version))
        .put("item", tree_of(dossier.item))
        .filled("claims", headed_list(dossier.claims))
        .filled("supply", tree_of(dossier.supply))
        .filled("parts", parts_of(dossier.parts, catalogue))
        .filled("nets", nets_of(dossier.nets))
        .filled("readings", headed_list(dossier.readings))
        .filled("continuity", headed_list(dossier.continuity))
        .filled("waveforms", headed_list(dossier.waveforms))
        .filled("photos", headed_list(dossier.photos))
        .filled("board", tree_of(dossier.board))
        .filled("strokes", headed_list(dossier.strokes))
        .filled("scenarios", headed_list(dossier.scenarios))
        .filled("drawing", tree_of(dossier.drawing));
    if (dossier.reference) {
        root.put("reference", tree_of(*dossier.reference, catalogue));
    }
    return root.done();
}

}  // namespace etchback::dossier::detail
