// docs/symbols.svg is the sheet of all symbols in both standards. Whoever changes a symbol looks at
// the sheet that this test leaves beside its program and, if it is good, copies it over.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "base/file.h"
#include "drawing/sample_parts.h"
#include "drawing/svg.h"

namespace etchback::drawing {
namespace {

constexpr double column_width = 27.0;
constexpr int columns = 4;
constexpr double heading = 3.5;  // height above the symbols of a row
constexpr double margin = 2.0;

double height_of(const Box& box) {
    return box.bottom - box.top;
}

// Ids of the symbols, the IEC one below on the left and the ANSI one on the right; where both are
// the same, one in the middle.
class Sheet {
public:
    explicit Sheet(const circuit::Circuit& circuit) : circuit_(circuit) {
        for (std::size_t i = 0; i < circuit.parts.size(); i += columns) {
            row(i, std::min(circuit.parts.size(), i + columns));
        }
        drawing_.width = columns * column_width;
        drawing_.height = y_ + margin;
    }
    const Drawing& drawing() const { return drawing_; }

private:
    void row(std::size_t first, std::size_t end) {
        double tallest = 0.0;
        for (std::size_t i = first; i < end; ++i) {
            tallest = std::max(tallest, height_of(symbol_of(circuit_.parts[i], Standard::iec).box));
            tallest =
                std::max(tallest, height_of(symbol_of(circuit_.parts[i], Standard::ansi).box));
        }
        for (std::size_t i = first; i < end; ++i) {
            const double x = (static_cast<double>(i - first) + 0.5) * column_width;
            cell(static_cast<int>(i), {x, y_ + heading + tallest / 2});
        }
        y_ += heading + std::ceil(tallest) + 1.5;
    }

    void cell(int index, Point centre) {
        const circuit::Part& part = circuit_.parts[static_cast<std::size_t>(index)];
        const Symbol iec = symbol_of(part, Standard::iec), ansi = symbol_of(part, Standard::ansi);
        write(part.kind.symbol, {centre.x, y_ + 2.0});
        if (iec == ansi) {
            place(index, iec, centre);
        } else {
            place(index, iec, {centre.x - 6.5, centre.y});
            place(index, ansi, {centre.x + 6.5, centre.y});
        }
    }

    void place(int index, const Symbol& symbol, Point centre) {
        const Box& box = symbol.box;
        drawing_.parts.push_back({{index},
                                  {std::round(centre.x - (box.left + box.right) / 2),
                                   std::round(centre.y - (box.top + box.bottom) / 2)},
                                  {},
                                  symbol});
    }

    void write(const std::string& text, Point at) {
        Label label;
        label.of = Label::Of::note;
        label.text = text;
        label.at = at;
        label.anchor = Word::Anchor::middle;
        drawing_.labels.push_back(label);
    }

    const circuit::Circuit& circuit_;
    Drawing drawing_;
    double y_ = 0.0;
};

TEST(SymbolSheet, IsTheOneInTheHandbook) {
    circuit::Circuit circuit;
    circuit.parts = samples::one_of_each();
    std::stable_sort(circuit.parts.begin(),
                     circuit.parts.end(),
                     [](const circuit::Part& a, const circuit::Part& b) {
                         return a.kind.symbol < b.kind.symbol;
                     });
    SvgStyle style;
    style.title =
        "Symbols: IEC 60617 on the left, ANSI/IEEE 315 on the right, one where they agree";
    const std::string svg = to_svg(Sheet(circuit).drawing(), circuit, style);
    const std::string seen = std::string(ETCHBACK_BINARY_DIR) + "/symbols.svg";
    base::write_file_atomically(seen, svg);
    const std::string approved = std::string(ETCHBACK_SOURCE_DIR) + "/docs/symbols.svg";
    EXPECT_TRUE(base::read_file(approved) == svg)
        << "the sheet of symbols has changed: look at " << seen
        << " and, if it is good, copy it to " << approved;
}

}  // namespace
}  // namespace etchback::drawing
