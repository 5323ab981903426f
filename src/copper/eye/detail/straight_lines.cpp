#include "copper/eye/detail/straight_lines.h"

#include <algorithm>
#include <opencv2/imgproc.hpp>

namespace etchback::copper::eye::detail {
namespace {

constexpr double pi = std::numbers::pi;

}  // namespace

double turn_between(double a, double b) {
    return std::remainder(a - b, 2.0 * pi);
}

std::vector<RimPoint> edges_of(const cv::Mat& bgr) {
    cv::Mat soft;
    cv::GaussianBlur(bgr, soft, {3, 3}, 0.8);
    std::vector<cv::Mat> channels;
    cv::split(soft, channels);
    cv::Mat dx(bgr.size(), CV_16S, cv::Scalar(0));
    cv::Mat dy(bgr.size(), CV_16S, cv::Scalar(0));
    for (const cv::Mat& channel : channels) {
        // The colour that changes most tells: a board may be as bright as its ground.
        cv::Mat x;
        cv::Mat y;
        cv::Sobel(channel, x, CV_16S, 1, 0);
        cv::Sobel(channel, y, CV_16S, 0, 1);
        const cv::Mat more = (cv::abs(x) + cv::abs(y)) > (cv::abs(dx) + cv::abs(dy));
        x.copyTo(dx, more);
        y.copyTo(dy, more);
    }
    cv::Mat thin;
    cv::Canny(dx, dy, thin, 20.0, 50.0, true);
    std::vector<RimPoint> edges;
    for (int y = 2; y + 2 < thin.rows; ++y) {
        for (int x = 2; x + 2 < thin.cols; ++x) {
            if (thin.at<std::uint8_t>(y, x) != 0) {
                edges.push_back({cv::Point2d(x + 0.5, y + 0.5),
                                 std::atan2(static_cast<double>(dy.at<std::int16_t>(y, x)),
                                            static_cast<double>(dx.at<std::int16_t>(y, x)))});
            }
        }
    }
    return edges;
}

std::vector<RimPoint> folded(std::vector<RimPoint> edges) {
    for (RimPoint& p : edges) {
        p.angle = p.angle < 0.0 ? p.angle + pi : p.angle;
    }
    return edges;
}

std::vector<Line> strong_lines(std::vector<RimPoint> rim,
                               double diagonal,
                               double least,
                               int most_lines) {
    constexpr int angles = 180;
    const double step = std::max(1.0, diagonal / 400.0);
    const int offsets = static_cast<int>(2.0 * diagonal / step) + 3;
    std::vector<Line> lines;
    for (int round = 0; round < most_lines; ++round) {
        cv::Mat votes = cv::Mat::zeros(angles, offsets, CV_32F);
        for (const RimPoint& p : rim) {
            const int mid = cvRound(p.angle / (2.0 * pi) * angles);
            for (int k = -7; k <= 7; ++k) {
                const int bin = (mid + k + 2 * angles) % angles;
                const double angle = bin * 2.0 * pi / angles;
                const double d = p.at.x * std::cos(angle) + p.at.y * std::sin(angle);
                const int o = cvFloor((d + diagonal) / step);
                if (o >= 1 && o + 1 < offsets) {
                    const float w = static_cast<float>(1.0 - std::abs(k) / 10.0);
                    votes.at<float>(bin, o) += w;
                    votes.at<float>(bin, o - 1) += 0.6F * w;
                    votes.at<float>(bin, o + 1) += 0.6F * w;
                }
            }
        }
        double most = 0.0;
        cv::Point at;
        cv::minMaxLoc(votes, nullptr, &most, nullptr, &at);
        if (most < least) {
            break;
        }
        const Line line{at.y * 2.0 * pi / angles, (at.x + 0.5) * step - diagonal, most};
        lines.push_back(line);
        std::erase_if(rim, [&](const RimPoint& p) {
            return std::abs(turn_between(p.angle, line.angle)) < 0.35 &&
                   std::abs(p.at.dot(line.normal()) - line.d) < 2.5 * step;
        });
    }
    return lines;
}

std::optional<cv::Point2d> crossing(const Line& a, const Line& b) {
    const double det = std::sin(b.angle - a.angle);
    if (std::abs(det) < 0.3) {
        return std::nullopt;
    }
    const cv::Point2d na = a.normal();
    const cv::Point2d nb = b.normal();
    return cv::Point2d((a.d * nb.y - b.d * na.y) / det, (na.x * b.d - nb.x * a.d) / det);
}

}  // namespace etchback::copper::eye::detail
