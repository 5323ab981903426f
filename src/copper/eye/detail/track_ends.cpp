#include "copper/eye/detail/track_ends.h"

#include <algorithm>
#include <cmath>
#include <opencv2/core/hal/intrin.hpp>
#include <opencv2/imgproc.hpp>

#include "base/side_by_side.h"
#include "copper/eye/detail/label_pixels.h"
#include "copper/eye/detail/raster_pixels.h"
#include "copper/eye/detail/runs.h"

namespace etchback::copper::eye::detail {

namespace {

constexpr double within_mm = 0.3;   // radius that copper fills about an end
constexpr double around_mm = 0.75;  // radius at which it is looked where copper leaves
constexpr double beside_mm = 0.7;   // ends nearer to each other are one
constexpr double to_hole_mm = 0.8;  // a hole that is seen needs none that is not

// Steps straight and aslant of cv::distanceTransform with a mask of 3, in 1/65536 pixels.
constexpr int straight = 62587;
constexpr int aslant = 89738;
constexpr double one_pixel = 65536.0;

constexpr int ring_points = 48;
constexpr int stride_of_few = 6;
constexpr double most_copper = 0.3;  // of the ring about an end
constexpr double least_board = 0.6;
constexpr int most_of_few = static_cast<int>(most_copper * ring_points) / stride_of_few + 1;

struct End {
    cv::Point at;
    float depth = 0.0F;
};

// Ends of tracks on one side.
class Ends {
public:
    Ends(const SidePicture& side, const cv::Mat& labels, const CopperDepth& depth, double px_per_mm)
        : side_(side), labels_(labels), depth_(depth) {
        for (int i = 0; i < ring_points; ++i) {
            const double a = 2.0 * CV_PI * i / ring_points;
            ring_.emplace_back(cvRound(around_mm * px_per_mm * std::cos(a)),
                               cvRound(around_mm * px_per_mm * std::sin(a)));
        }
        for (int i = 0; i < ring_points; i += stride_of_few) {
            const cv::Point& by = ring_[static_cast<std::size_t>(i)];
            few_.push_back(by.y * static_cast<std::ptrdiff_t>(labels.step1()) + by.x);
        }
        const int reach = cvCeil(around_mm * px_per_mm) + 1;
        const int four = reach + 3;
        amid_ = cv::Rect(reach, reach, labels.cols - reach - four, labels.rows - 2 * reach);
        within_px_ = static_cast<float>(within_mm * px_per_mm);
        around_px_ = static_cast<float>(around_mm * px_per_mm);
    }

    float filled_px() const { return 0.75F * within_px_; }
    float depth(cv::Point p) const { return depth_.at(p, labels_); }
    bool is_filled(cv::Point p) const { return depth(p) >= filled_px(); }

    // Of four pixels at once, as far as each sixth point of their rings tells: bit i stands for the
    // i-th pixel from `p` on.
    int may_be_ends(cv::Point p) const {
        constexpr int all = 15;
        if (!amid_.contains(p)) {
            return all;
        }
        const int* at = labels_.ptr<int>(p.y) + p.x;
        const cv::v_int32x4 own = cv::v_load(at);
        cv::v_int32x4 copper = cv::v_setzero_s32();  // counted down
        cv::v_int32x4 leaves = cv::v_setzero_s32();
        cv::v_int32x4 before = cv::v_load(at + few_.back()) == own;
        for (const std::ptrdiff_t by : few_) {
            const cv::v_int32x4 here = cv::v_load(at + by) == own;
            copper += here;
            leaves += here & ~before;
            before = here;
        }
        const cv::v_int32x4 most = cv::v_setall_s32(-most_of_few);
        const cv::v_int32x4 once = cv::v_setall_s32(-1);
        return cv::v_signmask((copper >= most) & (leaves >= once));
    }

    // Copper leaves in one narrow direction, and there is bare board in all others.
    bool is_end(cv::Point p) const {
        if (at(p) != Surface::masked_copper || !leaves_once(p)) {
            return false;
        }
        // Amid a wide area all around is copper.
        const float own = depth(p);
        return own >= within_px_ && own <= around_px_;
    }

private:
    bool leaves_once(cv::Point p) const {
        const int own = labels_.at<int>(p);
        int copper = 0;
        int others = 0;  // neither its copper nor bare board
        int leaves = 0;
        bool before = is_own(p + ring_.back(), own);
        for (const cv::Point& step : ring_) {
            const cv::Point q = p + step;
            const bool here = is_own(q, own);
            copper += here ? 1 : 0;
            leaves += here && !before ? 1 : 0;
            others += inside(q) && at(q) == Surface::laminate ? 0 : 1;
            before = here;
            if (copper > most_copper * ring_points || leaves > 1 ||
                others > (1.0 - least_board) * ring_points) {
                return false;
            }
        }
        return leaves == 1;
    }

    bool inside(cv::Point p) const {
        return p.x >= 0 && p.y >= 0 && p.x < labels_.cols && p.y < labels_.rows;
    }
    bool is_own(cv::Point p, int own) const { return inside(p) && labels_.at<int>(p) == own; }
    Surface at(cv::Point p) const {
        return side_.surface[static_cast<std::size_t>(p.y) * labels_.cols + p.x];
    }

    const SidePicture& side_;
    const cv::Mat& labels_;
    const CopperDepth& depth_;
    std::vector<cv::Point> ring_;
    std::vector<std::ptrdiff_t> few_;  // of these points, from a pixel on
    cv::Rect amid_;                    // where the rings of four do not leave the picture
    float within_px_ = 1.0F;
    float around_px_ = 1.0F;
};

// The pixels of each `step`-th row that may be as deep in copper as this, CV_8U: a square about
// them is copper, as far as these rows tell.
cv::Mat may_be_filled(const cv::Mat& labels, double depth_px, int step) {
    const cv::Mat rows((labels.rows + step - 1) / step,
                       labels.cols,
                       CV_32S,
                       labels.data,
                       labels.step * static_cast<std::size_t>(step));
    const int half = cvCeil(depth_px * one_pixel / aslant) - 1;
    cv::Mat filled;
    cv::erode(pieces_below(rows, std::numeric_limits<int>::max()),
              filled,
              cv::getStructuringElement(cv::MORPH_RECT, {2 * half + 1, 2 * (half / step) + 1}));
    return filled;
}

std::vector<End> ends_of(
    const Ends& above, const Ends& below, const cv::Mat& top, const cv::Mat& bottom, int step) {
    cv::Mat on[2];
    base::side_by_side(2, [&](std::size_t side) {
        on[side] = side == 0 ? may_be_filled(top, above.filled_px(), step)
                             : may_be_filled(bottom, below.filled_px(), step);
    });
    const auto look_at = [&](cv::Point p, std::vector<End>& ends) {
        const bool ends_above = above.is_end(p);
        const bool ends_below = below.is_end(p);
        if ((ends_above || ends_below) && above.is_filled(p) && below.is_filled(p)) {
            ends.push_back(
                {p, (ends_above ? above.depth(p) : 0.0F) + (ends_below ? below.depth(p) : 0.0F)});
        }
    };
    const std::vector<Run> runs = runs_of(on[0] & on[1]);
    constexpr std::size_t at_once = 256;
    std::vector<std::vector<End>> found((runs.size() + at_once - 1) / at_once);
    base::side_by_side(found.size(), [&](std::size_t part) {
        const std::size_t end = std::min(runs.size(), (part + 1) * at_once);
        for (std::size_t i = part * at_once; i < end; ++i) {
            const Run& run = runs[i];
            const int y = step * run.y;
            for (int from = run.from; from < run.to; from += 4) {
                const int maybe = above.may_be_ends({from, y}) | below.may_be_ends({from, y});
                for (int x = from; maybe != 0 && x < std::min(from + 4, run.to); ++x) {
                    if (x % step == 0 && (maybe >> (x - from) & 1) != 0) {
                        look_at({x, y}, found[part]);
                    }
                }
            }
        }
    });
    std::vector<End> ends;
    for (const std::vector<End>& part : found) {
        ends.insert(ends.end(), part.begin(), part.end());
    }
    return ends;
}

}  // namespace

CopperDepth::CopperDepth(double farthest_px) {
    const int most = static_cast<int>(farthest_px * one_pixel / straight) + 1;
    for (int y = -most; y <= most; ++y) {
        for (int x = -most; x <= most; ++x) {
            const int both = std::min(std::abs(x), std::abs(y));
            const int rest = std::max(std::abs(x), std::abs(y)) - both;
            const double length = (both * aslant + rest * straight) / one_pixel;
            if (length <= farthest_px) {
                steps_.push_back({{x, y}, static_cast<float>(length)});
            }
        }
    }
    std::ranges::stable_sort(steps_, std::less{}, &Step::length);
}

float CopperDepth::at(cv::Point p, const cv::Mat& labels) const {
    const cv::Rect board({0, 0}, labels.size());
    for (const Step& step : steps_) {
        const cv::Point q = p + step.by;
        if (board.contains(q) && labels.at<int>(q) < 0) {
            return step.length;
        }
    }
    return beyond;
}

void join_track_ends(const BoardPicture& picture,
                     const cv::Mat& top,
                     const cv::Mat& bottom,
                     std::vector<Joint>& joints) {
    constexpr double on_both = 0.9;
    constexpr double on_one = 0.45;
    const Raster& raster = picture.raster;
    const CopperDepth depth(static_cast<float>(around_mm * raster.px_per_mm));
    const Ends above(*picture.top, top, depth, raster.px_per_mm);
    const Ends below(*picture.bottom, bottom, depth, raster.px_per_mm);
    const int step = std::max(1, cvRound(0.05 * raster.px_per_mm));
    std::vector<End> ends = ends_of(above, below, top, bottom, step);
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
