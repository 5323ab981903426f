// The two tables that a dossier can be made from: pads on nets, and parts.
#pragma once

#include <map>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "base/error.h"
#include "base/text.h"
#include "dossier/dossier.h"

namespace etchback::dossier::detail {

using base::CsvRow;
using base::Errors;

// A table whose columns are asked for by name.
class CsvTable {
public:
    CsvTable(std::string_view text, const std::string& file, Errors& errors);

    // False, with an error for each, unless all these columns are there.
    bool need(std::span<const std::string> columns, Errors& errors) const;
    const std::vector<CsvRow>& rows() const { return csv_.rows; }
    // Empty if there is no such column.
    std::string field(const CsvRow& row, std::string_view column) const;

private:
    std::string file_;
    base::Csv csv_;
};

// The pins of one part and the middle of its pads.
struct Pads {
    std::vector<PinUse> pins;
    Place place;
    double x_mm = 0.0;
    double y_mm = 0.0;
    int placed = 0;  // pads of which x and y are known
    bool bottom_only = true;
};

// By the part's name. Points on a net that are no pin of a part are passed over.
std::map<std::string, Pads> read_pads(const CsvTable& table, Errors& errors);

// Each row of the parts table with its pads, and complaints of parts that one table lacks.
class Join {
public:
    Join(const CsvTable& parts, const std::map<std::string, Pads>& pads, Errors& errors);

    void complain(const std::string& nets_file, const std::string& parts_file);
    // In the order of the parts table.
    const std::vector<std::pair<const CsvRow*, const Pads*>>& matches() const { return matches_; }

private:
    void note_row(const CsvRow& row);

    const CsvTable& parts_;
    const std::map<std::string, Pads>& pads_;
    Errors& errors_;
    std::map<std::string, const CsvRow*> rows_;
    std::vector<std::pair<const CsvRow*, const Pads*>> matches_;
    std::vector<std::string> without_pins_;
    std::vector<std::string> without_row_;
};

}  // namespace etchback::dossier::detail
