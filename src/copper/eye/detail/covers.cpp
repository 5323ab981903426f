#include "copper/eye/detail/covers.h"

#include <algorithm>
#include <opencv2/imgproc.hpp>

namespace etchback::copper::eye::detail {

namespace {

constexpr float too_strange = 18.0F;  // squared standard deviations

cv::Mat disc(double radius_px) {
    const int r = std::max(1, cvRound(radius_px));
    return cv::getStructuringElement(cv::MORPH_ELLIPSE, {2 * r + 1, 2 * r + 1});
}

cv::Mat opened(const cv::Mat& mask, double radius_px) {
    cv::Mat out;
    cv::morphologyEx(mask, out, cv::MORPH_OPEN, disc(radius_px));
    return out;
}

cv::Mat closed(const cv::Mat& mask, double radius_px) {
    cv::Mat out;
    cv::morphologyEx(mask, out, cv::MORPH_CLOSE, disc(radius_px));
    return out;
}

// The mask where it reaches further than `radius_px` in every direction, and what hangs on it.
cv::Mat thick_parts(const cv::Mat& mask, double radius_px) {
    cv::Mat padded;
    cv::copyMakeBorder(mask, padded, 1, 1, 1, 1, cv::BORDER_CONSTANT, cv::Scalar(0));
    cv::Mat depth;
    cv::distanceTransform(padded, depth, cv::DIST_L2, cv::DIST_MASK_3);
    depth = depth(cv::Rect({1, 1}, mask.size()));
    const cv::Mat core = depth > radius_px;
    cv::Mat grown;
    // The reach of the core is the mask's thick part.
    cv::distanceTransform(~core, grown, cv::DIST_L2, cv::DIST_MASK_3);
    return mask & (grown <= 1.5 * radius_px);
}

// Takes away pieces smaller than an area.
void drop_small(cv::Mat& mask, double least_px) {
    cv::Mat pieces;
    cv::Mat stats;
    cv::Mat centres;
    const int count = cv::connectedComponentsWithStats(mask, pieces, stats, centres, 8, CV_32S);
    std::vector<std::uint8_t> keep(static_cast<std::size_t>(count), 0);
    for (int i = 1; i < count; ++i) {
        keep[static_cast<std::size_t>(i)] =
            stats.at<int>(i, cv::CC_STAT_AREA) >= least_px ? 255 : 0;
    }
    for (int y = 0; y < mask.rows; ++y) {
        for (int x = 0; x < mask.cols; ++x) {
            mask.at<std::uint8_t>(y, x) = keep[static_cast<std::size_t>(pieces.at<int>(y, x))];
        }
    }
}

// Pieces of `body` close about a drilled hole are dark flanks of the solder in it.
void give_flanks_to_solder(const WorkPicture& work, Covers& covers) {
    constexpr double largest_mm2 = 5.0;
    constexpr double reach_mm = 1.3;
    if (cv::countNonZero(work.holes) == 0) {
        return;
    }
    cv::Mat to_hole;
    cv::distanceTransform(~work.holes, to_hole, cv::DIST_L2, cv::DIST_MASK_3);
    cv::Mat pieces;
    cv::Mat stats;
    cv::Mat centres;
    const int count =
        cv::connectedComponentsWithStats(covers.body, pieces, stats, centres, 8, CV_32S);
    std::vector<float> farthest(static_cast<std::size_t>(count), 0.0F);
    for (int y = 0; y < pieces.rows; ++y) {
        for (int x = 0; x < pieces.cols; ++x) {
            float& far = farthest[static_cast<std::size_t>(pieces.at<int>(y, x))];
            far = std::max(far, to_hole.at<float>(y, x));
        }
    }
    const double mm = work.px_per_mm;
    for (int y = 0; y < pieces.rows; ++y) {
        for (int x = 0; x < pieces.cols; ++x) {
            const int piece = pieces.at<int>(y, x);
            if (piece != 0 && farthest[static_cast<std::size_t>(piece)] < reach_mm * mm &&
                stats.at<int>(piece, cv::CC_STAT_AREA) < largest_mm2 * mm * mm) {
                covers.body.at<std::uint8_t>(y, x) = 0;
                covers.metal.at<std::uint8_t>(y, x) = 255;
            }
        }
    }
}

}  // namespace

Covers find_covers(const WorkPicture& work, const TwoClasses& classes, const cv::Mat& strange) {
    const double mm = work.px_per_mm;
    const float lightest = std::max(classes.clouds[0].mean[0], classes.clouds[1].mean[0]);
    const float darkest = std::min(classes.clouds[0].mean[0], classes.clouds[1].mean[0]);
    cv::Mat light;
    cv::resize(classes.light, light, work.colour.size(), 0, 0, cv::INTER_LINEAR);

    cv::Mat other(work.colour.size(), CV_8U, cv::Scalar(0));
    cv::Mat bright = other.clone();
    cv::Mat dark = other.clone();
    for (int y = 0; y < other.rows; ++y) {
        for (int x = 0; x < other.cols; ++x) {
            if (work.inside.at<std::uint8_t>(y, x) == 0 || strange.at<float>(y, x) <= too_strange) {
                continue;
            }
            const cv::Vec3f& c = work.colour.at<cv::Vec3f>(y, x);
            const float over = c[0] - light.at<cv::Vec3f>(y, x)[0];
            other.at<std::uint8_t>(y, x) = 255;
            // Tin, solder and gold: no hue, or a little of yellow.
            const bool metallic = c[1] > -0.25F && c[1] < 0.45F && c[2] > -0.8F && c[2] < 0.3F;
            if (over > lightest + 0.12F && metallic) {
                bright.at<std::uint8_t>(y, x) = 255;
            } else if (over < darkest - 0.15F) {
                dark.at<std::uint8_t>(y, x) = 255;
            }
        }
    }
    Covers covers;
    // Drops of solder have dark flanks, and a hole in them may be open.
    const cv::Mat solid = closed(bright | work.holes, 0.14 * mm);
    covers.metal = opened(solid, 0.2 * mm);
    // Letters are bright, too, but nowhere broad.
    cv::Mat broad = opened(bright | work.holes, 0.17 * mm);
    cv::dilate(broad, broad, disc(0.35 * mm));
    covers.metal &= broad;
    const cv::Mat large = thick_parts(covers.metal, 1.6 * mm);
    covers.metal &= ~large;
    drop_small(covers.metal, 0.12 * mm * mm);
    covers.body = opened(other & ~covers.metal, 0.3 * mm);
    covers.body |= large;
    drop_small(covers.body, 0.6 * mm * mm);
    covers.body = closed(covers.body, 0.35 * mm) & ~covers.metal;
    give_flanks_to_solder(work, covers);
    covers.legend = other & ~covers.metal & ~covers.body & ~work.holes;
    covers.board = work.inside & ~covers.metal & ~covers.body & ~covers.legend & ~work.holes;
    return covers;
}

}  // namespace etchback::copper::eye::detail
