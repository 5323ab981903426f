#include "render/plugin/table.h"

#include <algorithm>
#include <numeric>

namespace etchback::render::plugin {
namespace {

constexpr double pad_x_pt = 4.0;
constexpr double pad_y_pt = 2.6;
constexpr Colour head_rule{0.25, 0.27, 0.30};
constexpr Colour row_rule{0.80, 0.81, 0.83};
const TextStyle head_style{.size_pt = 8.2, .bold = true, .line_spacing = 1.2};
const TextStyle cell_style{.size_pt = 8.4, .line_spacing = 1.22};

struct Columns {
    std::vector<double> x;  // of the text
    std::vector<double> width;
};

Columns columns_of(const PaperBlock& block, double left, double width) {
    std::size_t count = 0;
    for (const auto& row : block.rows) {
        count = std::max(count, row.size());
    }
    std::vector<double> shares = block.widths;
    shares.resize(count, 1.0);
    const double total = std::accumulate(shares.begin(), shares.end(), 0.0);
    Columns columns;
    double x = left;
    for (const double share : shares) {
        const double own = total > 0.0 ? width * share / total : width / static_cast<double>(count);
        columns.x.push_back(x + pad_x_pt);
        columns.width.push_back(std::max(own - 2.0 * pad_x_pt, 8.0));
        x += own;
    }
    return columns;
}

using Row = std::vector<Text>;

Row set_row(const std::vector<std::string>& cells,
            const Columns& columns,
            const Typesetter& typesetter,
            const TextStyle& style) {
    Row row;
    for (std::size_t i = 0; i < cells.size(); ++i) {
        row.push_back(typesetter.set(cells[i], style, columns.width[i]));
    }
    return row;
}

double height_of(const Row& row) {
    double height = 0.0;
    for (const Text& cell : row) {
        height = std::max(height, cell.height);
    }
    return height + 2.0 * pad_y_pt;
}

class Table {
public:
    Table(Flow& flow, const Typesetter& typesetter, const PaperBlock& block)
        : flow_(flow),
          typesetter_(typesetter),
          block_(block),
          columns_(columns_of(block, flow.left(), flow.width())) {
        head_ = set_row(block.rows.front(), columns_, typesetter, head_style);
    }

    void place() {
        for (std::size_t i = 1; i < block_.rows.size(); ++i) {
            place_row(set_row(block_.rows[i], columns_, typesetter_, cell_style), i == 1);
        }
        if (block_.rows.size() == 1) {
            place_head();
        }
        flow_.advance(4.0);
    }

private:
    void place_head() {
        put_whole(head_);
        flow_.rule(flow_.left(), flow_.left() + flow_.width(), flow_.y(), 0.8, head_rule);
    }

    void put_whole(const Row& row) {
        for (std::size_t i = 0; i < row.size(); ++i) {
            flow_.put(row[i], 0, row[i].lines.size(), columns_.x[i], flow_.y() + pad_y_pt);
        }
        flow_.advance(height_of(row));
    }

    void place_row(const Row& row, bool first) {
        const double height = height_of(row);
        const double head = height_of(head_);
        if (height > flow_.room() - (first ? head : 0.0) && !flow_.at_top() &&
            height + head <= flow_.full_page()) {
            flow_.new_page();
            first = true;
        }
        if (first || flow_.at_top()) {
            place_head();
        }
        if (height <= flow_.room()) {
            put_whole(row);
        } else {
            put_in_pieces(row);
        }
        flow_.rule(flow_.left(), flow_.left() + flow_.width(), flow_.y(), 0.4, row_rule);
    }

    // A row taller than a page: every cell goes on where it stopped.
    void put_in_pieces(const Row& row) {
        std::vector<std::size_t> next(row.size(), 0);
        while (true) {
            double used = 0.0;
            bool done = true;
            for (std::size_t i = 0; i < row.size(); ++i) {
                used = std::max(used, put_piece(row[i], next[i], columns_.x[i]));
                done = done && next[i] == row[i].lines.size();
            }
            flow_.advance(used + 2.0 * pad_y_pt);
            if (done) {
                return;
            }
            flow_.new_page();
            place_head();
        }
    }

    // Sets the lines from `next` on that fit here; returns their height. At least one line is set
    // on an empty page, so that this comes to an end.
    double put_piece(const Text& cell, std::size_t& next, double x) {
        const double room = flow_.room() - 2.0 * pad_y_pt;
        const std::size_t from = next;
        const auto height = [&](std::size_t to) {
            return cell.lines[to - 1].bottom - cell.lines[from].top;
        };
        while (next < cell.lines.size() && (height(next + 1) <= room || next == from)) {
            ++next;
        }
        if (next == from) {
            return 0.0;
        }
        flow_.put(cell, from, next, x, flow_.y() + pad_y_pt);
        return height(next);
    }

    Flow& flow_;
    const Typesetter& typesetter_;
    const PaperBlock& block_;
    Columns columns_;
    Row head_;
};

}  // namespace

void place_table(Flow& flow, const Typesetter& typesetter, const PaperBlock& block) {
    if (block.rows.empty()) {
        return;
    }
    Table(flow, typesetter, block).place();
}

}  // namespace etchback::render::plugin
