// What the item is, what it claims to be, and what feeds it.
#include <fmt/format.h>

#include <array>

#include "base/text.h"
#include "dossier/detail/calendar.h"
#include "dossier/detail/reading.h"
#include "dossier/words.h"

namespace etchback::dossier::detail {

namespace {

Text read_date(TableReader& reader, const Context& context) {
    Text date = reader.spelled("date").value_or(Text{});
    if (reader.has("date") && !is_date(date.value) && !date.value.empty()) {
        context.complain(date.place,
                         fmt::format("{}: {} is no date", reader.where(), in_quotes(date.value)),
                         "write year-month-day, as in date = 2026-03-14");
    }
    return date;
}

// A protection class is printed in Roman numerals as often as not.
std::optional<Amount> protection_class(TableReader& reader) {
    const auto spelled = reader.spelled("value");
    if (!spelled) {
        return std::nullopt;
    }
    static const std::array<std::string_view, 4> roman = {"0", "I", "II", "III"};
    static const std::array<std::string_view, 4> arabic = {"0", "1", "2", "3"};
    std::string_view number = base::trimmed(spelled->value);
    if (base::lowered(number).starts_with("class ")) {
        number = base::trimmed(number.substr(std::string_view("class ").size()));
    }
    for (std::size_t i = 0; i < roman.size(); ++i) {
        if (number == roman[i] || number == arabic[i]) {
            return Amount{Quantity::of(static_cast<double>(i), base::Unit::none), spelled->place};
        }
    }
    reader.complain(spelled->place,
                    fmt::format("{} is no protection class", in_quotes(spelled->value)),
                    "write 0, 1, 2 or 3 (or 0, I, II, III)");
    return std::nullopt;
}

Claim read_claim(TableReader& reader) {
    Claim claim;
    claim.place = reader.place();
    claim.quantity = quantity_word_of(reader);
    if (!reader.has("value")) {
        reader.know("value");
        reader.require("value", "write what is claimed: value = \"3.6 W\"");
    } else if (claim.quantity.value == "protection class") {
        claim.value = protection_class(reader).value_or(Amount{});
    } else {
        claim.value = reader.quantity("value", unit_of(claim.quantity.value)).value_or(Amount{});
    }
    claim.where = text_of(reader, "where");
    claim.note = text_of(reader, "note");
    reader.finish();
    return claim;
}

}  // namespace

Item read_item(TableReader& root, const Context& context) {
    Item item;
    const toml::table* table = root.table("item");
    if (table == nullptr) {
        if (!root.has("item")) {
            context.complain({context.file, 1, 1},
                             "the dossier has no [item] table",
                             "add [item] and under it name = \"what it is\"");
        }
        return item;
    }
    TableReader reader(*table, context.file, "item", context.errors);
    item.name = needed_text(reader, "name", "say what it is: name = \"desk lamp\"");
    item.story = text_of(reader, "story");
    item.maker = text_of(reader, "maker");
    item.model = reader.spelled("model").value_or(Text{});
    item.author = text_of(reader, "author");
    item.licence = text_of(reader, "licence");
    item.date = read_date(reader, context);
    item.invented = flag_of(reader, "invented", false);
    reader.finish();
    return item;
}

std::vector<Claim> read_claims(TableReader& root, const Context& context) {
    std::vector<Claim> claims;
    for (const toml::table* table : root.tables("claims")) {
        TableReader reader(
            *table, context.file, fmt::format("claim {}", claims.size() + 1), context.errors);
        claims.push_back(read_claim(reader));
    }
    return claims;
}

Supply read_supply(TableReader& root, const Context& context) {
    Supply supply;
    const toml::table* table = root.table("supply");
    if (table == nullptr) {
        return supply;
    }
    static const std::array<std::string, 2> kinds = {"ac", "dc"};
    TableReader reader(*table, context.file, "supply", context.errors);
    const auto kind = reader.word("kind", kinds);
    supply.kind = kind && kind->value == "dc" ? Supply::Kind::dc : Supply::Kind::ac;
    supply.voltage = amount_of(reader, "voltage", base::Unit::volt, Least::above_zero, context);
    supply.frequency =
        amount_of(reader, "frequency", base::Unit::hertz, Least::above_zero, context);
    if (supply.kind == Supply::Kind::dc && supply.frequency) {
        context.complain(reader.key_place("frequency"),
                         "supply: a dc supply has no frequency",
                         "take frequency out, or write kind = \"ac\"");
    }
    if (const auto earthed = reader.flag("earthed")) {
        supply.earthed = earthed->value;
    }
    supply.note = text_of(reader, "note");
    reader.finish();
    return supply;
}

}  // namespace etchback::dossier::detail
