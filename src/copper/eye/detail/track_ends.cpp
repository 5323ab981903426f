#include "copper/eye/detail/track_ends.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "copper/eye/detail/raster_pixels.h"

namespace etchback::copper::eye::detail {

namespace {

constexpr double within_mm = 0.3;   // radius that copper fills about an end
constexpr double around_mm = 0.75;  // radius at which it is looked where copper leaves
constexpr double beside_mm = 0.7;   // ends nearer to each other are one
constexpr double to_hole_mm = 0.8;  // a hole that is seen needs none that is not

struct End {
    cv::Point at;
    float depth = 0.0F;
};

class Ends {
public:
    Ends(const SidePicture& side, const cv::Mat& labels, const cv::Mat& depth, double px_per_mm)
        : side_(side), labels_(labels), depth_(depth) {
        constexpr int points = 48;
        for (int i = 0; i < points; ++i) {
            const double a = 2.0 * CV_PI * i / points;
            ring_.emplace_back(cvRound(around_mm * px_per_mm * std::cos(a)),
                               cvRound(around_mm * px_per_mm * std::sin(a)));
        }
        within_px_ = static_cast<float>(within_mm * px_per_mm);
        around_px_ = static_cast<float>(around_mm * px_per_mm);
    }

    float depth(cv::Point p) const { return depth_.at<float>(p); }
    bool is_filled(cv::Point p) const { return depth(p) >= 0.75F * within_px_; }

    // Copper leaves in one narrow direction, and there is bare board in all others.
    bool is_end(cv::Point p) const {
        constexpr double most_copper = 0.3;
        constexpr double least_board = 0.6;
        // Amid a wide area all around is copper.
        if (depth(p) < within_px_ || depth(p) > around_px_ || at(p) != Surface::masked_copper) {
            return false;
        }
        const int own = labels_.at<int>(p);
        int copper = 0;
        int board = 0;
        int leaves = 0;
        bool before = is_own(p + ring_.back(), own);
        for (const cv::Point& step : ring_) {
            const cv::Point q = p + step;
            const bool here = is_own(q, own);
            copper += here ? 1 : 0;
            if (copper > most_copper * static_cast<double>(ring_.size())) {
                return false;
            }
            leaves += here && !before ? 1 : 0;
            board += inside(q) && at(q) == Surface::laminate ? 1 : 0;
            before = here;
        }
        const auto all = static_cast<double>(ring_.size());
        return leaves == 1 && copper <= most_copper * all && board >= least_board * all;
    }

private:
    bool inside(cv::Point p) const {
        return p.x >= 0 && p.y >= 0 && p.x < labels_.cols && p.y < labels_.rows;
    }
    bool is_own(cv::Point p, int own) const { return inside(p) && labels_.at<int>(p) == own; }
    Surface at(cv::Point p) const {
        return side_.surface[static_cast<std::size_t>(p.y) * labels_.cols + p.x];
    }

    const SidePicture& side_;
    const cv::Mat& labels_;
    const cv::Mat& depth_;
    std::vector<cv::Point> ring_;
    float within_px_ = 1.0F;
    float around_px_ = 1.0F;
};

}  // namespace

CopperDepth copper_depth(const cv::Mat& labels, double px_per_mm, const CopperDepth* before) {
    CopperDepth now;
    now.copper = labels >= 0;
    if (before == nullptr || before->copper.size() != now.copper.size()) {
        cv::distanceTransform(now.copper, now.pixels, cv::DIST_L2, cv::DIST_MASK_3);
        return now;
    }
    cv::Mat changed;
    cv::bitwise_xor(now.copper, before->copper, changed);
    const cv::Rect box = cv::boundingRect(changed);
    if (box.empty()) {
        now.pixels = before->pixels;
        return now;
    }
    // A step of the measure is 0.955 pixels or more: within `reach` of a pixel lies all that tells
    // whether copper ends nearer than `around_mm`.
    const int reach = cvCeil(1.05 * around_mm * px_per_mm) + 3;
    const cv::Rect anew = grown(box, reach, labels.size());
    const cv::Rect measured = grown(anew, reach, labels.size());
    cv::Mat depth;
    cv::distanceTransform(now.copper(measured), depth, cv::DIST_L2, cv::DIST_MASK_3);
    now.pixels = before->pixels.clone();
    depth(anew - measured.tl()).copyTo(now.pixels(anew));
    return now;
}

void join_track_ends(const BoardPicture& picture,
                     const cv::Mat& top,
                     const cv::Mat& bottom,
                     const CopperDepth& in_top,
                     const CopperDepth& in_bottom,
                     std::vector<Joint>& joints) {
    constexpr double on_both = 0.9;
    constexpr double on_one = 0.45;
    const Raster& raster = picture.raster;
    const Ends above(*picture.top, top, in_top.pixels, raster.px_per_mm);
    const Ends below(*picture.bottom, bottom, in_bottom.pixels, raster.px_per_mm);
    std::vector<End> ends;
    const int step = std::max(1, cvRound(0.05 * raster.px_per_mm));
    for (int y = 0; y < top.rows; y += step) {
        for (int x = 0; x < top.cols; x += step) {
            const cv::Point p(x, y);
            if (top.at<int>(p) < 0 || bottom.at<int>(p) < 0 || !above.is_filled(p) ||
                !below.is_filled(p)) {
                continue;
            }
            const bool ends_above = above.is_end(p);
            const bool ends_below = below.is_end(p);
            if (ends_above || ends_below) {
                ends.push_back(
                    {p,
                     (ends_above ? above.depth(p) : 0.0F) + (ends_below ? below.depth(p) : 0.0F)});
            }
        }
    }
    std::ranges::stable_sort(ends, std::greater{}, &End::depth);
    std::vector<cv::Point> taken;
    for (const End& end : ends) {
        const auto near = [&](cv::Point2d other, double mm) {
            return cv::norm(cv::Point2d(end.at) - other) < mm * raster.px_per_mm;
        };
        const bool again =
            std::ranges::any_of(taken, [&](const cv::Point& p) { return near(p, beside_mm); });
        const bool drilled = std::ranges::any_of(picture.holes, [&](const Hole& hole) {
            return hole.real >= 0.2 &&
                   near(pixel_of(hole.at, raster), to_hole_mm + 0.5 * hole.diameter_mm);
        });
        if (again || drilled) {
            continue;
        }
        taken.push_back(end.at);
        Joint joint;
        joint.kind = Joint::Kind::hole;
        joint.a = std::min(top.at<int>(end.at), bottom.at<int>(end.at));
        joint.b = std::max(top.at<int>(end.at), bottom.at<int>(end.at));
        joint.joined = above.is_end(end.at) && below.is_end(end.at) ? on_both : on_one;
        joint.at = board_of(end.at, raster);
        joint.why = "a track ends here, so that a hole below the mask may lead through the board";
        joints.push_back(joint);
    }
}

}  // namespace etchback::copper::eye::detail
