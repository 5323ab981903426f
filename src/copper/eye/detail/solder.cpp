#include "copper/eye/detail/solder.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "copper/eye/detail/discs.h"

namespace etchback::copper::eye::detail {

namespace {

constexpr double farthest_mm = 1.4;  // of a joint's edge from its middle
constexpr double apart_mm = 0.1;     // of two joints, from the middle between them
constexpr double surely_mm = 0.28;   // about a pad's place there is copper

// How a board's own surface looks, as far as it tells it from metal.
struct Board {
    float lightest = 0.0F;
    float hue = 0.0F;  // how far its hue is from that of metal
};

Board board_of(const TwoClasses& classes, const cv::Vec2f& lamp) {
    Board board;
    board.hue = 9.0F;
    for (const Cloud& cloud : classes.clouds) {
        board.lightest = std::max(board.lightest, cloud.mean[0]);
        board.hue =
            std::min(board.hue, std::hypot(cloud.mean[1] - lamp[0], cloud.mean[2] - lamp[1]));
    }
    return board;
}

// Solder mirrors the room: light and dark, but without a hue of its own.
bool is_metal(const cv::Vec3f& c, float over, const Board& board, const cv::Vec2f& lamp) {
    const float hue = std::hypot(c[1] - lamp[0], c[2] - lamp[1]);
    const bool gold = c[1] - lamp[0] > 0.0F && c[1] - lamp[0] < 0.45F && c[2] - lamp[1] > -0.95F &&
                      c[2] - lamp[1] < -0.42F && over > board.lightest;
    return gold || hue < std::min(0.22F, 0.6F * board.hue) ||
           (hue < 0.22F && over > board.lightest + 0.12F);
}

// How far metal reaches from a middle on most sides, in pixels.
double joint_radius(const cv::Mat& metal, const cv::Mat& own, cv::Point2d middle) {
    constexpr double least_share = 0.65;
    const int most = metal.cols;
    std::vector<int> all(static_cast<std::size_t>(most) + 1, 0);
    std::vector<int> shining(static_cast<std::size_t>(most) + 1, 0);
    for (int y = 0; y < metal.rows; ++y) {
        for (int x = 0; x < metal.cols; ++x) {
            const auto r = static_cast<std::size_t>(cv::norm(cv::Point2d(x, y) - middle));
            if (own.at<std::uint8_t>(y, x) != 0 && r < all.size()) {
                ++all[r];
                shining[r] += metal.at<std::uint8_t>(y, x) != 0 ? 1 : 0;
            }
        }
    }
    std::size_t r = 0;
    while (r < all.size() && all[r] > 0 && shining[r] >= least_share * all[r]) {
        ++r;
    }
    return static_cast<double>(r);
}

}  // namespace

cv::Mat solder_at_pads(const WorkPicture& work,
                       const TwoClasses& classes,
                       const cv::Mat& other,
                       const cv::Vec2f& lamp) {
    cv::Mat solder(work.colour.size(), CV_8U, cv::Scalar(0));
    const Board board = board_of(classes, lamp);
    const double mm = work.px_per_mm;
    const int reach = cvCeil(farthest_mm * mm);
    const cv::Rect all({0, 0}, solder.size());
    for (const KnownPad& pad : work.pads) {
        const cv::Point middle(cvRound(pad.at.x), cvRound(pad.at.y));
        const cv::Rect box =
            all & cv::Rect(middle.x - reach, middle.y - reach, 2 * reach + 1, 2 * reach + 1);
        if (!all.contains(middle)) {
            continue;
        }
        if (pad.covered) {
            cv::circle(solder, middle, cvRound(surely_mm * mm), cv::Scalar(255), cv::FILLED);
            continue;
        }
        std::vector<cv::Point2d> others;
        double free = reach;
        for (const KnownPad& o : work.pads) {
            const double d = cv::norm(o.at - pad.at);
            if (d > 0.3 * mm && d < 2.0 * reach) {
                others.push_back(o.at);
                free = std::min(free, std::max(surely_mm * mm, 0.5 * d - apart_mm * mm));
            }
        }
        cv::Mat metal(box.size(), CV_8U, cv::Scalar(0));
        cv::Mat own = metal.clone();
        cv::Mat no_board = metal.clone();
        for (int y = 0; y < box.height; ++y) {
            for (int x = 0; x < box.width; ++x) {
                const cv::Point p(box.x + x, box.y + y);
                const double d = cv::norm(cv::Point2d(p) - pad.at);
                const bool nearest = std::ranges::none_of(
                    others, [&](const cv::Point2d& o) { return cv::norm(cv::Point2d(p) - o) < d; });
                const cv::Point2d off = cv::Point2d(p) - pad.at;
                const bool within =
                    std::abs(off.dot(pad.axis)) <= pad.reach_along &&
                    std::abs(off.x * -pad.axis.y + off.y * pad.axis.x) <= pad.reach_across;
                if (d > free || !nearest || !within || work.bodies.at<std::uint8_t>(p) != 0) {
                    continue;
                }
                own.at<std::uint8_t>(y, x) = 255;
                const cv::Point cell(
                    std::min(classes.light.cols - 1, static_cast<int>(p.x / classes.cell_px)),
                    std::min(classes.light.rows - 1, static_cast<int>(p.y / classes.cell_px)));
                const cv::Vec3f& c = work.colour.at<cv::Vec3f>(p);
                const float over = c[0] - classes.light.at<cv::Vec3f>(cell)[0];
                const bool hole = work.holes.at<std::uint8_t>(p) != 0;
                no_board.at<std::uint8_t>(y, x) = hole || other.at<std::uint8_t>(p) != 0 ? 255 : 0;
                metal.at<std::uint8_t>(y, x) =
                    hole || (other.at<std::uint8_t>(p) != 0 && is_metal(c, over, board, lamp)) ? 255
                                                                                               : 0;
            }
        }
        cv::circle(metal, middle - box.tl(), cvRound(surely_mm * mm), cv::Scalar(255), cv::FILLED);
        metal &= own;
        // Dark facets lie within the joint; print and leads that touch it are narrow.
        metal = closed(metal, 0.15 * mm);
        metal &= own;
        // On a pale board hue does not tell metal: about a hole, whatever is round and no board is
        // its joint.
        const bool pale = board.hue < 0.25F && board.lightest > 4.5F;
        const cv::Point2d within_box = pad.at - cv::Point2d(box.tl());
        const double round = pad.drilled && pale ? joint_radius(no_board | metal, own, within_box)
                                                 : joint_radius(metal, own, within_box);
        metal = opened(metal, (pad.drilled ? 0.4 : 0.15) * mm);
        if (round > 0.35 * mm) {
            cv::circle(metal, middle - box.tl(), cvRound(round), cv::Scalar(255), cv::FILLED);
        }
        metal &= own;
        cv::circle(metal, middle - box.tl(), cvRound(surely_mm * mm), cv::Scalar(255), cv::FILLED);
        cv::Mat pieces;
        cv::connectedComponents(metal, pieces, 4, CV_32S);
        metal = pieces == pieces.at<int>(middle - box.tl());
        std::vector<std::vector<cv::Point>> rings;
        cv::findContours(metal, rings, cv::RETR_EXTERNAL, cv::CHAIN_APPROX_NONE);
        cv::drawContours(solder(box), rings, -1, cv::Scalar(255), cv::FILLED);
    }
    return solder;
}

}  // namespace etchback::copper::eye::detail
