#include "copper/eye/detail/flat_view.h"

#include <array>
#include <opencv2/imgproc.hpp>

#include "copper/eye/detail/lens.h"

namespace etchback::copper::eye::detail {

cv::Mat flat_view(
    const cv::Mat& picture, double shrink, const SideView& view, int quarter, cv::Size to) {
    std::array<cv::Point2d, 4> from;
    for (int i = 0; i < 4; ++i) {
        from[i] = view.board.corners[corner_of(view, i, quarter)] * (1.0 / shrink);
    }
    const double w = to.width;
    const double h = to.height;
    const cv::Matx33d there = homography_of(
        {cv::Point2d(0, 0), cv::Point2d(w, 0), cv::Point2d(w, h), cv::Point2d(0, h)}, from);
    cv::Mat out;
    cv::warpPerspective(picture, out, there, to, cv::INTER_LINEAR | cv::WARP_INVERSE_MAP);
    return out;
}

}  // namespace etchback::copper::eye::detail
