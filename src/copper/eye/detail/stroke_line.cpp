#include "copper/eye/detail/stroke_line.h"

#include <algorithm>
#include <opencv2/imgproc.hpp>

namespace etchback::copper::eye::detail {

void draw(const std::vector<cv::Point2f>& along, double width_px, cv::Mat& mask) {
    const int width = std::max(1, cvRound(width_px));
    for (std::size_t i = 0; i < along.size(); ++i) {
        const cv::Point a = along[i];
        const cv::Point b = along[std::min(i + 1, along.size() - 1)];
        cv::line(mask, a, b, cv::Scalar(255), width, cv::LINE_8);
    }
}

cv::Rect box_of(const RasterStroke& stroke, double room_px, cv::Size size) {
    cv::Rect box;
    for (const cv::Point2f& p : stroke.along) {
        const int r = cvCeil(stroke.width_px + room_px) + 2;
        const cv::Rect own(cvRound(p.x) - r, cvRound(p.y) - r, 2 * r + 1, 2 * r + 1);
        box = box.empty() ? own : box | own;
    }
    return box & cv::Rect({0, 0}, size);
}

std::vector<cv::Point> pixels_along(const RasterStroke& stroke, const cv::Mat& picture) {
    std::vector<cv::Point> pixels;
    for (std::size_t i = 0; i < stroke.along.size(); ++i) {
        const cv::Point2f a = stroke.along[i];
        const cv::Point2f b = stroke.along[std::min(i + 1, stroke.along.size() - 1)];
        const int steps = std::max(1, cvCeil(cv::norm(b - a)));
        for (int k = 0; k < steps; ++k) {
            const cv::Point p = a + (b - a) * (static_cast<float>(k) / static_cast<float>(steps));
            if (is_inside(p, picture) && (pixels.empty() || pixels.back() != p)) {
                pixels.push_back(p);
            }
        }
    }
    return pixels;
}

namespace {

class Followed {
public:
    Followed(const std::vector<cv::Point>& pixels,
             const cv::Mat& labels,
             cv::Rect box,
             double px_per_mm)
        : labels_(labels), box_(box), px_per_mm_(px_per_mm) {
        measure_depth();
        for (std::size_t from = 0; from < pixels.size();) {
            const int island = labels.at<int>(pixels[from]);
            std::size_t to = from;
            float deepest = 0.0F;
            float half = 0.0F;
            while (to < pixels.size() && labels.at<int>(pixels[to]) == island) {
                if (island >= 0) {
                    deepest = std::max(deepest, depth(pixels[to]));
                    half = std::max(half, half_width(pixels[to], island));
                }
                ++to;
            }
            const bool at_end = from == 0 || to == pixels.size();
            if (island >= 0 && is_followed(deepest, half, to - from, at_end)) {
                islands.insert(island);
            }
            from = to;
        }
    }

    std::set<int> islands;

private:
    // Distances to where another island or none begins.
    void measure_depth() {
        cv::Mat inner(box_.size(), CV_8U, cv::Scalar(0));
        for (int y = 0; y < inner.rows; ++y) {
            for (int x = 0; x < inner.cols; ++x) {
                const cv::Point p = box_.tl() + cv::Point(x, y);
                const int own = labels_.at<int>(p);
                bool alone = own >= 0;
                for (const cv::Point step :
                     {cv::Point(1, 0), cv::Point(0, 1), cv::Point(-1, 0), cv::Point(0, -1)}) {
                    alone = alone &&
                            (!is_inside(p + step, labels_) || labels_.at<int>(p + step) == own);
                }
                inner.at<std::uint8_t>(y, x) = alone ? 255 : 0;
            }
        }
        cv::distanceTransform(inner, depth_, cv::DIST_L2, cv::DIST_MASK_3);
    }

    float depth(cv::Point p) const { return depth_.at<float>(p - box_.tl()) + 1.0F; }

    // Half the width of an island about a place in it.
    float half_width(cv::Point p, int island) const {
        const int r = std::max(1, cvRound(0.3 * px_per_mm_));
        float widest = 0.0F;
        for (int dy = -r; dy <= r; ++dy) {
            for (int dx = -r; dx <= r; ++dx) {
                const cv::Point q = p + cv::Point(dx, dy);
                if (box_.contains(q) && labels_.at<int>(q) == island) {
                    widest = std::max(widest, depth(q));
                }
            }
        }
        return widest;
    }

    bool is_followed(float deepest, float half, std::size_t length, bool at_end) const {
        constexpr double long_mm = 0.8;
        constexpr float middle = 0.6F;
        constexpr float not_the_edge = 0.35F;
        return at_end || deepest >= middle * half || deepest > 1.2 * hand_mm * px_per_mm_ ||
               (static_cast<double>(length) >= long_mm * px_per_mm_ &&
                deepest >= not_the_edge * half);
    }

    const cv::Mat& labels_;
    cv::Rect box_;
    double px_per_mm_;
    cv::Mat depth_;
};

}  // namespace

std::set<int> followed_islands(const std::vector<cv::Point>& pixels,
                               const cv::Mat& labels,
                               cv::Rect box,
                               double px_per_mm) {
    return Followed(pixels, labels, box, px_per_mm).islands;
}

}  // namespace etchback::copper::eye::detail
