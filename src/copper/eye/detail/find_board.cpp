#include "copper/eye/detail/find_board.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "copper/eye/detail/edge_boards.h"
#include "copper/eye/detail/quadrilateral.h"
#include "copper/eye/detail/segment.h"

namespace etchback::copper::eye::detail {
namespace {

constexpr int small_side = 320;  // longer side of the picture that is cut into board and background
constexpr int fine_side = 1600;  // of the picture in which edges are measured

cv::Mat shrunk(const cv::Mat& bgr, int longer, double& shrink) {
    shrink = std::max(1.0, static_cast<double>(std::max(bgr.cols, bgr.rows)) / longer);
    if (shrink == 1.0) {
        return bgr;
    }
    cv::Mat out;
    cv::resize(bgr, out, {}, 1.0 / shrink, 1.0 / shrink, cv::INTER_AREA);
    return out;
}

cv::Vec3d sample(const cv::Mat& bgr, cv::Point2d at) {
    const double x = at.x - 0.5;
    const double y = at.y - 0.5;
    const int x0 = cvFloor(x);
    const int y0 = cvFloor(y);
    const double fx = x - x0;
    const double fy = y - y0;
    const auto p = [&](int r, int c) { return cv::Vec3d(bgr.at<cv::Vec3b>(r, c)); };
    return (p(y0, x0) * (1 - fx) + p(y0, x0 + 1) * fx) * (1 - fy) +
           (p(y0 + 1, x0) * (1 - fx) + p(y0 + 1, x0 + 1) * fx) * fy;
}

// Steps of colour along a line across the rim, outside to inside: the places of the steepest ones.
std::vector<double> steps_across(const cv::Mat& bgr, cv::Point2d from, cv::Point2d across, int n) {
    std::vector<cv::Vec3d> seen;
    for (int i = 0; i <= n; ++i) {
        const cv::Point2d p = from + across * i;
        if (p.x < 1.0 || p.y < 1.0 || p.x > bgr.cols - 2.0 || p.y > bgr.rows - 2.0) {
            return {};
        }
        seen.push_back(sample(bgr, p));
    }
    std::vector<double> slope(seen.size(), 0.0);
    double steepest = 0.0;
    for (std::size_t i = 2; i + 2 < seen.size(); ++i) {
        slope[i] = cv::norm(seen[i + 1] - seen[i - 1]) + 0.5 * cv::norm(seen[i + 2] - seen[i - 2]);
        steepest = std::max(steepest, slope[i]);
    }
    std::vector<double> places;
    if (steepest < 12.0) {
        return places;
    }
    for (std::size_t i = 2; i + 2 < seen.size(); ++i) {
        if (slope[i] >= slope[i - 1] && slope[i] > slope[i + 1] && slope[i] > 0.45 * steepest) {
            const double bend = slope[i - 1] - 2.0 * slope[i] + slope[i + 1];
            const double shift = bend < 0.0 ? 0.5 * (slope[i - 1] - slope[i + 1]) / bend : 0.0;
            places.push_back(static_cast<double>(i) + std::clamp(shift, -0.5, 0.5));
        }
    }
    return places;
}

// Where the rim of the mask crosses a line across a side, in steps from `from`; -1: nowhere.
double rim_crossing(const cv::Mat& mask, cv::Point2d from, cv::Point2d across, int n) {
    for (int i = 0; i <= n; ++i) {
        const cv::Point2d p = from + across * i;
        const int x = cvFloor(p.x);
        const int y = cvFloor(p.y);
        if (x >= 0 && y >= 0 && x < mask.cols && y < mask.rows &&
            mask.at<std::uint8_t>(y, x) != 0) {
            return i == 0 ? -1.0 : i - 0.5;
        }
    }
    return -1.0;
}

// Points of one side: the steps of colour nearest to the mask's rim.
void measure_side(const cv::Mat& fine,
                  double fine_shrink,
                  const FoundBoard& board,
                  int side,
                  std::vector<EdgePoint>& out) {
    const cv::Point2d a = board.corners[side] * (1.0 / fine_shrink);
    const cv::Point2d b = board.corners[(side + 1) % 4] * (1.0 / fine_shrink);
    const double length = cv::norm(b - a);
    const cv::Point2d along = (b - a) * (1.0 / length);
    const cv::Point2d inward(-along.y, along.x);  // clockwise on the screen
    const double reach = std::clamp(0.03 * length, 8.0, 40.0);
    const int n = static_cast<int>(2.0 * reach);
    const double scale = fine_shrink / board.shrink;  // fine pixels to small pixels
    constexpr int stations = 90;
    for (int k = 0; k < stations; ++k) {
        const double t = 0.02 + 0.96 * (k + 0.5) / stations;
        const cv::Point2d from = a + along * (t * length) - inward * reach;
        const double rim = rim_crossing(board.mask, from * scale, inward * scale, n);
        if (rim < 0.0) {
            continue;
        }
        double nearest = 3.0 / scale;  // the mask is that exact
        double place = -1.0;
        for (const double step : steps_across(fine, from, inward, n)) {
            if (std::abs(step - rim) < nearest) {
                nearest = std::abs(step - rim);
                place = step;
            }
        }
        if (place >= 0.0) {
            out.push_back({(from + inward * place) * fine_shrink, side});
        }
    }
}

std::optional<Quadrilateral> try_segments(const Segments& segments,
                                          const cv::Mat& small,
                                          FoundBoard& board) {
    board.mask = segments.board;
    board.background = segments.background;
    if (cv::countNonZero(board.mask) * 100 < board.mask.cols * board.mask.rows) {
        return std::nullopt;
    }
    return find_quadrilateral(board.mask, small);
}

void place(const Quadrilateral& quad, FoundBoard& board) {
    board.found = true;
    board.support = quad.support;
    board.fill = quad.fill;
    board.score = quad.score;
    for (int i = 0; i < 4; ++i) {
        board.corners[i] = quad.corners[i] * board.shrink;
    }
}

cv::Mat mask_of(const std::array<cv::Point2d, 4>& corners, cv::Size size) {
    std::vector<cv::Point> ring;
    for (const cv::Point2d& corner : corners) {
        ring.emplace_back(cvFloor(corner.x), cvFloor(corner.y));
    }
    cv::Mat mask = cv::Mat::zeros(size, CV_8U);
    cv::fillConvexPoly(mask, ring, 255);
    return mask;
}

void measure(const cv::Mat& bgr, FoundBoard& board) {
    double fine_shrink = 1.0;
    const cv::Mat fine = shrunk(bgr, fine_side, fine_shrink);
    for (int side = 0; side < 4; ++side) {
        measure_side(fine, fine_shrink, board, side, board.edges);
    }
}

}  // namespace

FoundBoard find_board(const cv::Mat& bgr) {
    FoundBoard board;
    const cv::Mat small = shrunk(bgr, small_side, board.shrink);
    auto quad = try_segments(segment(small, false), small, board);
    if (!quad || quad->score < 3.45) {
        FoundBoard other;
        other.shrink = board.shrink;
        const auto without_shadows = try_segments(segment(small, true), small, other);
        if (without_shadows && (!quad || without_shadows->score > quad->score)) {
            quad = without_shadows;
            board = other;
        }
    }
    if (!quad) {
        return board;
    }
    place(*quad, board);
    measure(bgr, board);
    return board;
}

std::vector<FoundBoard> other_boards(const cv::Mat& bgr, std::size_t most) {
    double shrink = 1.0;
    const cv::Mat small = shrunk(bgr, small_side, shrink);
    std::vector<FoundBoard> boards;
    for (const Quadrilateral& quad : boards_by_edges(small, most)) {
        FoundBoard board;
        board.shrink = shrink;
        board.mask = mask_of(quad.corners, small.size());
        board.background = ~board.mask;
        place(quad, board);
        board.fill = 1.0;
        board.score = 0.0;
        measure(bgr, board);
        boards.push_back(std::move(board));
    }
    return boards;
}

void measure_sides(const cv::Mat& bgr,
                   const std::array<cv::Point2d, 4>& corners,
                   FoundBoard& board) {
    board.corners = corners;
    std::array<cv::Point2d, 4> small;
    for (int i = 0; i < 4; ++i) {
        small[i] = corners[i] * (1.0 / board.shrink);
    }
    board.mask = mask_of(small, board.mask.size());
    board.edges.clear();
    measure(bgr, board);
}

}  // namespace etchback::copper::eye::detail
