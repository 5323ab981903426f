// All that ties photos to the board, adjusted together: straight sides, spots seen on both photos,
// spots and lengths that the person gave.
//
// Each photo has a homography and two terms of radial distortion; the board is an upright
// rectangle. Solved by the method of Levenberg and Marquardt with weights that let go of what does
// not fit (Cauchy's): parts that stand over an edge, letters taken for holes.
#pragma once

#include <array>
#include <opencv2/core.hpp>
#include <optional>
#include <vector>

#include "copper/eye/detail/find_board.h"
#include "copper/eye/detail/lens.h"

namespace etchback::copper::eye::detail {

struct BundlePhoto {
    cv::Size size;
    // Where the board's corners lie in the photo: upper left, upper right, lower right, lower left
    // as seen from the top of the board.
    std::array<cv::Point2d, 4> corners;
    std::vector<EdgePoint> edges;  // side 0: the board's upper, 1 right, 2 lower, 3 left
    double k1 = 0.0;
    double k2 = 0.0;
};

struct SameSpot {
    int a = 0;  // index of the photo
    cv::Point2d a_px;
    int b = 1;
    cv::Point2d b_px;
    double sigma_mm = 0.1;
    const char* what = "hole, top and bottom";
};

struct KnownSpot {
    int photo = 0;
    cv::Point2d px;
    cv::Point2d mm;
};

struct KnownDistance {
    int photo = 0;
    cv::Point2d from_px;
    cv::Point2d to_px;
    double mm = 0.0;
};

struct Bundle {
    std::vector<BundlePhoto> photos;
    std::vector<SameSpot> same;
    std::vector<KnownSpot> spots;  // two or more free the board's corner from the origin
    std::vector<KnownDistance> distances;
    double width_mm = 0.0;  // first guess
    double height_mm = 0.0;
    bool width_known = false;
    bool height_known = false;
};

struct FittedPhoto {
    Lens lens;
    double k1 = 0.0;
    double k2 = 0.0;
    cv::Matx33d to_board;  // of undistorted pixels

    cv::Point2d board(cv::Point2d px) const { return through(to_board, lens.undistort(px)); }
    cv::Point2d pixel(cv::Point2d mm) const { return lens.distort(through(to_board.inv(), mm)); }
};

struct BundleFit {
    std::vector<FittedPhoto> photos;
    cv::Point2d corner;  // of the board, upper left
    double width_mm = 0.0;
    double height_mm = 0.0;
};

// `wide_mm`: how far off the first guess may be.
BundleFit adjust(const Bundle& bundle, double wide_mm);

// The same from where a fit of the same photos stands already.
BundleFit adjust(const Bundle& bundle, const BundleFit& from, double wide_mm);

// The same fit with all heights on the board multiplied.
BundleFit stretched(const BundleFit& fit, double height_factor);

// The fit as it stands before anything is adjusted.
BundleFit first_fit(const Bundle& bundle);

// How far a point on a side lies from it, positive outside.
double beyond_side(const BundleFit& fit, int side, cv::Point2d mm);

}  // namespace etchback::copper::eye::detail
