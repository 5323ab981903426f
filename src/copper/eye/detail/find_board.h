// Where the board lies in a photo: what is background, and the four straight sides.
#pragma once

#include <array>
#include <opencv2/core.hpp>
#include <vector>

namespace etchback::copper::eye::detail {

// A point on one of the four sides, in photo pixels.
struct EdgePoint {
    cv::Point2d at;
    int side = 0;  // 0 upper, 1 right, 2 lower, 3 left of the quadrilateral
    bool operator==(const EdgePoint&) const = default;
};

struct FoundBoard {
    bool found = false;
    cv::Mat mask;         // CV_8U, small: 255 where the board is
    cv::Mat background;   // CV_8U, small: 255 where the colour is that of the background
    double shrink = 1.0;  // photo pixels per pixel of the small pictures
    std::array<cv::Point2d, 4>
        corners;                      // upper left, upper right, lower right, lower left; photo px
    std::array<double, 4> support{};  // of each side: the part of it that is seen as an edge
    std::vector<EdgePoint> edges;
    double fill = 0.0;   // the part of the quadrilateral that the mask fills
    double score = 0.0;  // of the quadrilateral; by edges alone: 0
    // All sides are seen and the colours say the same.
    bool sure() const { return found && score > 3.45; }
};

// The same photo gives the same answer. Not found: nothing differs from what lies along the rim of
// the photo, or it covers less than a hundredth of it.
FoundBoard find_board(const cv::Mat& bgr);

// The steps of colour along four sides that are told by something else, instead of `board.edges`.
void measure_sides(const cv::Mat& bgr,
                   const std::array<cv::Point2d, 4>& corners,
                   FoundBoard& board);

// Where else the board may lie, by its straight edges alone, likeliest first: for a ground of the
// board's own colour. The masks are the quadrilaterals.
std::vector<FoundBoard> other_boards(const cv::Mat& bgr, std::size_t most);

}  // namespace etchback::copper::eye::detail
