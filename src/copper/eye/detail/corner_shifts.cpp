#include "copper/eye/detail/corner_shifts.h"

#include "copper/eye/detail/lens.h"

namespace etchback::copper::eye::detail {
namespace {

using Shifts = cv::Matx<double, 8, 1>;

cv::Matx33d moved_by(const std::array<cv::Point2d, 4>& corners, const Shifts& shifts) {
    std::array<cv::Point2d, 4> moved = corners;
    for (int i = 0; i < 4; ++i) {
        moved[i] += cv::Point2d(shifts(2 * i), shifts(2 * i + 1));
    }
    return homography_of(corners, moved);
}

}  // namespace

std::array<cv::Point2d, 4> corners_of(cv::Size2d board) {
    return {cv::Point2d(0, 0),
            cv::Point2d(board.width, 0),
            cv::Point2d(board.width, board.height),
            cv::Point2d(0, board.height)};
}

cv::Matx33d corner_shifts(const std::vector<PlacedPair>& pairs,
                          cv::Size2d board,
                          double pair_mm,
                          double corner_mm) {
    const std::array<cv::Point2d, 4> corners = corners_of(board);
    const double of_pair = 1.0 / (pair_mm * pair_mm);
    const double of_corner = 1.0 / (corner_mm * corner_mm);
    Shifts shifts = Shifts::zeros();
    for (int round = 0; round < 2; ++round) {
        const cv::Matx33d now = moved_by(corners, shifts);
        std::array<cv::Matx33d, 8> moved;
        constexpr double step = 1e-3;
        for (int k = 0; k < 8; ++k) {
            Shifts by = shifts;
            by(k) += step;
            moved[k] = moved_by(corners, by);
        }
        cv::Matx<double, 8, 8> normal = cv::Matx<double, 8, 8>::eye() * of_corner;
        Shifts right = shifts * -of_corner;
        for (const PlacedPair& pair : pairs) {
            const cv::Point2d at = through(now, pair.from);
            const cv::Point2d miss = pair.to - at;
            cv::Matx<double, 8, 2> slope;
            for (int k = 0; k < 8; ++k) {
                const cv::Point2d d = (through(moved[k], pair.from) - at) * (1.0 / step);
                slope(k, 0) = d.x;
                slope(k, 1) = d.y;
            }
            normal += slope * slope.t() * of_pair;
            right += slope * cv::Matx21d(miss.x, miss.y) * of_pair;
        }
        Shifts change;
        if (!cv::solve(normal, right, change, cv::DECOMP_CHOLESKY)) {
            break;
        }
        shifts += change;
    }
    return moved_by(corners, shifts);
}

}  // namespace etchback::copper::eye::detail
