// One part: what it is and what is known of it.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <map>
#include <span>

#include "base/text.h"
#include "dossier/detail/reading.h"
#include "dossier/words.h"

namespace etchback::dossier::detail {

namespace {

using base::Unit;

const parts::Kind* read_kind(TableReader& reader, Part& part, const Context& context) {
    const auto word = reader.text("kind");
    if (!word) {
        return nullptr;
    }
    part.kind.place = word->place;
    if (word->value.empty()) {
        return nullptr;
    }
    const parts::Kind* kind = context.catalogue.find(word->value);
    if (kind == nullptr) {
        const auto near = context.catalogue.suggestion(word->value);
        context.complain(
            word->place,
            fmt::format("{}: no kind of part is called {}", reader.where(), in_quotes(word->value)),
            (near ? fmt::format("did you mean '{}'? ", *near) : std::string()) +
                "leave kind out if you do not know it");
        return nullptr;
    }
    if (kind->id == "unknown") {
        return nullptr;
    }
    part.kind.value = kind->id;
    return kind;
}

// A value without a unit, of a part whose kind has none for it. It may be a name: 1N4007 and K7
// could be read as 1.4007 nano and 0.7 kilo of nothing.
const std::string* value_without_unit(const toml::table& table, const parts::Kind* kind) {
    const auto* text = table.get_as<std::string>("value");
    if (text == nullptr) {
        return nullptr;
    }
    const auto quantity = base::parse_quantity(text->get(), Unit::none);
    const bool begins_as_number = text->get().find_first_of("0123456789.+-") == 0;
    const bool wrong_otherwise = !quantity && kind == nullptr && begins_as_number;
    const bool has_unit = quantity && quantity->unit != Unit::none;
    return has_unit || wrong_otherwise ? nullptr : &text->get();
}

// "22uF/50V" and "5 A" of a resettable fuse: the value is meant well, its key is another.
void name_the_ratings(base::Error& error) {
    for (const auto& [unit, key] : {std::pair{"given in volt,", "rated_voltage"},
                                    std::pair{"given in ampere,", "rated_current"},
                                    std::pair{"given in watt,", "rated_power"}}) {
        if (error.what.find(unit) != std::string::npos) {
            error.todo += fmt::format("; a rating goes into {}", key);
        }
    }
}

// "7805" of a regulator and "4735" of a Zener diode read as volts: where
// no unit is written, what no such part has is taken for a name in the wrong place.
void check_is_no_name(TableReader& reader,
                      const toml::table& table,
                      const parts::Kind* kind,
                      const Part& part,
                      const Context& context) {
    constexpr double least_v = 0.1;
    constexpr double most_v = 1000.0;
    static const std::array<std::string_view, 2> ids = {"zener_diode", "diac"};
    const bool concerned =
        kind != nullptr && kind->value_unit == Unit::volt &&
        (kind->family == "regulator" || std::ranges::find(ids, kind->id) != ids.end());
    if (!concerned || !part.value ||
        (part.value->value.low >= least_v && part.value->value.high <= most_v)) {
        return;
    }
    const auto* text = table.get_as<std::string>("value");
    const std::string written = text != nullptr ? text->get() : reader.spelled("value")->value;
    if (base::lowered(written).find('v') == std::string::npos) {
        context.complain(part.value->place,
                         fmt::format("{}: value {} is no voltage of {}",
                                     reader.where(),
                                     in_quotes(written),
                                     with_article(kind->title)),
                         "write a voltage, such as \"5 V\"; a registered or maker's type goes "
                         "into type, what is printed on the part into marking");
    }
}

// Keys that mean something on some kinds only; a part of unknown kind may have any.
void check_key_fits(TableReader& reader,
                    const parts::Kind* kind,
                    std::string_view key,
                    std::span<const std::string_view> families,
                    std::string_view owners,
                    const Context& context) {
    if (kind == nullptr || !reader.has(key) ||
        std::ranges::find(families, kind->family) != families.end()) {
        return;
    }
    context.complain(
        reader.key_place(key),
        fmt::format("{}: {} has no {}", reader.where(), with_article(kind->title), key),
        fmt::format("only {} have that: take it out, or mend kind", owners));
}

void check_keys_fit(TableReader& reader, const parts::Kind* kind, const Context& context) {
    static const std::array<std::string_view, 3> wound = {"transformer", "choke", "inductor"};
    static const std::array<std::string_view, 3> chips = {"controller", "regulator", "amplifier"};
    for (const std::string_view key : {"windings", "leakage"}) {
        check_key_fits(
            reader, kind, key, wound, "transformers, chokes and coupled inductors", context);
    }
    for (const std::string_view key : {"family", "thresholds"}) {
        check_key_fits(reader, kind, key, chips, "controllers and other chips", context);
    }
}

void read_value(TableReader& reader,
                const toml::table& table,
                const parts::Kind* kind,
                Part& part,
                const Context& context) {
    const Unit unit = kind != nullptr ? kind->value_unit : Unit::none;
    const std::string* bare = unit == Unit::none ? value_without_unit(table, kind) : nullptr;
    if (bare != nullptr) {
        reader.know("value");
        context.complain(
            reader.place("value"),
            fmt::format("{}: value {} has no unit", reader.where(), in_quotes(*bare)),
            "write a quantity with its unit, such as \"4.7 kohm\"; a name printed on the "
            "part goes into marking, a registered or maker's type into type");
    } else {
        const std::size_t before = context.errors.size();
        part.value = amount_of(reader, "value", unit, Least::zero, context);
        if (context.errors.size() > before) {
            name_the_ratings(context.errors.back());
        }
        check_is_no_name(reader, table, kind, part, context);
    }
    part.tolerance = amount_of(reader, "tolerance", Unit::percent, Least::zero, context);
    if (part.tolerance && part.tolerance->value.high > 100.0) {
        context.complain(part.tolerance->place,
                         fmt::format("{}: a tolerance of {:g} % says nothing",
                                     reader.where(),
                                     part.tolerance->value.high),
                         "write a tolerance of at most 100 %, or leave it out");
    }
}

void read_ratings(TableReader& reader, Part& part, const Context& context) {
    constexpr auto above = Least::above_zero;
    part.rated_voltage = amount_of(reader, "rated_voltage", Unit::volt, above, context);
    part.rated_current = amount_of(reader, "rated_current", Unit::ampere, above, context);
    part.rated_power = amount_of(reader, "rated_power", Unit::watt, above, context);
    part.rated_temperature = reader.quantity("rated_temperature", Unit::celsius);
}

// The kind's own quantities: only those that the catalogue lists, any if the kind is not known.
void read_properties(TableReader& reader,
                     const parts::Kind* kind,
                     Part& part,
                     const Context& context) {
    const toml::table* table = reader.table("properties");
    if (table == nullptr) {
        return;
    }
    TableReader own(*table, context.file, reader.where() + ", properties", context.errors);
    if (kind == nullptr) {
        for (const std::string& key : own.keys()) {
            if (auto amount = own.quantity(key, Unit::none)) {
                part.properties.emplace(key, *amount);
            }
        }
        return;
    }
    for (const parts::Property& property : kind->properties) {
        if (auto amount = own.quantity(property.key, property.unit)) {
            part.properties.emplace(property.key, *amount);
        }
    }
    own.finish();
}

void read_thresholds(TableReader& reader, Part& part, const Context& context) {
    const toml::table* table = reader.table("thresholds");
    if (table == nullptr) {
        return;
    }
    TableReader own(*table, context.file, reader.where() + ", thresholds", context.errors);
    for (const std::string& key : own.keys()) {
        check_name(key, reader.where() + ": a threshold", own.key_place(key), context);
        if (auto amount = own.quantity(key, Unit::none)) {
            part.thresholds.emplace(key, *amount);
        }
    }
}

void read_position(TableReader& reader, Part& part, const Context& context) {
    const toml::table* table = reader.table("position");
    if (table == nullptr) {
        return;
    }
    static const std::array<std::string, 2> sides = {"top", "bottom"};
    TableReader own(*table, context.file, reader.where() + ", position", context.errors);
    Position position;
    for (const auto& [key, number] : {std::pair{"x_mm", &position.x_mm},
                                      std::pair{"y_mm", &position.y_mm},
                                      std::pair{"turn_deg", &position.turn_deg}}) {
        if (const auto found = own.number(key)) {
            *number = found->value;
        }
    }
    own.require("x_mm", "write both x_mm and y_mm, in mm from the board's upper left corner");
    own.require("y_mm", "write both x_mm and y_mm, in mm from the board's upper left corner");
    const auto side = own.word("side", sides);
    position.bottom = side && side->value == "bottom";
    own.finish();
    part.position = position;
}

Part read_part(const std::string& name,
               const toml::table& table,
               std::string_view what,
               const Place& place,
               const Context& context) {
    TableReader reader(table, context.file, fmt::format("{} {}", what, name), context.errors);
    Part part;
    part.name = name;
    part.place = place;
    const parts::Kind* kind = read_kind(reader, part, context);
    part.title = text_of(reader, "title");
    part.marking = reader.spelled("marking").value_or(Text{});
    part.type = reader.spelled("type").value_or(Text{});
    read_value(reader, table, kind, part, context);
    part.body = reader.spelled("body").value_or(Text{});
    read_ratings(reader, part, context);
    read_properties(reader, kind, part, context);
    read_pins(reader, kind, part, context);
    read_windings(reader, kind, part, context);
    part.leakage = amount_of(reader, "leakage", Unit::henry, Least::zero, context);
    part.family = text_of(reader, "family");
    read_thresholds(reader, part, context);
    check_keys_fit(reader, kind, context);
    read_position(reader, part, context);
    read_pads(reader, kind, part, context);
    part.fitted = flag_of(reader, "fitted", true);
    part.touchable = flag_of(reader, "touchable", false);
    part.note = text_of(reader, "note");
    read_known(reader, table, part, context);
    read_alternatives(reader, part, context);
    reader.finish();
    return part;
}

}  // namespace

std::vector<Part> read_parts(TableReader& owner, std::string_view what, const Context& context) {
    std::vector<Part> parts;
    const toml::table* table = owner.table("parts");
    if (table == nullptr) {
        return parts;
    }
    TableReader reader(*table, context.file, "parts", context.errors);
    std::map<std::string, std::string> by_small_letters;
    for (const std::string& name : reader.keys()) {
        const Place place = reader.key_place(name);
        const toml::table* own = reader.table(name);
        if (own == nullptr) {
            continue;
        }
        check_name(name, what, place, context);
        const auto [twin, is_new] = by_small_letters.emplace(base::lowered(name), name);
        if (!is_new) {
            context.complain(place,
                             fmt::format("{}s {} and {} differ only in capital letters",
                                         what,
                                         in_quotes(twin->second),
                                         in_quotes(name)),
                             "give one of them another name");
        }
        parts.push_back(read_part(name, *own, what, place, context));
    }
    return parts;
}

std::optional<Reference> read_reference(TableReader& root, const Context& context) {
    const toml::table* table = root.table("reference");
    if (table == nullptr) {
        return std::nullopt;
    }
    TableReader reader(*table, context.file, "reference", context.errors);
    Reference reference;
    reference.title = text_of(reader, "title");
    reference.source = text_of(reader, "source");
    reference.parts = read_parts(reader, "reference part", context);
    reader.finish();
    return reference;
}

}  // namespace etchback::dossier::detail
