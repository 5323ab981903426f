#include "copper/eye/detail/find_joints.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

namespace etchback::copper::eye::detail {
namespace {

constexpr double least_mm = 0.3;  // radii
constexpr double most_mm = 2.0;
constexpr double stroke_mm = 0.16;  // half the width of what is passed over as a line

// The darkest of the three colours: high for metal and white, low for every mask that has a hue.
cv::Mat whiteness(const cv::Mat& bgr) {
    std::vector<cv::Mat> channels;
    cv::split(bgr, channels);
    cv::Mat least;
    cv::min(channels[0], channels[1], least);
    cv::min(least, channels[2], least);
    cv::GaussianBlur(least, least, {3, 3}, 0.8);
    return least;
}

int level_below(const cv::Mat& grey, const cv::Mat& inside, double part) {
    std::array<int, 256> count{};
    int all = 0;
    for (int y = 0; y < grey.rows; y += 2) {
        for (int x = 0; x < grey.cols; x += 2) {
            if (inside.at<std::uint8_t>(y, x) != 0) {
                ++count[grey.at<std::uint8_t>(y, x)];
                ++all;
            }
        }
    }
    int sum = 0;
    for (int level = 0; level < 256; ++level) {
        sum += count[level];
        if (sum >= part * all) {
            return level;
        }
    }
    return 255;
}

// What is brighter than the board around it by two fifths of what the brightest are.
cv::Mat shining(const cv::Mat& bgr, const cv::Mat& inside) {
    const cv::Mat white = whiteness(bgr);
    constexpr int shrink = 8;
    cv::Mat wide;
    cv::resize(white,
               wide,
               {std::max(1, white.cols / shrink), std::max(1, white.rows / shrink)},
               0,
               0,
               cv::INTER_AREA);
    cv::medianBlur(wide, wide, 25);
    cv::resize(wide, wide, white.size(), 0, 0, cv::INTER_LINEAR);
    const int brightest = level_below(white, inside, 0.985);
    cv::Mat limit;
    wide.convertTo(limit, CV_8U, 0.6, 0.4 * brightest);
    cv::Mat least;
    wide.convertTo(least, CV_8U, 1.0, 22.0);
    cv::max(limit, least, limit);
    return (white > limit) & inside;
}

Spot spot_at(cv::Point2d at, double radius) {
    Spot spot;
    spot.at = at;
    spot.radius = radius;
    spot.dark = false;
    spot.contrast = 40.0;
    spot.seen = 1.0;
    return spot;
}

// The widest places of a large piece: peaks of the distance to its rim.
void widest_places(const cv::Mat& depth,
                   const cv::Mat& piece,
                   double px_per_mm,
                   cv::Point offset,
                   std::vector<Spot>& out) {
    cv::Mat highest;
    const int reach = std::max(1, cvRound(0.5 * px_per_mm));
    cv::dilate(depth,
               highest,
               cv::getStructuringElement(cv::MORPH_ELLIPSE, {2 * reach + 1, 2 * reach + 1}));
    for (int y = 0; y < depth.rows; ++y) {
        for (int x = 0; x < depth.cols; ++x) {
            const float d = depth.at<float>(y, x);
            if (piece.at<std::uint8_t>(y, x) != 0 && d >= highest.at<float>(y, x) &&
                d > 0.4 * px_per_mm && d < most_mm * px_per_mm) {
                const cv::Point2d at = cv::Point2d(x + offset.x + 0.5, y + offset.y + 0.5);
                const bool again = std::any_of(out.begin(), out.end(), [&](const Spot& s) {
                    return cv::norm(s.at - at) < reach;
                });
                if (!again) {
                    out.push_back(spot_at(at, d));
                }
            }
        }
    }
}

}  // namespace

std::vector<Spot> find_joints(const cv::Mat& bgr, const cv::Mat& inside, double px_per_mm) {
    cv::Mat bright = shining(bgr, inside);
    const int stroke = std::max(1, cvRound(stroke_mm * px_per_mm));
    const cv::Mat disc =
        cv::getStructuringElement(cv::MORPH_ELLIPSE, {2 * stroke + 1, 2 * stroke + 1});
    // Reflections break a joint into pieces.
    cv::morphologyEx(
        bright, bright, cv::MORPH_CLOSE, cv::getStructuringElement(cv::MORPH_ELLIPSE, {3, 3}));
    cv::morphologyEx(bright, bright, cv::MORPH_OPEN, disc);
    cv::Mat depth;
    cv::distanceTransform(bright, depth, cv::DIST_L2, 3);
    cv::Mat labels;
    cv::Mat stats;
    cv::Mat middles;
    const int count = cv::connectedComponentsWithStats(bright, labels, stats, middles, 4, CV_32S);
    std::vector<Spot> joints;
    for (int i = 1; i < count; ++i) {
        const double area = stats.at<int>(i, cv::CC_STAT_AREA);
        const double radius = std::sqrt(area / CV_PI);
        if (radius < least_mm * px_per_mm) {
            continue;
        }
        const cv::Rect box(stats.at<int>(i, cv::CC_STAT_LEFT),
                           stats.at<int>(i, cv::CC_STAT_TOP),
                           stats.at<int>(i, cv::CC_STAT_WIDTH),
                           stats.at<int>(i, cv::CC_STAT_HEIGHT));
        const double longest = std::max(box.width, box.height);
        if (radius < most_mm * px_per_mm && longest < 3.2 * radius && area > 0.45 * box.area()) {
            joints.push_back(
                spot_at({middles.at<double>(i, 0) + 0.5, middles.at<double>(i, 1) + 0.5}, radius));
        } else {
            widest_places(depth(box), labels(box) == i, px_per_mm, box.tl(), joints);
        }
    }
    return joints;
}

}  // namespace etchback::copper::eye::detail
