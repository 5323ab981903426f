// One photo on its way onto the board: what was found in it and how it may lie.
#pragma once

#include <opencv2/core.hpp>
#include <vector>

#include "copper/eye/detail/bundle.h"
#include "copper/eye/detail/find_board.h"
#include "copper/eye/detail/find_spots.h"
#include "copper/eye/detail/match_sides.h"
#include "copper/eye/photo.h"
#include "dossier/dossier.h"

namespace etchback::copper::eye::detail {

struct BoardSize {
    double width_mm = 0.0;
    double height_mm = 0.0;
    bool width_known = false;
    bool height_known = false;
};

// A spot, in the photo.
struct PhotoSpot {
    cv::Point2d px;
    double radius_px = 0.0;
    Spot spot;  // colours and contrast; its place and radius are those of the straightened picture
};

// A photo made smaller, to be looked at again and again.
struct SmallPhoto {
    cv::Mat bgr;
    double shrink = 1.0;  // photo pixels per pixel
};
// No larger than the photo.
SmallPhoto small_photo(const cv::Mat& bgr, double longest_px);

struct SideView {
    Side side = Side::top;
    const Photo* photo = nullptr;
    const dossier::Photo* entry = nullptr;  // may be missing
    FoundBoard board;
    bool mirrored = false;  // looked at from below
    int quarter = 0;        // how many of its corners the board's upper left corner is on
    std::vector<PhotoSpot> spots;
    SmallPhoto small;  // longest side of 900 pixels, to compare faces
    SmallPhoto tiny;   // of 400
};

// Which corner of the photo's quadrilateral is the board's corner `i`, and which of its sides.
int corner_of(const SideView& view, int i, int quarter);
int side_of(const SideView& view, int i, int quarter);

// The photo for a bundle, its board turned by `quarter` quarters.
BundlePhoto bundle_photo(const SideView& view, int quarter);

// Width to height of the board as it stands at quarter 0.
double aspect_seen(const SideView& view);

// The photo laid onto the board by its own outline alone.
BundleFit fit_alone(const SideView& view, int quarter, const BoardSize& size);

// Finds the round spots, in a picture straightened by `fit`.
void find_view_spots(SideView& view, const BundleFit& fit);

// The spots that may be holes, on the board as `fit` has it; and with the bright ones that may be
// joints or pads.
std::vector<SideSpot> hole_spots(const SideView& view, const BundleFit& fit);
// Of the spots that may be holes those that lie in plain board, not in print or metal.
std::vector<SideSpot> plain_hole_spots(const SideView& view, const BundleFit& fit);
std::vector<SideSpot> hole_and_joint_spots(const SideView& view, const BundleFit& fit);

}  // namespace etchback::copper::eye::detail
