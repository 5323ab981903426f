#include "dossier/tables.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "base/text.h"
#include "dossier/detail/csv_tables.h"
#include "dossier/detail/guess_kind.h"
#include "dossier/detail/reading.h"
#include "dossier/read.h"
#include "dossier/write.h"

namespace etchback::dossier {

namespace {

using base::CsvRow;
using base::Errors;
using detail::CsvTable;
using detail::Pads;

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
    PartsTable(const CsvTable& table, const parts::Catalogue& catalogue, Errors& errors)
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

    const CsvTable& table_;
    const parts::Catalogue& catalogue_;
    Errors& errors_;
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
    const CsvTable nets(nets_csv, nets_file, errors);
    const CsvTable parts(parts_csv, parts_file, errors);
    const bool nets_complete = nets.need(net_columns, errors);
    const bool parts_complete = parts.need(part_columns, errors);
    if (!nets_complete || !parts_complete) {
        base::sort_by_place(errors);
        return errors;
    }
    Dossier dossier;
    dossier.item.name = {"unnamed board", {}};
    const auto pads = detail::read_pads(nets, errors);
    detail::Join join(parts, pads, errors);
    join.complain(nets_file, parts_file);
    PartsTable reader(parts, catalogue, errors);
    for (const auto& [row, own] : join.matches()) {
        dossier.parts.push_back(reader.part_from(*row, *own));
    }
    // Names that a table may hold but a dossier may not: R1 beside r1, a line break.
    if (errors.empty()) {
        const auto back = read(write(dossier, catalogue), "", catalogue);
        for (const base::Error& error : back ? Errors{} : back.errors()) {
            errors.push_back({{parts_file, 0, 0}, error.what, error.todo});
        }
    }
    if (!errors.empty()) {
        base::sort_by_place(errors);
        return errors;
    }
    return dossier;
}

}  // namespace etchback::dossier
