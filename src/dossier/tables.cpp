#include "dossier/tables.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <map>
#include <set>

#include "base/text.h"
#include "dossier/detail/guess_kind.h"
#include "dossier/detail/reading.h"

namespace etchback::dossier {

namespace {

using base::Csv;
using base::CsvRow;
using base::Errors;

// A table whose columns are asked for by name.
class Table {
public:
    Table(std::string_view text, const std::string& file, Errors& errors) : file_(file) {
        auto parsed = base::parse_csv(text, file);
        if (parsed) {
            csv_ = *std::move(parsed);
        } else {
            errors.insert(errors.end(), parsed.errors().begin(), parsed.errors().end());
        }
    }

    bool need(std::span<const std::string> columns, Errors& errors) const {
        bool complete = !csv_.header.empty();
        for (const std::string& column : columns) {
            if (!csv_.header.empty() && !csv_.column(column)) {
                errors.push_back({{file_, 1, 1},
                                  fmt::format("the table has no column '{}'", column),
                                  fmt::format("its first line must name the columns {}",
                                              base::listed(columns))});
                complete = false;
            }
        }
        return complete;
    }

    const std::vector<CsvRow>& rows() const { return csv_.rows; }

    std::string field(const CsvRow& row, std::string_view column) const {
        const auto index = csv_.column(column);
        return index ? std::string(base::trimmed(row.fields[*index])) : std::string();
    }

private:
    std::string file_;
    Csv csv_;
};

struct Pads {
    std::vector<PinUse> pins;
    Place place;
    double x_mm = 0.0;
    double y_mm = 0.0;
    int placed = 0;  // pads of which x and y are known
    bool bottom_only = true;
};

std::optional<double> number_in(const std::string& text) {
    double number = 0.0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), number);
    const bool whole = error == std::errc() && end == text.data() + text.size();
    return whole ? std::optional<double>(number) : std::nullopt;
}

void add_place(Pads& pads, const Table& table, const CsvRow& row) {
    const auto x = number_in(table.field(row, "x_mm"));
    const auto y = number_in(table.field(row, "y_mm"));
    if (x && y) {
        pads.x_mm += *x;
        pads.y_mm += *y;
        ++pads.placed;
    }
    if (table.field(row, "side") != "bottom") {
        pads.bottom_only = false;
    }
}

void add_pin(Pads& pads, PinUse use, const std::string& part, Errors& errors) {
    const auto known = std::ranges::find(pads.pins, use.pin, &PinUse::pin);
    if (known == pads.pins.end()) {
        pads.pins.push_back(std::move(use));
    } else if (known->net != use.net) {
        errors.push_back({use.place,
                          fmt::format("pin {}.{} is on net '{}' here and on net '{}' in line {}",
                                      part,
                                      use.pin,
                                      use.net,
                                      known->net,
                                      known->place.line),
                          "if the two nets are one, give both rows one name"});
    }
}

std::map<std::string, Pads> read_pads(const Table& table, Errors& errors) {
    std::map<std::string, Pads> by_part;
    for (const CsvRow& row : table.rows()) {
        const std::string part = table.field(row, "part");
        if (part.empty() || base::lowered(part) == "via") {
            continue;
        }
        PinUse use{
            .pin = table.field(row, "pin"), .net = table.field(row, "net"), .place = row.place};
        if (use.pin.empty() || use.net.empty()) {
            errors.push_back(
                {row.place,
                 fmt::format("part {}: the row has no {}", part, use.pin.empty() ? "pin" : "net"),
                 "write net, part and pin in each row"});
            continue;
        }
        Pads& pads = by_part[part];
        if (pads.pins.empty()) {
            pads.place = row.place;
        }
        add_pin(pads, std::move(use), part, errors);
        add_place(pads, table, row);
    }
    return by_part;
}

// A value that is a quantity, or else a type's name or, on a connector, the words beside it.
void take_value(Part& part,
                const parts::Kind* kind,
                base::Unit unit,
                const std::string& text,
                const Place& place) {
    if (text.empty()) {
        return;
    }
    const bool names_a_place =
        kind != nullptr && (kind->coupling == parts::Coupling::none || kind->off_board);
    if (names_a_place) {
        part.title = {text, place};
        return;
    }
    if (kind != nullptr && base::lowered(text) == base::lowered(kind->title)) {
        return;  // "LED"
    }
    const auto quantity = detail::value_in(text, unit);
    // Without a unit a bare number may be a type's name: 7805.
    if (quantity && quantity->unit != base::Unit::none && quantity->low >= 0.0) {
        part.value = Amount{*quantity, place};
    } else {
        part.type = {text, place};
    }
}

class PartsTable {
public:
    PartsTable(const Table& table, const parts::Catalogue& catalogue, Errors& errors)
        : table_(table), catalogue_(catalogue), errors_(errors) {}

    Part part_from(const CsvRow& row, const Pads& pads) {
        Part part;
        part.name = table_.field(row, "part");
        part.place = row.place;
        part.body = {table_.field(row, "body"), row.place};
        part.pins = pads.pins;
        std::ranges::stable_sort(part.pins, base::natural_less, &PinUse::pin);
        std::string value = table_.field(row, "value");
        if (detail::means_not_fitted(value)) {
            part.fitted = false;
            part.note = {fmt::format("not fitted: the parts table says {}", value), row.place};
            value.clear();
        }
        const auto [kind, unit] = kind_of(part, row, value);
        if (kind != nullptr) {
            part.kind = {kind->id, row.place};
        }
        take_value(part, kind, unit, value, row.place);
        if (const std::string title = table_.field(row, "title"); !title.empty()) {
            part.title = {title, row.place};
        }
        if (pads.placed > 0) {
            part.position = Position{.x_mm = rounded(pads.x_mm / pads.placed),
                                     .y_mm = rounded(pads.y_mm / pads.placed),
                                     .turn_deg = 0.0,
                                     .bottom = pads.bottom_only};
        }
        return part;
    }

private:
    static double rounded(double mm) { return std::round(mm * 1000.0) / 1000.0; }

    // With the unit that a value has.
    std::pair<const parts::Kind*, base::Unit> kind_of(Part& part,
                                                      const CsvRow& row,
                                                      const std::string& value) {
        const std::string given = table_.field(row, "kind");
        if (given.empty()) {
            return guessed(part, value, row.place);
        }
        const parts::Kind* kind = catalogue_.find(given);
        if (kind == nullptr && base::lowered(given) != "unknown") {
            const auto near = catalogue_.suggestion(given);
            errors_.push_back(
                {row.place,
                 fmt::format("part {}: no kind of part is called '{}'", part.name, given),
                 near ? fmt::format("did you mean '{}'?", *near)
                      : "leave the field empty if you do not know it"});
        }
        if (kind != nullptr) {
            check_pins(part, *kind);
        }
        return {kind, kind != nullptr ? kind->value_unit : base::Unit::none};
    }

    std::pair<const parts::Kind*, base::Unit> guessed(Part& part,
                                                      const std::string& value,
                                                      const Place& place) {
        std::vector<std::string> pins;
        for (const PinUse& use : part.pins) {
            pins.push_back(use.pin);
        }
        const detail::Guess guess =
            detail::guess_kind(part.name, value, part.body.value, pins, catalogue_);
        if (!guess.because.empty()) {
            const std::string before = part.note.value.empty() ? "" : part.note.value + "; ";
            part.note = {before + guess.because, place};
        }
        if (guess.kind != nullptr) {
            part.known.emplace("kind", Basis::assumed);
        }
        for (PinUse& use : part.pins) {
            if (const auto renamed = guess.pins_renamed.find(use.pin);
                renamed != guess.pins_renamed.end()) {
                use.pin = renamed->second;
                part.known.emplace("pins", Basis::assumed);
            }
        }
        return {guess.kind, guess.value_unit};
    }

    void check_pins(const Part& part, const parts::Kind& kind) {
        for (const PinUse& use : part.pins) {
            if (!kind.pin(use.pin) && !kind.open_pins) {
                std::vector<std::string> names;
                for (const parts::PinSpec& pin : kind.pins) {
                    names.push_back(pin.name);
                }
                errors_.push_back({use.place,
                                   fmt::format("part {}: {} has no pin '{}'",
                                               part.name,
                                               detail::with_article(kind.title),
                                               use.pin),
                                   fmt::format("its pins are {}", base::listed(names))});
            }
        }
    }

    const Table& table_;
    const parts::Catalogue& catalogue_;
    Errors& errors_;
};

std::string hint_for(const std::string& name, const std::vector<std::string>& known) {
    const std::string guess = detail::did_you_mean(name, known);
    return guess.empty() ? "" : " (" + guess + ")";
}

// Each row of the parts table with its pads, and complaints of parts that one table lacks.
class Join {
public:
    Join(const Table& parts, const std::map<std::string, Pads>& pads, Errors& errors)
        : parts_(parts), pads_(pads), errors_(errors) {
        for (const CsvRow& row : parts.rows()) {
            note_row(row);
        }
        for (const auto& [name, own] : pads) {
            if (!rows_.contains(name)) {
                without_row_.push_back(name);
            }
        }
    }

    void complain(const std::string& nets_file, const std::string& parts_file) {
        for (const std::string& name : without_pins_) {
            errors_.push_back(
                {rows_.at(name)->place,
                 fmt::format("part {} has no pin in {}", name, nets_file),
                 "add its pins there, or take this row out" + hint_for(name, without_row_)});
        }
        for (const std::string& name : without_row_) {
            errors_.push_back(
                {pads_.at(name).place,
                 fmt::format("part {} is not in {}", name, parts_file),
                 "add a row for it there, or take its pins out" + hint_for(name, without_pins_)});
        }
    }

    // In the order of the parts table.
    const std::vector<std::pair<const CsvRow*, const Pads*>>& matches() const { return matches_; }

private:
    void note_row(const CsvRow& row) {
        const std::string name = parts_.field(row, "part");
        if (name.empty()) {
            errors_.push_back({row.place, "the row has no part", "write the part's name"});
            return;
        }
        const auto [first, is_new] = rows_.emplace(name, &row);
        if (!is_new) {
            errors_.push_back(
                {row.place,
                 fmt::format("part {} is in line {} already", name, first->second->place.line),
                 "give each part one row"});
        } else if (const auto own = pads_.find(name); own != pads_.end()) {
            matches_.emplace_back(&row, &own->second);
        } else {
            without_pins_.push_back(name);
        }
    }

    const Table& parts_;
    const std::map<std::string, Pads>& pads_;
    Errors& errors_;
    std::map<std::string, const CsvRow*> rows_;
    std::vector<std::pair<const CsvRow*, const Pads*>> matches_;
    std::vector<std::string> without_pins_;
    std::vector<std::string> without_row_;
};

}  // namespace

base::Result<Dossier> from_tables(std::string_view nets_csv,
                                  const std::string& nets_file,
                                  std::string_view parts_csv,
                                  const std::string& parts_file,
                                  const parts::Catalogue& catalogue) {
    static const std::array<std::string, 3> net_columns = {"net", "part", "pin"};
    static const std::array<std::string, 3> part_columns = {"part", "value", "body"};
    Errors errors;
    const Table nets(nets_csv, nets_file, errors);
    const Table parts(parts_csv, parts_file, errors);
    const bool nets_complete = nets.need(net_columns, errors);
    const bool parts_complete = parts.need(part_columns, errors);
    if (!nets_complete || !parts_complete) {
        base::sort_by_place(errors);
        return errors;
    }
    Dossier dossier;
    dossier.item.name = {"unnamed board", {}};
    const auto pads = read_pads(nets, errors);
    Join join(parts, pads, errors);
    join.complain(nets_file, parts_file);
    PartsTable reader(parts, catalogue, errors);
    for (const auto& [row, own] : join.matches()) {
        dossier.parts.push_back(reader.part_from(*row, *own));
    }
    if (!errors.empty()) {
        base::sort_by_place(errors);
        return errors;
    }
    return dossier;
}

}  // namespace etchback::dossier
