// A plain camera over a plain board: every pixel's place is known.
#include "copper/eye/registration.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <opencv2/imgproc.hpp>

#include "eye/registration_scene.h"

namespace etchback::copper::eye {
namespace {

using testing::HasSubstr;

dossier::Amount millimetres(double mm) {
    return {base::Quantity::of(1e-3 * mm, base::Unit::metre), {}};
}

dossier::Dossier dossier_of(const Scene& scene) {
    dossier::Dossier dossier;
    dossier.board.width = millimetres(scene.width);
    dossier.board.height = millimetres(scene.height);
    return dossier;
}

// Root mean square of how far photo pixels land from where they belong, over the whole board.
double misplaced_mm(const Scene& scene, const Shot& shot, const PhotoFit& fit, cv::Size size) {
    double sum = 0.0;
    int count = 0;
    for (double x = 0.0; x <= 1.0; x += 0.1) {
        for (double y = 0.0; y <= 1.0; y += 0.1) {
            const cv::Point2d mm(x * scene.width, y * scene.height);
            const Point at = board_point(fit, size, shot.pixel(mm));
            sum += (at.x_mm - mm.x) * (at.x_mm - mm.x) + (at.y_mm - mm.y) * (at.y_mm - mm.y);
            ++count;
        }
    }
    return std::sqrt(sum / count);
}

const Camera from_above{.turn_deg = 7.0, .tilt_x_deg = 9.0, .tilt_y_deg = -6.0, .k1 = -0.05};

Camera from_below(bool about_short, double turn_deg) {
    return {.turn_deg = turn_deg,
            .tilt_x_deg = -5.0,
            .tilt_y_deg = 8.0,
            .k1 = 0.03,
            .below = true,
            .about_short = about_short};
}

TEST(Registration, FindsHowTheBottomWasTurnedOver) {
    const Scene scene = scene_of(5, 30);
    const Shot top(scene, from_above);
    const Photo top_photo{"top.png", top.photo()};
    for (const bool about_short : {false, true}) {
        for (const double turn : {-8.0, 97.0}) {
            const Camera camera = from_below(about_short, turn);
            const Shot bottom(scene, camera);
            const auto board =
                straighten(top_photo, Photo{"bottom.png", bottom.photo()}, dossier_of(scene));
            ASSERT_TRUE(board) << base::to_string(board.errors().front());
            EXPECT_LT(misplaced_mm(scene, top, board->top->fit, from_above.size), 0.05);
            EXPECT_LT(misplaced_mm(scene, bottom, board->bottom->fit, camera.size), 0.05)
                << "about_short " << about_short << " turn " << turn;
            EXPECT_TRUE(board->registration.good);
            EXPECT_GE(board->registration.matches, 10);
            EXPECT_LT(board->registration.residual_mm, 0.03);
        }
    }
}

// A photo on which the person measured where four places are on the board.
dossier::Photo measured(const std::string& file, const std::string& side, const Shot& shot) {
    dossier::Photo photo;
    photo.file.value = file;
    photo.side.value = side;
    for (const cv::Point2d mm :
         {cv::Point2d(6, 5), cv::Point2d(52, 7), cv::Point2d(48, 33), cv::Point2d(11, 30)}) {
        const cv::Point2d px = shot.pixel(mm);
        dossier::PhotoPoint point;
        point.name.value = side + std::to_string(photo.points.size());
        point.x_px = px.x;
        point.y_px = px.y;
        point.x_mm = mm.x;
        point.y_mm = mm.y;
        photo.points.push_back(point);
    }
    return photo;
}

TEST(Registration, IsToldByMeasuredPlacesWhichWayRoundABareBoardLies) {
    const Scene scene = scene_of(5, 0);  // nothing is seen on both sides
    const Shot top(scene, from_above);
    const Photo top_photo{"top.png", top.photo()};
    for (const bool about_short : {false, true}) {
        const Camera camera = from_below(about_short, 97.0);
        const Shot bottom(scene, camera);
        const Photo bottom_photo{"bottom.png", bottom.photo()};
        dossier::Dossier dossier = dossier_of(scene);
        EXPECT_FALSE(straighten(top_photo, bottom_photo, dossier)->registration.good);
        dossier.photos = {measured("top.png", "top", top),
                          measured("bottom.png", "bottom", bottom)};
        const auto board = straighten(top_photo, bottom_photo, dossier);
        ASSERT_TRUE(board) << base::to_string(board.errors().front());
        EXPECT_TRUE(board->registration.good);
        EXPECT_LT(misplaced_mm(scene, top, board->top->fit, from_above.size), 0.1);
        EXPECT_LT(misplaced_mm(scene, bottom, board->bottom->fit, camera.size), 0.1);
    }
}

TEST(Registration, FindsHolesWhereTheyAre) {
    const Scene scene = scene_of(7, 25);
    const auto board = straighten(Photo{"top.png", Shot(scene, from_above).photo()},
                                  Photo{"bottom.png", Shot(scene, from_below(true, 3.0)).photo()},
                                  dossier_of(scene));
    ASSERT_TRUE(board);
    int found = 0;
    int on_both = 0;
    for (const SceneHole& truth : scene.holes) {
        for (const Hole& hole : board->holes) {
            if (cv::norm(cv::Point2d(hole.at.x_mm, hole.at.y_mm) - truth.at) < 0.1) {
                ++found;
                on_both += hole.seen_top && hole.seen_bottom ? 1 : 0;
                EXPECT_NEAR(hole.diameter_mm, truth.diameter, 0.15);
                EXPECT_GT(hole.real, 0.7);
                break;
            }
        }
    }
    EXPECT_GE(found, 20) << "of " << scene.holes.size();
    EXPECT_GE(on_both, 14);
}

TEST(Registration, TakesTheRatioOfTheSidesFromPerspectiveWhereOneIsGiven) {
    const Scene scene = scene_of(5, 30);
    dossier::Dossier dossier = dossier_of(scene);
    dossier.board.height.reset();
    const Shot top(scene, from_above);
    const auto board = straighten(Photo{"top.png", top.photo()}, std::nullopt, dossier);
    ASSERT_TRUE(board);
    EXPECT_LT(misplaced_mm(scene, top, board->top->fit, from_above.size), 0.25);
    EXPECT_EQ(board->registration.scale_from, "board.width");
}

TEST(Registration, GuessesTheScaleAndSaysSo) {
    const Scene scene = scene_of(5, 30);
    const auto board =
        straighten(Photo{"top.png", Shot(scene, from_above).photo()}, std::nullopt, {});
    ASSERT_TRUE(board);
    EXPECT_FALSE(board->registration.scale_known);
    ASSERT_FALSE(board->remarks.empty());
    EXPECT_THAT(board->remarks.front().what, HasSubstr("the scale is guessed"));
    EXPECT_THAT(board->remarks.front().todo, HasSubstr("board.width"));
}

TEST(Registration, TakesTheScaleFromALengthOnThePhoto) {
    const Scene scene = scene_of(5, 30);
    const Shot top(scene, from_above);
    const cv::Point2d a = top.pixel({5.0, 5.0});
    const cv::Point2d b = top.pixel({scene.width - 5.0, scene.height - 5.0});
    dossier::Dossier dossier;
    dossier::KnownLength length;
    length.photo.value = "top.png";
    length.from_x_px = a.x;
    length.from_y_px = a.y;
    length.to_x_px = b.x;
    length.to_y_px = b.y;
    length.length = millimetres(std::hypot(scene.width - 10.0, scene.height - 10.0));
    dossier.board.lengths.push_back(length);
    const auto board = straighten(Photo{"top.png", top.photo()}, std::nullopt, dossier);
    ASSERT_TRUE(board);
    EXPECT_TRUE(board->registration.scale_known);
    EXPECT_EQ(board->registration.scale_from, "a length on top.png");
    EXPECT_LT(misplaced_mm(scene, top, board->top->fit, from_above.size), 0.35);
}

TEST(Registration, SaysThatOneSideWasGivenTwice) {
    const Scene scene = scene_of(9, 30);
    Camera again = from_above;
    again.turn_deg = -12.0;
    again.tilt_x_deg = -4.0;
    const auto board = straighten(Photo{"a.png", Shot(scene, from_above).photo()},
                                  Photo{"b.png", Shot(scene, again).photo()},
                                  dossier_of(scene));
    ASSERT_FALSE(board);
    EXPECT_EQ(board.errors().front().what, "a.png and b.png show the same side of the board");
}

TEST(Registration, SaysThatTwoPhotosAreOfTwoBoards) {
    Scene one = scene_of(9, 30);
    Scene other = scene_of(10, 30);
    one.width = 2.4 * one.height;
    other.width = 1.3 * other.height;
    const auto board = straighten(Photo{"a.png", Shot(one, from_above).photo()},
                                  Photo{"b.png", Shot(other, from_below(true, 0.0)).photo()},
                                  dossier_of(one));
    ASSERT_FALSE(board);
    EXPECT_THAT(board.errors().front().what, HasSubstr("cannot be of one board"));
}

TEST(Registration, SaysThatThereIsNoBoard) {
    cv::Mat paper(900, 1200, CV_8UC3, cv::Scalar(220, 224, 226));
    const auto board = straighten(Photo{"paper.png", paper}, std::nullopt, {});
    ASSERT_FALSE(board);
    EXPECT_EQ(board.errors().front().what, "no board is found in paper.png");
    EXPECT_THAT(board.errors().front().todo, HasSubstr("on a plain ground of another colour"));
}

TEST(Registration, GivesTheSameAnswerTwice) {
    const Scene scene = scene_of(11, 25);
    const Photo top{"top.png", Shot(scene, from_above).photo()};
    const Photo bottom{"bottom.png", Shot(scene, from_below(false, 2.0)).photo()};
    const auto first = straighten(top, bottom, dossier_of(scene));
    cv::theRNG().state = 12345;  // whatever was drawn between
    const auto second = straighten(top, bottom, dossier_of(scene));
    ASSERT_TRUE(first);
    ASSERT_TRUE(second);
    EXPECT_EQ(first->raster, second->raster);
    EXPECT_EQ(first->holes, second->holes);
    EXPECT_EQ(first->outline, second->outline);
    EXPECT_EQ(first->registration.residual_mm, second->registration.residual_mm);
    EXPECT_EQ(cv::norm(first->bottom->bgr, second->bottom->bgr, cv::NORM_INF), 0.0);
}

TEST(Registration, KeepsTheRasterSmallAndFineEnough) {
    const Scene scene = scene_of(5, 30);
    const auto board = straighten(
        Photo{"top.png", Shot(scene, from_above).photo()}, std::nullopt, dossier_of(scene));
    ASSERT_TRUE(board);
    EXPECT_LE(board->raster.size(), 4'100'000U);
    EXPECT_GE(board->raster.px_per_mm, 15.0);
    EXPECT_EQ(board->top->bgr.size(), cv::Size(board->raster.width, board->raster.height));
    EXPECT_LE(board->raster.origin.x_mm, 0.0);
    // The corner of the board is the origin.
    ASSERT_TRUE(board->outline);
    EXPECT_NEAR(board->outline->outer.front().x_mm, 0.0, 1e-2);
    EXPECT_NEAR(board->outline->outer.front().y_mm, 0.0, 1e-2);
}

TEST(Registration, GoesToTheBoardAndBack) {
    PhotoFit fit;
    fit.k1 = -0.08;
    fit.k2 = 0.02;
    const double to_board[9] = {0.03, 0.002, -4.0, -0.001, 0.031, -6.0, 1e-5, -2e-5, 1.0};
    std::copy(std::begin(to_board), std::end(to_board), std::begin(fit.to_board));
    for (const cv::Point2d px :
         {cv::Point2d(10, 20), cv::Point2d(1500, 900), cv::Point2d(800, 600)}) {
        const Point mm = board_point(fit, {1600, 1200}, px);
        const cv::Point2d back = photo_pixel(fit, {1600, 1200}, mm);
        EXPECT_NEAR(back.x, px.x, 1e-6);
        EXPECT_NEAR(back.y, px.y, 1e-6);
    }
}

}  // namespace
}  // namespace etchback::copper::eye
