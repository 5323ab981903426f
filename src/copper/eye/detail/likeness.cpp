#include "copper/eye/detail/likeness.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "copper/eye/detail/flat_view.h"

namespace etchback::copper::eye::detail {
namespace {

cv::Size small_size(const SideView& view, int quarter) {
    double aspect = aspect_seen(view);
    if (quarter % 2 != 0) {
        aspect = 1.0 / aspect;
    }
    constexpr double pixels = 96.0 * 96.0;
    return {std::clamp(cvRound(std::sqrt(pixels * aspect)), 24, 400),
            std::clamp(cvRound(std::sqrt(pixels / aspect)), 24, 400)};
}

// What remains when light that changes slowly is taken away.
cv::Mat texture(const cv::Mat& bgr) {
    cv::Mat light;
    bgr.convertTo(light, CV_32F);
    cv::Mat wide;
    cv::GaussianBlur(light, light, {3, 3}, 0.8);
    cv::GaussianBlur(light, wide, {0, 0}, 10.0);
    return light - wide;
}

}  // namespace

double picture_likeness(
    const SideView& a, int quarter_a, const SideView& b, int quarter_b, bool b_mirrored) {
    const cv::Size size = small_size(a, quarter_a);
    SideView other;
    other.photo = b.photo;
    other.board.corners = b.board.corners;
    other.mirrored = b_mirrored ? !b.mirrored : b.mirrored;
    const cv::Mat x = texture(flat_view(a.tiny.bgr, a.tiny.shrink, a, quarter_a, size));
    const cv::Mat y = texture(flat_view(b.tiny.bgr, b.tiny.shrink, other, quarter_b, size));
    const double xy = x.dot(y);
    const double xx = x.dot(x);
    const double yy = y.dot(y);
    return xx > 0.0 && yy > 0.0 ? xy / std::sqrt(xx * yy) : 0.0;
}

}  // namespace etchback::copper::eye::detail
