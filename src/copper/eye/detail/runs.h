// Pieces of a mask that hang together, as runs of pixels: cheap where little is set, and each piece
// can be gone over without the rest of the picture.
#pragma once

#include <algorithm>
#include <cstdint>
#include <opencv2/core.hpp>
#include <vector>

namespace etchback::copper::eye::detail {

// Pixels `from` to `to` - 1 of row `y`.
struct Run {
    int y = 0;
    int from = 0;
    int to = 0;
    int piece = 0;

    int length() const { return to - from; }
};

struct Pieces {
    std::vector<Run> runs;    // row by row, from left to right
    std::vector<int> pixels;  // of each piece

    int count() const { return static_cast<int>(pixels.size()); }
    // The runs of each piece, row by row.
    std::vector<std::vector<Run>> by_piece() const;
};

// `mask`: CV_8U; what is not 0 is set. All of one piece, row by row.
std::vector<Run> runs_of(const cv::Mat& mask);

// Pieces are numbered as their first pixels come, row by row. `over_corners`: pixels that touch at
// a corner hang together, too.
Pieces pieces_of(const cv::Mat& mask, bool over_corners);

// The same of runs, which come row by row, from left to right, and do not touch in one row.
Pieces pieces_of(std::vector<Run> runs, bool over_corners);

// Sets the pixels of a run.
inline void set_run(cv::Mat& mask, const Run& run, std::uint8_t value) {
    std::fill_n(mask.ptr<std::uint8_t>(run.y) + run.from, run.length(), value);
}

int pixels_in(const std::vector<Run>& piece);

// The box about a piece and some pixels more, within the picture.
cv::Rect box_about(const std::vector<Run>& piece, int margin, cv::Size size);

}  // namespace etchback::copper::eye::detail
