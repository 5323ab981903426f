#include "copper/eye/detail/likeness.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

namespace etchback::copper::eye::detail {
namespace {

// The board of a view as a small upright picture of the same size for all; by its four corners
// alone, which is exact enough here.
cv::Mat flat(
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

cv::Size small_size(const SideView& view, int quarter) {
    double aspect = aspect_seen(view);
    if (quarter % 2 != 0) {
        aspect = 1.0 / aspect;
    }
    constexpr double pixels = 96.0 * 96.0;
    return {std::clamp(cvRound(std::sqrt(pixels * aspect)), 24, 400),
            std::clamp(cvRound(std::sqrt(pixels / aspect)), 24, 400)};
}

cv::Mat small_photo(const SideView& view, double& shrink) {
    const int longer = std::max(view.photo->bgr.cols, view.photo->bgr.rows);
    shrink = std::max(1.0, longer / 400.0);
    cv::Mat out;
    cv::resize(view.photo->bgr, out, {}, 1.0 / shrink, 1.0 / shrink, cv::INTER_AREA);
    return out;
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
    double shrink_a = 1.0;
    double shrink_b = 1.0;
    const cv::Mat photo_a = small_photo(a, shrink_a);
    const cv::Mat photo_b = small_photo(b, shrink_b);
    SideView other;
    other.photo = b.photo;
    other.board.corners = b.board.corners;
    other.mirrored = b_mirrored ? !b.mirrored : b.mirrored;
    const cv::Mat x = texture(flat(photo_a, shrink_a, a, quarter_a, size));
    const cv::Mat y = texture(flat(photo_b, shrink_b, other, quarter_b, size));
    const double xy = x.dot(y);
    const double xx = x.dot(x);
    const double yy = y.dot(y);
    return xx > 0.0 && yy > 0.0 ? xy / std::sqrt(xx * yy) : 0.0;
}

double glow_likeness(const SideView& a, int quarter_a, const SideView& b, int quarter_b) {
    const cv::Size size = small_size(a, quarter_a);
    double shrink_a = 1.0;
    double shrink_b = 1.0;
    const cv::Mat photo_a = small_photo(a, shrink_a);
    const cv::Mat photo_b = small_photo(b, shrink_b);
    // Parts and joints differ far more than what glows through: what is beyond a small step is cut.
    const auto faint = [&](const cv::Mat& photo, double shrink, const SideView& view, int quarter) {
        cv::Mat grey;
        cv::cvtColor(texture(flat(photo, shrink, view, quarter, size)), grey, cv::COLOR_BGR2GRAY);
        cv::Mat strength = cv::abs(grey);
        strength = strength.reshape(1, 1);
        cv::sort(strength, strength, cv::SORT_EVERY_ROW);
        const double step = std::max(1e-3, 1.0 * strength.at<float>(strength.cols / 2));
        cv::max(cv::min(grey, step), -step, grey);
        grey -= cv::mean(grey);
        return grey;
    };
    const cv::Mat x = faint(photo_a, shrink_a, a, quarter_a);
    const cv::Mat y = faint(photo_b, shrink_b, b, quarter_b);
    const double scale = std::sqrt(x.dot(x) * y.dot(y));
    return scale > 0.0 ? std::abs(x.dot(y)) / scale : 0.0;
}

double shape_likeness(const SideView& a, int quarter_a, const SideView& b, int quarter_b) {
    const cv::Size size = small_size(a, quarter_a);
    const auto open = [&](const SideView& view, int quarter) {
        const cv::Mat nothing = ~view.board.mask | view.board.background;
        return cv::Mat(flat(nothing, view.board.shrink, view, quarter, size) > 127);
    };
    const cv::Mat x = open(a, quarter_a);
    const cv::Mat y = open(b, quarter_b);
    cv::Mat slack;  // the small pictures are exact to a pixel or two
    cv::dilate(y, slack, cv::Mat(), {-1, -1}, 2);
    const double of_x = cv::countNonZero(x & slack);
    cv::dilate(x, slack, cv::Mat(), {-1, -1}, 2);
    const double of_y = cv::countNonZero(y & slack);
    const double area = cv::countNonZero(x) + cv::countNonZero(y);
    return area < 0.01 * size.area() ? -1.0 : (of_x + of_y) / area;
}

}  // namespace etchback::copper::eye::detail
