#include "copper/eye/detail/face_ties.h"

#include <algorithm>
#include <array>

#include "copper/eye/detail/face_agreement.h"
#include "copper/eye/detail/warp.h"

namespace etchback::copper::eye::detail {
namespace {

constexpr int pieces = 3;  // a way, each overlapping its neighbours by half
constexpr double most_pixels = 4.0e5;
constexpr double reach_mm = 1.2;
constexpr double sure = 8.0;
constexpr double sigma_mm = 0.04;

}  // namespace

std::vector<SameSpot> face_ties(const std::vector<SideView>& views, const BundleFit& fit) {
    const double finest = std::min(resolution(fit.photos[0], fit), resolution(fit.photos[1], fit));
    const Raster raster = raster_for(fit, 0.0, finest, 12.0, most_pixels);
    const std::array<cv::Mat, 2> flat = {warp(views[0].photo->bgr, fit.photos[0], raster).bgr,
                                         warp(views[1].photo->bgr, fit.photos[1], raster).bgr};
    const cv::Size piece(2 * raster.width / (pieces + 1), 2 * raster.height / (pieces + 1));
    const int reach = cvRound(reach_mm * raster.px_per_mm);
    std::vector<SameSpot> ties;
    if (std::min(piece.width, piece.height) < 8 * reach) {
        return ties;  // too small a board to be cut in pieces
    }
    for (int row = 0; row < pieces; ++row) {
        for (int column = 0; column < pieces; ++column) {
            const cv::Rect where({column * piece.width / 2, row * piece.height / 2}, piece);
            const FaceShift found =
                shift_between(face_of_flat(flat[0](where)), face_of_flat(flat[1](where)), reach);
            if (found.strength < sure) {
                continue;
            }
            const cv::Point2d middle(where.x + 0.5 * piece.width, where.y + 0.5 * piece.height);
            const cv::Point2d on_a = raster_to_mm(raster, middle + 0.5 * found.shift);
            const cv::Point2d on_b = raster_to_mm(raster, middle - 0.5 * found.shift);
            ties.push_back({0,
                            fit.photos[0].pixel(on_a),
                            1,
                            fit.photos[1].pixel(on_b),
                            sigma_mm,
                            "what both sides show"});
        }
    }
    return ties;
}

}  // namespace etchback::copper::eye::detail
