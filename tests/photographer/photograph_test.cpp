// Photographs: the camera map is where things really are in the picture.

#include "board-photographer/photograph.h"

#include <gtest/gtest.h>

#include <cmath>
#include <opencv2/imgproc.hpp>

#include "board-photographer/make_board.h"
#include "board-photographer/truth.h"

namespace etchback::photographer {
namespace {

// A board with nothing but screw holes, which show the table.
Layout holes_only() {
    Layout layout;
    layout.name = "holes";
    layout.board.outline = {{0, 0}, {50, 0}, {50, 30}, {0, 30}};
    for (const Point& at : {Point{5, 5}, {44, 6}, {40, 25}, {8, 23}, {25, 14}}) {
        layout.board.holes.push_back({at, 3.0});
    }
    return layout;
}

Nuisance bent() {
    Nuisance nuisance = studio();
    nuisance.size = {1600, 1200};
    nuisance.distance_mm = 180.0;
    nuisance.tilt_deg = 9.0;
    nuisance.tilt_towards_deg = 40.0;
    nuisance.turn_deg = 17.0;
    nuisance.k1 = -0.05;
    nuisance.k2 = 0.01;
    nuisance.off_centre = 0.4;
    return nuisance;
}

// Middle of the dark spot around `near`, in the photo's lightness.
cv::Point2d dark_spot(const cv::Mat& bgr, cv::Point2d near, int radius) {
    cv::Mat grey;
    cv::cvtColor(bgr, grey, cv::COLOR_BGR2GRAY);
    double least = 0.0;
    double most = 0.0;
    const cv::Rect box(static_cast<int>(near.x) - radius,
                       static_cast<int>(near.y) - radius,
                       2 * radius + 1,
                       2 * radius + 1);
    cv::minMaxLoc(grey(box), &least, &most);
    const cv::Moments m = cv::moments(grey(box) < (least + most) / 2.0, true);
    return {box.x + m.m10 / m.m00, box.y + m.m01 / m.m00};
}

TEST(Camera, GoesToThePhotoAndBack) {
    for (const Side side : {Side::top, Side::bottom}) {
        for (const Turned turned : {Turned::about_vertical, Turned::about_horizontal}) {
            Nuisance nuisance = bent();
            nuisance.turned = turned;
            const Camera camera(view_of(holes_only(), side, nuisance));
            for (const Point& p : {Point{0, 0}, {50, 0}, {50, 30}, {13, 21}}) {
                const Point back = camera.board(camera.pixel(p));
                EXPECT_NEAR(back.x_mm, p.x_mm, 1e-6);
                EXPECT_NEAR(back.y_mm, p.y_mm, 1e-6);
            }
        }
    }
}

TEST(Camera, SeesTheBottomMirroredAboutTheEdgeItWasTurnedAbout) {
    Nuisance nuisance = studio();
    nuisance.turned = Turned::about_vertical;
    const Camera sideways(view_of(holes_only(), Side::bottom, nuisance));
    EXPECT_GT(sideways.pixel({5, 5}).x, sideways.pixel({44, 5}).x);
    EXPECT_LT(sideways.pixel({5, 5}).y, sideways.pixel({5, 25}).y);
    nuisance.turned = Turned::about_horizontal;
    const Camera over(view_of(holes_only(), Side::bottom, nuisance));
    EXPECT_LT(over.pixel({5, 5}).x, over.pixel({44, 5}).x);
    EXPECT_GT(over.pixel({5, 5}).y, over.pixel({5, 25}).y);
}

TEST(Camera, LeansTallThingsOutwards) {
    const Camera camera(view_of(holes_only(), Side::top, studio()));
    EXPECT_LT(camera.pixel({5, 15}, 15.0).x, camera.pixel({5, 15}, 0.0).x);
    EXPECT_GT(camera.pixel({45, 15}, 15.0).x, camera.pixel({45, 15}, 0.0).x);
}

TEST(Photograph, ShowsHolesWhereTheCameraSaysTheyAre) {
    const Layout layout = holes_only();
    for (const Side side : {Side::top, Side::bottom}) {
        const Shot shot = photograph(layout, side, bent());
        for (const BoardHole& hole : layout.board.holes) {
            const cv::Point2d expected = shot.camera.pixel(hole.at);
            const cv::Point2d seen = dark_spot(shot.bgr, expected, 70);
            EXPECT_NEAR(seen.x, expected.x, 0.7);
            EXPECT_NEAR(seen.y, expected.y, 0.7);
        }
    }
}

TEST(Photograph, IsTheSameForTheSameSeedAndAnotherForAnother) {
    const Layout layout = make_board(4);
    Nuisance nuisance = random_nuisance(9);
    nuisance.size = {800, 600};
    const Shot first = photograph(layout, Side::bottom, nuisance);
    EXPECT_EQ(first.jpeg, photograph(layout, Side::bottom, nuisance).jpeg);
    nuisance.seed += 1;
    EXPECT_NE(first.jpeg, photograph(layout, Side::bottom, nuisance).jpeg);
}

// Mean colour over pixels of the board that are chosen by a mask in the truth's raster.
cv::Scalar mean_where(const Shot& shot, const Truth& truth, const cv::Mat& chosen) {
    cv::Scalar sum;
    int count = 0;
    for (int y = 0; y < chosen.rows; ++y) {
        for (int x = 0; x < chosen.cols; ++x) {
            if (chosen.at<uchar>(y, x) != 0) {
                const cv::Point2d at = shot.camera.pixel(
                    {(x + 0.5) / truth.raster.px_per_mm, (y + 0.5) / truth.raster.px_per_mm});
                const auto c = shot.bgr.at<cv::Vec3b>(static_cast<int>(std::lround(at.y)),
                                                      static_cast<int>(std::lround(at.x)));
                sum += cv::Scalar(c[0], c[1], c[2]);
                ++count;
            }
        }
    }
    return sum / std::max(count, 1);
}

TEST(Photograph, ShowsCopperUnderTheMaskLighterThanLaminateWhereTheTruthHasIt) {
    BoardKnobs knobs;
    knobs.sides = 1;
    knobs.mask = Mask::green;
    const Layout layout = make_board(12, knobs);
    const Truth truth = truth_of(layout, 10.0);
    Nuisance nuisance = studio();
    nuisance.size = {1200, 900};
    const Shot shot = photograph(layout, Side::bottom, nuisance);
    const cv::Mat hidden = hidden_on(shot, truth.raster);
    cv::Mat inner;
    cv::erode(truth.bottom, inner, cv::Mat::ones(3, 3, CV_8U));
    cv::Mat grown;
    cv::dilate(truth.bottom | hidden | ~truth.board, grown, cv::Mat::ones(7, 7, CV_8U));
    const cv::Scalar copper = mean_where(shot, truth, inner & ~hidden);
    const cv::Scalar laminate = mean_where(shot, truth, ~grown);
    EXPECT_GT(copper[1], laminate[1] + 15.0);
}

TEST(Photograph, MarksWhatPartsCover) {
    const Layout layout = make_board(13);
    const Truth truth = truth_of(layout, 10.0);
    Nuisance nuisance = studio();
    nuisance.size = {1200, 900};
    const Shot shot = photograph(layout, Side::top, nuisance);
    const cv::Mat hidden = hidden_on(shot, truth.raster);
    cv::Mat inner;
    cv::erode(truth.body_top, inner, cv::Mat::ones(15, 15, CV_8U));
    EXPECT_GT(cv::countNonZero(hidden & inner), 0.8 * cv::countNonZero(inner));
    EXPECT_LT(cv::countNonZero(hidden), 0.8 * static_cast<double>(truth.raster.size()));
}

}  // namespace
}  // namespace etchback::photographer
