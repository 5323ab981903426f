#include "copper/detail/drill_table.h"

#include <fmt/format.h>

#include <charconv>
#include <cmath>

#include "base/text.h"

namespace etchback::copper::detail {

namespace {

constexpr double usually_plated = 0.985;
constexpr double said_so = 0.999;

class Table {
public:
    Table(const base::Csv& csv, const std::string& file) : csv_(csv), file_(file) {}

    std::vector<Hole> holes() {
        const auto x = needed("x_mm");
        const auto y = needed("y_mm");
        const auto diameter = needed("diameter_mm");
        const auto plated = csv_.column("plated");
        std::vector<Hole> all;
        if (!x || !y || !diameter) {
            return all;
        }
        for (const base::CsvRow& row : csv_.rows) {
            Hole hole;
            hole.at = {number(row, *x), number(row, *y)};
            hole.diameter_mm = number(row, *diameter);
            if (!(hole.diameter_mm > 0.0)) {
                complain(row, *diameter, "a hole needs a diameter above zero");
            }
            hole.plated = plated ? chance(row, *plated) : usually_plated;
            hole.seen_top = hole.seen_bottom = true;
            all.push_back(hole);
        }
        return all;
    }

    base::Errors errors;

private:
    std::optional<std::size_t> needed(std::string_view name) {
        const auto column = csv_.column(name);
        if (!column) {
            errors.push_back({{file_, 1, 1},
                              fmt::format("the table of holes has no column {}", name),
                              "name the columns in the first line: x_mm,y_mm,diameter_mm,plated"});
        }
        return column;
    }

    void complain(const base::CsvRow& row, std::size_t column, std::string todo) {
        errors.push_back({row.place,
                          fmt::format("{} '{}' cannot be", csv_.header[column], row.fields[column]),
                          std::move(todo)});
    }

    double number(const base::CsvRow& row, std::size_t column) {
        const std::string_view text = base::trimmed(row.fields[column]);
        double value = 0.0;
        const auto read = std::from_chars(text.data(), text.data() + text.size(), value);
        if (read.ec != std::errc() || read.ptr != text.data() + text.size() ||
            !std::isfinite(value)) {
            complain(row, column, "write a number in mm, such as 12.5");
            return 0.0;
        }
        return value;
    }

    double chance(const base::CsvRow& row, std::size_t column) {
        const std::string word = base::lowered(base::trimmed(row.fields[column]));
        if (word.empty()) {
            return usually_plated;
        }
        if (word == "1" || word == "yes" || word == "true") {
            return said_so;
        }
        if (word != "0" && word != "no" && word != "false") {
            complain(row, column, "write 1 (plated) or 0 (bare)");
        }
        return 1.0 - said_so;
    }

    const base::Csv& csv_;
    const std::string& file_;
};

}  // namespace

base::Result<std::vector<Hole>> read_holes(std::string_view text, const std::string& file) {
    const auto csv = base::parse_csv(text, file);
    if (!csv) {
        return csv.errors();
    }
    Table table(*csv, file);
    std::vector<Hole> holes = table.holes();
    if (!table.errors.empty()) {
        return table.errors;
    }
    return holes;
}

}  // namespace etchback::copper::detail
