// Which pins of a part lie on which nets, and which of them make up its windings.
#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>

#include "base/text.h"
#include "dossier/detail/reading.h"

namespace etchback::dossier::detail {

namespace {

std::vector<std::string> names_of(const std::vector<parts::PinSpec>& pins) {
    std::vector<std::string> names;
    names.reserve(pins.size());
    for (const parts::PinSpec& pin : pins) {
        names.push_back(pin.name);
    }
    return names;
}

std::string pins_hint(const parts::Kind& kind, std::string_view pin) {
    const std::vector<std::string> names = names_of(kind.pins);
    if (names.empty()) {
        return fmt::format("{} has no pins: take pins out", with_article(kind.title));
    }
    const std::string guess = did_you_mean(pin, names);
    const bool number =
        !pin.empty() && pin.find_first_not_of("0123456789") == std::string_view::npos;
    return fmt::format(
        "{}{}the pins of {} are {}{}",
        guess,
        guess.empty() ? "" : " ",
        with_article(kind.title),
        base::listed(names),
        number && names.size() > 2 ? "; its type's data sheet says which number is which" : "");
}

// Which of the kind's pins were written so far, and how.
class PinsSeen {
public:
    PinsSeen(const parts::Kind* kind, std::string where, const Context& context)
        : kind_(kind), where_(std::move(where)), context_(context) {}

    void see(const std::string& pin, const Place& place) {
        if (kind_ == nullptr) {
            return;
        }
        const auto index = kind_->pin(pin);
        if (!index) {
            complain_if_closed(pin, place);
            return;
        }
        const auto [first, is_new] = spelled_.emplace(*index, pin);
        if (!is_new) {
            context_.complain(place,
                              fmt::format("{}: pins {} and {} are the same pin, the {}",
                                          where_,
                                          in_quotes(first->second),
                                          in_quotes(pin),
                                          kind_->pins[*index].name),
                              "name each pin once");
        }
    }

private:
    void complain_if_closed(const std::string& pin, const Place& place) {
        if (!kind_->open_pins) {
            context_.complain(
                place,
                fmt::format(
                    "{}: {} has no pin {}", where_, with_article(kind_->title), in_quotes(pin)),
                pins_hint(*kind_, pin));
        }
    }

    const parts::Kind* kind_;
    std::string where_;
    const Context& context_;
    std::map<std::size_t, std::string> spelled_;
};

// The pin as the part's `pins` has it; windings may use another of its names.
const PinUse* pin_used(const Part& part, const parts::Kind* kind, const std::string& name) {
    const auto meant = kind != nullptr ? kind->pin(name) : std::nullopt;
    for (const PinUse& use : part.pins) {
        if (use.pin == name || (meant && kind->pin(use.pin) == meant)) {
            return &use;
        }
    }
    return nullptr;
}

void check_winding_pins(const Winding& winding,
                        const TableReader& reader,
                        const Place& place,
                        const parts::Kind* kind,
                        const Part& part,
                        const Context& c) {
    if (winding.pins.size() < 2) {
        c.complain(place,
                   fmt::format("{}: a winding needs two pins or more", reader.where()),
                   "write pins = [\"1\", \"2\"]; the first is the one with the dot");
    }
    std::vector<std::string> known;
    for (const PinUse& use : part.pins) {
        known.push_back(use.pin);
    }
    std::set<const PinUse*> seen;
    for (const Text& pin : winding.pins) {
        const PinUse* use = pin_used(part, kind, pin.value);
        if (use == nullptr) {
            const std::string guess = did_you_mean(pin.value, known);
            c.complain(pin.place,
                       fmt::format("{}: pin {} is not among the part's pins",
                                   reader.where(),
                                   in_quotes(pin.value)),
                       guess + (guess.empty() ? "" : " ") +
                           "each pin of a winding needs an entry in pins");
        } else if (!seen.insert(use).second) {
            c.complain(
                pin.place,
                fmt::format(
                    "{}: pin {} is in this winding twice", reader.where(), in_quotes(pin.value)),
                "name each pin of a winding once");
        }
    }
}

Winding read_winding(TableReader& reader,
                     const parts::Kind* kind,
                     const Part& part,
                     const Context& c) {
    Winding winding;
    winding.name = needed_text(reader, "name", "name the winding: name = \"primary\"");
    const std::size_t before = c.errors.size();
    winding.pins = reader.texts("pins");
    if (c.errors.size() == before) {  // else what is in the list is not all that was meant
        check_winding_pins(winding, reader, reader.place("pins"), kind, part, c);
    }
    winding.turns = reader.number("turns");
    if (winding.turns && winding.turns->value <= 0.0) {
        c.complain(winding.turns->place,
                   fmt::format("{}: {:g} turns cannot be", reader.where(), winding.turns->value),
                   "write the number of turns, above zero; the order of pins tells the direction");
    }
    winding.inductance = amount_of(reader, "inductance", base::Unit::henry, Least::above_zero, c);
    winding.resistance = amount_of(reader, "resistance", base::Unit::ohm, Least::zero, c);
    reader.finish();
    return winding;
}

}  // namespace

void read_pins(TableReader& part_reader, const parts::Kind* kind, Part& part, const Context& c) {
    const toml::table* table = part_reader.table("pins");
    if (table == nullptr) {
        return;
    }
    TableReader reader(*table, c.file, part_reader.where() + ", pins", c.errors);
    PinsSeen seen(kind, part_reader.where(), c);
    for (const std::string& pin : reader.keys()) {
        const Place place = reader.key_place(pin);
        check_name(pin, part_reader.where() + ": a pin", place, c);
        seen.see(pin, place);
        if (auto net = reader.text(pin)) {
            check_name(net->value,
                       fmt::format("{}, pin {}: the net", part_reader.where(), pin),
                       net->place,
                       c);
            part.pins.push_back({.pin = pin, .net = net->value, .place = net->place});
        }
    }
}

void read_pads(TableReader& part_reader, const parts::Kind* kind, Part& part, const Context& c) {
    part.pads_on = text_of(part_reader, "pads_on");
    const toml::table* table = part_reader.table("pads");
    if (table == nullptr) {
        if (!part.pads_on.value.empty()) {
            c.complain(part.pads_on.place,
                       fmt::format("{}: pads_on without pads says nothing", part_reader.where()),
                       "write where the pins' pads lie: pads = { 1 = [812, 430], 2 = [866, 431] }");
        }
        return;
    }
    TableReader reader(*table, c.file, part_reader.where() + ", pads", c.errors);
    PinsSeen seen(kind, part_reader.where() + ", pads", c);
    for (const std::string& pin : reader.keys()) {
        const Place place = reader.key_place(pin);
        check_name(pin, part_reader.where() + ": a pad", place, c);
        seen.see(pin, place);
        if (const auto spot = spot_of(reader, pin, c)) {
            part.pads.push_back({.pin = pin, .x = spot->first, .y = spot->second, .place = place});
        }
    }
}

void read_windings(TableReader& part_reader,
                   const parts::Kind* kind,
                   Part& part,
                   const Context& c) {
    std::set<std::string> names;
    for (const toml::table* table : part_reader.tables("windings")) {
        TableReader reader(
            *table,
            c.file,
            fmt::format("{}, winding {}", part_reader.where(), part.windings.size() + 1),
            c.errors);
        part.windings.push_back(read_winding(reader, kind, part, c));
        const Text& name = part.windings.back().name;
        if (!name.value.empty() && !names.insert(name.value).second) {
            c.complain(
                name.place,
                fmt::format(
                    "{}: two windings are called {}", part_reader.where(), in_quotes(name.value)),
                "give each winding a name of its own");
        }
    }
}

}  // namespace etchback::dossier::detail
