// Copper read from rendered photographs of invented boards, against what the renderer knows. The
// photographs are straightened by the renderer's own camera, so that this measures the surface
// alone.
#include "copper/eye/surface.h"

#include <gtest/gtest.h>

#include <opencv2/imgproc.hpp>

#include "board-photographer/make_board.h"
#include "board-photographer/photograph.h"
#include "board-photographer/truth.h"

namespace etchback::copper::eye {
namespace {

namespace renderer = etchback::photographer;

StraightSide straightened(const renderer::Shot& shot, const renderer::Truth& truth) {
    const Raster& raster = truth.raster;
    cv::Mat map(raster.height, raster.width, CV_32FC2);
    for (int y = 0; y < raster.height; ++y) {
        for (int x = 0; x < raster.width; ++x) {
            const cv::Point2f at =
                shot.camera.pixel({raster.origin.x_mm + (x + 0.5) / raster.px_per_mm,
                                   raster.origin.y_mm + (y + 0.5) / raster.px_per_mm});
            map.at<cv::Vec2f>(y, x) = {at.x, at.y};
        }
    }
    StraightSide side;
    cv::remap(shot.bgr, side.bgr, map, {}, cv::INTER_LINEAR);
    side.inside = truth.board.clone();
    return side;
}

TEST(RenderedSurface, TheSolderSideOfAGreenBoardIsReadWithoutAStroke) {
    const renderer::Layout layout = renderer::make_board(4);
    renderer::Nuisance nuisance = renderer::studio();
    nuisance.size = {1600, 1200};
    const renderer::Shot shot = renderer::photograph(layout, Side::bottom, nuisance);
    const renderer::Truth truth = renderer::truth_of(layout, 20.0);
    StraightBoard board;
    board.raster = truth.raster;
    board.bottom = straightened(shot, truth);

    const BoardPicture picture = classify(board, {}, {});

    const cv::Mat hidden = renderer::hidden_on(shot, truth.raster);
    int both = 0;
    int either = 0;
    for (std::size_t i = 0; i < picture.bottom->copper.size(); ++i) {
        if (hidden.data[i] == 0 && truth.board.data[i] != 0) {
            const bool is = truth.bottom.data[i] >= 128;
            const bool seen = picture.bottom->copper[i] >= 128;
            both += is && seen ? 1 : 0;
            either += is || seen ? 1 : 0;
        }
    }
    EXPECT_GT(both, 0.93 * either);
    EXPECT_TRUE(picture.bottom->trusted);
}

}  // namespace
}  // namespace etchback::copper::eye
