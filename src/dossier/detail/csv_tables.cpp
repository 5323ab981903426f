#include "dossier/detail/csv_tables.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <optional>

#include "dossier/detail/reading.h"

namespace etchback::dossier::detail {

namespace {

std::optional<double> number_in(const std::string& text) {
    double number = 0.0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), number);
    const bool whole =
        error == std::errc() && end == text.data() + text.size() && std::isfinite(number);
    return whole ? std::optional<double>(number) : std::nullopt;
}

void add_place(Pads& pads, const CsvTable& table, const CsvRow& row) {
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

std::string hint_for(const std::string& name, const std::vector<std::string>& known) {
    const std::string guess = did_you_mean(name, known);
    return guess.empty() ? "" : " (" + guess + ")";
}

}  // namespace

CsvTable::CsvTable(std::string_view text, const std::string& file, Errors& errors) : file_(file) {
    auto parsed = base::parse_csv(text, file);
    if (parsed) {
        csv_ = *std::move(parsed);
    } else {
        errors.insert(errors.end(), parsed.errors().begin(), parsed.errors().end());
    }
}

bool CsvTable::need(std::span<const std::string> columns, Errors& errors) const {
    bool complete = !csv_.header.empty();
    for (const std::string& column : columns) {
        if (!csv_.header.empty() && !csv_.column(column)) {
            errors.push_back(
                {{file_, 1, 1},
                 fmt::format("the table has no column '{}'", column),
                 fmt::format("its first line must name the columns {}", base::listed(columns))});
            complete = false;
        }
    }
    return complete;
}

std::string CsvTable::field(const CsvRow& row, std::string_view column) const {
    const auto index = csv_.column(column);
    return index ? std::string(base::trimmed(row.fields[*index])) : std::string();
}

std::map<std::string, Pads> read_pads(const CsvTable& table, Errors& errors) {
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

Join::Join(const CsvTable& parts, const std::map<std::string, Pads>& pads, Errors& errors)
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

void Join::complain(const std::string& nets_file, const std::string& parts_file) {
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

void Join::note_row(const CsvRow& row) {
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

}  // namespace etchback::dossier::detail
