#include "copper/eye/detail/side_view.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "copper/eye/detail/aspect.h"
#include "copper/eye/detail/find_joints.h"
#include "copper/eye/detail/warp.h"

namespace etchback::copper::eye::detail {

SmallPhoto small_photo(const cv::Mat& bgr, double longest_px) {
    SmallPhoto out;
    out.shrink = std::max(1.0, std::max(bgr.cols, bgr.rows) / longest_px);
    cv::resize(bgr, out.bgr, {}, 1.0 / out.shrink, 1.0 / out.shrink, cv::INTER_AREA);
    return out;
}

int corner_of(const SideView& view, int i, int quarter) {
    return ((view.mirrored ? 1 - i + quarter : i + quarter) + 8) % 4;
}

int side_of(const SideView& view, int i, int quarter) {
    return ((view.mirrored ? quarter - i : i + quarter) + 8) % 4;
}

BundlePhoto bundle_photo(const SideView& view, int quarter) {
    BundlePhoto out;
    out.size = view.photo->bgr.size();
    std::array<int, 4> side_to{};
    for (int i = 0; i < 4; ++i) {
        out.corners[i] = view.board.corners[corner_of(view, i, quarter)];
        side_to[side_of(view, i, quarter)] = i;
    }
    for (const EdgePoint& edge : view.board.edges) {
        out.edges.push_back({edge.at, side_to[edge.side]});
    }
    return out;
}

double aspect_seen(const SideView& view) {
    Bundle bundle;
    bundle.photos.push_back(bundle_photo(view, 0));
    bundle.width_mm = 1.0;
    bundle.height_mm = 1.0;
    return 1.0 / height_factor(
                     {{first_fit(bundle).photos[0].to_board, view.photo->bgr.size()}}, 1.0, 1.0);
}

BundleFit fit_alone(const SideView& view, int quarter, const BoardSize& size) {
    Bundle bundle;
    bundle.photos.push_back(bundle_photo(view, quarter));
    bundle.width_mm = size.width_mm;
    bundle.height_mm = size.height_mm;
    bundle.width_known = true;
    bundle.height_known = true;
    return adjust(bundle, 0.012 * std::max(size.width_mm, size.height_mm));
}

void find_view_spots(SideView& view, const BundleFit& fit) {
    const FittedPhoto& fitted = fit.photos[0];
    const Raster raster = raster_for(fit, 0.0, resolution(fitted, fit), 30.0, 1.8e6);
    const Warped flat = warp(view.photo->bgr, fitted, raster);
    view.spots.clear();
    std::vector<Spot> found = find_spots(flat.bgr, flat.seen);
    std::erase_if(found, [](const Spot& spot) { return !spot.dark; });
    const std::vector<Spot> joints = find_joints(flat.bgr, flat.seen, raster.px_per_mm);
    found.insert(found.end(), joints.begin(), joints.end());
    for (const Spot& spot : found) {
        const cv::Point2d mm = raster_to_mm(raster, spot.at);
        const cv::Point2d px = fitted.pixel(mm);
        const double reach = spot.radius / raster.px_per_mm;
        const double across = cv::norm(fitted.pixel(mm + cv::Point2d(reach, 0.0)) - px);
        const double down = cv::norm(fitted.pixel(mm + cv::Point2d(0.0, reach)) - px);
        view.spots.push_back({px, 0.5 * (across + down), spot});
    }
}

namespace {

template <typename Takes>
std::vector<SideSpot> spots_that(const SideView& view, const BundleFit& fit, Takes takes) {
    std::vector<SideSpot> out;
    const FittedPhoto& fitted = fit.photos[0];
    for (const PhotoSpot& spot : view.spots) {
        if (takes(spot.spot)) {
            const cv::Point2d mm = fitted.board(spot.px);
            const double radius =
                cv::norm(fitted.board(spot.px + cv::Point2d(spot.radius_px, 0)) - mm);
            out.push_back({mm, spot.px, radius, spot.spot.dark, spot.spot.score()});
        }
    }
    return out;
}

double light_of(const cv::Vec3f& bgr) {
    return (bgr[0] + bgr[1] + bgr[2]) / 3.0;
}

// The middle light of the board in its photo: that of its mask or laminate.
double middle_light(const SideView& view) {
    const cv::Mat& mask = view.board.mask;
    cv::Mat small;
    cv::resize(view.photo->bgr, small, mask.size(), 0, 0, cv::INTER_AREA);
    std::vector<double> light;
    for (int y = 0; y < small.rows; ++y) {
        for (int x = 0; x < small.cols; ++x) {
            if (mask.at<std::uint8_t>(y, x) != 0) {
                light.push_back(light_of(small.at<cv::Vec3b>(y, x)));
            }
        }
    }
    if (light.empty()) {
        return 0.0;
    }
    const auto middle = light.begin() + static_cast<std::ptrdiff_t>(light.size() / 2);
    std::nth_element(light.begin(), middle, light.end());
    return *middle;
}

}  // namespace

std::vector<SideSpot> hole_spots(const SideView& view, const BundleFit& fit) {
    return spots_that(view, fit, [](const Spot& spot) { return spot.deep(); });
}

std::vector<SideSpot> plain_hole_spots(const SideView& view, const BundleFit& fit) {
    constexpr double about_as_light = 30.0;
    const double board = middle_light(view);
    return spots_that(view, fit, [&](const Spot& spot) {
        return spot.deep() && std::abs(light_of(spot.around) - board) < about_as_light;
    });
}

std::vector<SideSpot> hole_and_joint_spots(const SideView& view, const BundleFit& fit) {
    return spots_that(view, fit, [](const Spot& spot) { return !spot.dark || spot.deep(); });
}

}  // namespace etchback::copper::eye::detail
