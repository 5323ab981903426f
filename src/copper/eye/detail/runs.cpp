#include "copper/eye/detail/runs.h"

#include <algorithm>
#include <cstring>
#include <numeric>
#include <opencv2/imgproc.hpp>
#include <utility>

namespace etchback::copper::eye::detail {

namespace {

// The first pixel from `x` on that is set; `end`: none.
int next_set(const std::uint8_t* row, int x, int end) {
    std::uint64_t eight = 0;
    while (x + 8 <= end) {
        std::memcpy(&eight, row + x, sizeof eight);
        if (eight != 0) {
            break;
        }
        x += 8;
    }
    while (x < end && row[x] == 0) {
        ++x;
    }
    return x;
}

int next_clear(const std::uint8_t* row, int x, int end) {
    const void* found = std::memchr(row + x, 0, static_cast<std::size_t>(end - x));
    return found == nullptr ? end : static_cast<int>(static_cast<const std::uint8_t*>(found) - row);
}

// Runs that hang together have one first run.
class Firsts {
public:
    explicit Firsts(std::size_t runs) : first_(runs) { std::iota(first_.begin(), first_.end(), 0); }

    int of(int run) {
        while (at(run) != run) {
            at(run) = at(at(run));
            run = at(run);
        }
        return run;
    }

    void join(int a, int b) {
        a = of(a);
        b = of(b);
        at(std::max(a, b)) = std::min(a, b);
    }

private:
    int& at(int run) { return first_[static_cast<std::size_t>(run)]; }

    std::vector<int> first_;
};

// Joins the runs from `row` to `end` - 1 with those from `above` to `row` - 1 which they touch.
void join_rows(
    const std::vector<Run>& runs, int above, int row, int end, int reach, Firsts& firsts) {
    int a = above;
    for (int b = row; b < end; ++b) {
        const Run& run = runs[static_cast<std::size_t>(b)];
        while (a < row && runs[static_cast<std::size_t>(a)].to + reach <= run.from) {
            ++a;
        }
        for (int i = a; i < row && runs[static_cast<std::size_t>(i)].from < run.to + reach; ++i) {
            firsts.join(i, b);
        }
    }
}

Firsts joined(const std::vector<Run>& runs, bool over_corners) {
    Firsts firsts(runs.size());
    const auto y_of = [&](int i) { return runs[static_cast<std::size_t>(i)].y; };
    const int count = static_cast<int>(runs.size());
    int above = 0;
    for (int row = 0; row < count;) {
        int end = row + 1;
        while (end < count && y_of(end) == y_of(row)) {
            ++end;
        }
        if (y_of(above) + 1 == y_of(row)) {
            join_rows(runs, above, row, end, over_corners ? 1 : 0, firsts);
        }
        above = row;
        row = end;
    }
    return firsts;
}

}  // namespace

std::vector<std::vector<Run>> Pieces::by_piece() const {
    std::vector<std::vector<Run>> all(pixels.size());
    for (const Run& run : runs) {
        all[static_cast<std::size_t>(run.piece)].push_back(run);
    }
    return all;
}

std::vector<Run> runs_of(const cv::Mat& mask) {
    std::vector<Run> runs;
    for (int y = 0; y < mask.rows; ++y) {
        const auto* row = mask.ptr<std::uint8_t>(y);
        for (int x = next_set(row, 0, mask.cols); x < mask.cols;) {
            const int to = next_clear(row, x, mask.cols);
            runs.push_back({y, x, to, 0});
            x = next_set(row, to, mask.cols);
        }
    }
    return runs;
}

Pieces pieces_of(const cv::Mat& mask, bool over_corners) {
    return pieces_of(runs_of(mask), over_corners);
}

Pieces pieces_of(std::vector<Run> runs, bool over_corners) {
    Pieces pieces;
    Firsts firsts = joined(runs, over_corners);
    for (int i = 0; i < static_cast<int>(runs.size()); ++i) {
        Run& run = runs[static_cast<std::size_t>(i)];
        if (const int first = firsts.of(i); first == i) {
            run.piece = pieces.count();
            pieces.pixels.push_back(0);
        } else {
            run.piece = runs[static_cast<std::size_t>(first)].piece;
        }
        pieces.pixels[static_cast<std::size_t>(run.piece)] += run.length();
    }
    pieces.runs = std::move(runs);
    return pieces;
}

int pixels_in(const std::vector<Run>& piece) {
    int pixels = 0;
    for (const Run& run : piece) {
        pixels += run.length();
    }
    return pixels;
}

cv::Rect box_about(const std::vector<Run>& piece, int margin, cv::Size size) {
    cv::Rect box;
    for (const Run& run : piece) {
        box |= cv::Rect(run.from, run.y, run.length(), 1);
    }
    box -= cv::Point(margin, margin);
    box += cv::Size(2 * margin, 2 * margin);
    return box & cv::Rect({0, 0}, size);
}

}  // namespace etchback::copper::eye::detail
