// What lies at each pixel: drawn pictures with a known answer.
#include "copper/eye/surface.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <opencv2/imgproc.hpp>

#include "copper/eye/find_islands.h"

namespace etchback::copper::eye {
namespace {

using Says = RasterStroke::Says;

TEST(Separated, WhiteIsCopper) {
    Photo top{"top.png", cv::Mat(40, 60, CV_8UC3, cv::Scalar::all(0))};
    cv::rectangle(top.bgr, {10, 10, 20, 20}, cv::Scalar::all(255), cv::FILLED);
    const auto picture = separated(top, {}, 20.0, {});
    ASSERT_TRUE(picture);
    ASSERT_TRUE(picture->top);
    EXPECT_FALSE(picture->bottom);
    EXPECT_EQ(picture->top->copper[15 * 60 + 15], 255);
    EXPECT_EQ(picture->top->surface[15 * 60 + 15], Surface::bare_copper);
    EXPECT_EQ(picture->top->surface[5 * 60 + 5], Surface::laminate);
}

TEST(Separated, PicturesOfTwoSizesAreRefused) {
    const Photo top{"top.png", cv::Mat(40, 60, CV_8UC3, cv::Scalar::all(0))};
    const Photo bottom{"bottom.png", cv::Mat(41, 60, CV_8UC3, cv::Scalar::all(0))};
    const auto picture = separated(top, bottom, 20.0, {});
    ASSERT_FALSE(picture);
    EXPECT_NE(picture.errors()[0].what.find("top.png has 60 x 40"), std::string::npos);
}

TEST(Separated, NoPictureAndNoScaleAreRefused) {
    EXPECT_FALSE(separated({}, {}, 20.0, {}));
    const Photo top{"top.png", cv::Mat(40, 60, CV_8UC3, cv::Scalar::all(0))};
    EXPECT_FALSE(separated(top, {}, 0.0, {}));
}

// An invented green board of 30 x 20 mm at 16 px/mm: tracks below the mask, light that falls off to
// one side, grain.
struct Drawn {
    StraightBoard board;
    cv::Mat copper;
};

Drawn drawn_board(cv::Scalar over_copper, cv::Scalar over_laminate) {
    const cv::Size size(480, 320);
    Drawn drawn;
    drawn.copper = cv::Mat(size, CV_8U, cv::Scalar(0));
    for (int i = 0; i < 6; ++i) {
        cv::line(drawn.copper, {30, 40 + 45 * i}, {300, 40 + 45 * i}, cv::Scalar(255), 6 + 3 * i);
    }
    cv::rectangle(drawn.copper, {330, 30, 120, 260}, cv::Scalar(255), cv::FILLED);
    StraightSide side;
    side.bgr = cv::Mat(size, CV_8UC3);
    cv::RNG random(5);
    for (int y = 0; y < size.height; ++y) {
        for (int x = 0; x < size.width; ++x) {
            const cv::Scalar& c =
                drawn.copper.at<std::uint8_t>(y, x) != 0 ? over_copper : over_laminate;
            const double light = 1.0 - 0.4 * x / size.width - 0.2 * y / size.height;
            for (int k = 0; k < 3; ++k) {
                side.bgr.at<cv::Vec3b>(y, x)[k] =
                    cv::saturate_cast<std::uint8_t>(c[k] * light + random.gaussian(2.0));
            }
        }
    }
    cv::GaussianBlur(side.bgr, side.bgr, {}, 0.7);
    side.inside = cv::Mat(size, CV_8U, cv::Scalar(255));
    drawn.board.raster = {size.width, size.height, 16.0, {}};
    drawn.board.top = side;
    return drawn;
}

double overlap(const SidePicture& side, const cv::Mat& copper) {
    int both = 0;
    int either = 0;
    for (std::size_t i = 0; i < side.copper.size(); ++i) {
        const bool seen = side.copper[i] >= 128;
        const bool is = copper.data[i] != 0;
        both += seen && is ? 1 : 0;
        either += seen || is ? 1 : 0;
    }
    return static_cast<double>(both) / either;
}

TEST(Surface, CopperBelowGreenMaskInFallingLightIsFoundWithoutAStroke) {
    const Drawn drawn = drawn_board({78, 142, 62}, {52, 100, 42});
    const BoardPicture picture = classify(drawn.board, {}, {});
    EXPECT_GT(overlap(*picture.top, drawn.copper), 0.9);
    EXPECT_TRUE(picture.top->trusted);
    EXPECT_TRUE(picture.remarks.empty());
}

TEST(Surface, StrokesSayWhichOfTwoIsCopper) {
    // Darker over copper: against the rule, so that strokes must say it.
    const Drawn drawn = drawn_board({52, 100, 42}, {78, 142, 62});
    const std::vector<RasterStroke> strokes = {
        {Says::copper, {{350, 60}, {420, 250}}, 6.0F},
        {Says::laminate, {{60, 62}, {280, 62}}, 6.0F},
    };
    const BoardPicture picture = classify(drawn.board, strokes, {});
    EXPECT_GT(overlap(*picture.top, drawn.copper), 0.9);
}

TEST(Surface, NoCopperHoldsWhereItIsDrawnAndTeachesNothing) {
    const Drawn drawn = drawn_board({52, 100, 42}, {78, 142, 62});
    std::vector<RasterStroke> strokes = {
        {Says::copper, {{350, 60}, {420, 250}}, 6.0F},
        {Says::laminate, {{60, 62}, {280, 62}}, 6.0F},
    };
    const BoardPicture before = classify(drawn.board, strokes, {});
    strokes.push_back({Says::no_copper, {{340, 200}, {440, 200}}, 40.0F});
    const BoardPicture after = classify(drawn.board, strokes, {});
    for (int y = 0; y < 320; ++y) {
        for (int x = 0; x < 480; ++x) {
            const auto i = static_cast<std::size_t>(y) * 480 + x;
            const bool on_line = x > 310 && y > 170 && y < 230;
            if (!on_line) {
                ASSERT_EQ(before.top->copper[i], after.top->copper[i]) << x << ", " << y;
            }
        }
    }
    EXPECT_GE(before.top->copper[200 * 480 + 390], 128);
    EXPECT_LT(after.top->copper[200 * 480 + 390], 128);
}

TEST(Surface, StrokesOfLaminateOnWhatLooksLikeCopperDoNotSpoilTheRest) {
    const Drawn drawn = drawn_board({52, 100, 42}, {78, 142, 62});
    const std::vector<RasterStroke> strokes = {
        {Says::copper, {{350, 60}, {420, 250}}, 6.0F},
        {Says::laminate, {{60, 62}, {280, 62}}, 6.0F},
        {Says::laminate, {{40, 175}, {290, 175}}, 6.0F},
        {Says::laminate, {{40, 220}, {290, 220}}, 6.0F},
    };
    cv::Mat truth = drawn.copper.clone();
    cv::line(truth, {40, 175}, {290, 175}, cv::Scalar(0), 6);
    cv::line(truth, {40, 220}, {290, 220}, cv::Scalar(0), 6);
    const BoardPicture picture = classify(drawn.board, strokes, {});
    EXPECT_GT(overlap(*picture.top, truth), 0.85);
    EXPECT_TRUE(picture.top->trusted);
}

TEST(Surface, WhatLooksLikeAHoleOnABodyIsNone) {
    Drawn drawn = drawn_board({78, 142, 62}, {52, 100, 42});
    Hole hole;
    hole.at = {10.0, 2.5};
    hole.diameter_mm = 0.8;
    hole.real = 0.8;
    hole.seen_top = true;
    Hole beside = hole;
    beside.at = {15.0, 2.5};
    Hole through = hole;  // the other face shows it, too
    through.at = {10.2, 2.6};
    through.seen_bottom = true;
    drawn.board.holes = {hole, beside, through};
    const std::vector<RasterStroke> body = {{Says::body, {{150, 40}, {170, 40}}, 30.0F}};
    const BoardPicture picture = classify(drawn.board, body, {});
    EXPECT_EQ(picture.holes[0].real, 0.0);
    EXPECT_EQ(picture.holes[1].real, 0.8);
    EXPECT_GT(picture.holes[2].real, 0.5);
    EXPECT_FALSE(picture.holes[2].seen_top);
}

TEST(Surface, ABoardWithoutContrastIsNotTrustedAndSaysSo) {
    const Drawn drawn = drawn_board({78, 142, 62}, {78, 142, 62});
    const BoardPicture picture = classify(drawn.board, {}, {});
    EXPECT_FALSE(picture.top->trusted);
    ASSERT_FALSE(picture.remarks.empty());
    EXPECT_NE(picture.remarks[0].what.find("not to be trusted"), std::string::npos);
}

TEST(Surface, ASideThatIsNotTrustedIsBelievedOnceStrokesShowCopperAndLaminate) {
    Drawn drawn = drawn_board({78, 142, 62}, {52, 100, 42});
    cv::GaussianBlur(drawn.board.top->bgr, drawn.board.top->bgr, {}, 5.0);
    const RasterStroke copper = {Says::copper, {{350, 60}, {420, 250}}, 6.0F};
    const RasterStroke laminate = {Says::laminate, {{60, 62}, {280, 62}}, 6.0F};
    EXPECT_FALSE(classify(drawn.board, {}, {}).top->trusted);
    EXPECT_FALSE(classify(drawn.board, {copper}, {}).top->trusted)
        << "how board looks nobody has said";
    EXPECT_TRUE(classify(drawn.board, {copper, laminate}, {}).top->trusted);
}

TEST(Surface, LaminateAboveAMaskedSideHasNoCopperOfItsOwn) {
    Drawn drawn = drawn_board({78, 142, 62}, {52, 100, 42});
    // Copper of the bottom glows through the bare top, with soft edges.
    Drawn top = drawn_board({70, 130, 175}, {95, 165, 205});
    cv::GaussianBlur(top.board.top->bgr, top.board.top->bgr, {}, 8.0);
    drawn.board.bottom = drawn.board.top;
    drawn.board.top = top.board.top;
    const BoardPicture picture = classify(drawn.board, {}, {});
    EXPECT_EQ(std::ranges::count_if(picture.top->copper, [](int c) { return c >= 128; }), 0);
    EXPECT_GT(overlap(*picture.bottom, drawn.copper), 0.9);
    ASSERT_FALSE(picture.remarks.empty());
    EXPECT_NE(picture.remarks[0].what.find("top: no copper"), std::string::npos);
}

TEST(Surface, ALetterOnBoardIsPrintAndNoCopperWhereItIsKnownWhatIsSoldered) {
    Drawn drawn = drawn_board({78, 142, 62}, {52, 100, 42});
    cv::Mat& bgr = drawn.board.top->bgr;
    // Its strokes run together, 0.5 mm broad, in the open between a track and a pour.
    const cv::Rect letter(312, 150, 8, 20);
    cv::rectangle(bgr, letter, cv::Scalar(228, 232, 230), cv::FILLED);
    cv::GaussianBlur(bgr, bgr, {}, 0.8);
    copper::detail::PlacedPart part;
    part.name = "R1";
    part.pads = {Pad{"R1", "1", {1.5, 18.0}, Side::top}, Pad{"R1", "2", {4.5, 18.0}, Side::top}};
    const auto copper_in_letter = [&](const std::vector<copper::detail::PlacedPart>& parts) {
        const BoardPicture picture = classify(drawn.board, {}, {}, parts);
        int sure = 0;
        for (int y = letter.y; y < letter.br().y; ++y) {
            for (int x = letter.x; x < letter.br().x; ++x) {
                sure += picture.top->copper[static_cast<std::size_t>(y) * 480 + x] >= 128 ? 1 : 0;
            }
        }
        return sure;
    };
    EXPECT_GT(copper_in_letter({}), 100) << "it might be a pad of a part that nobody named";
    EXPECT_EQ(copper_in_letter({part}), 0);
}

TEST(Surface, AFramedPartThatLooksLikeTheBoardDoesNotJoinTracks) {
    Drawn drawn = drawn_board({78, 142, 62}, {52, 100, 42});
    cv::Mat& bgr = drawn.board.top->bgr;
    // A body in the colour of masked copper lies across two tracks; it has a marking.
    cv::rectangle(bgr, {100, 30, 60, 70}, cv::Scalar(75, 138, 60), cv::FILLED);
    cv::rectangle(bgr, {97, 27, 66, 76}, cv::Scalar(228, 232, 230), 3);
    cv::putText(bgr, "41", {104, 82}, cv::FONT_HERSHEY_SIMPLEX, 1.4, {228, 232, 230}, 3);
    const BoardPicture picture = classify(drawn.board, {}, {});
    EXPECT_EQ(picture.top->surface[62 * 480 + 106], Surface::body);
    const Islands islands = find_islands(picture, {}, {});
    EXPECT_NE(islands.top[40 * 480 + 60], islands.top[85 * 480 + 60]);
}

TEST(Surface, TheSamePictureGivesTheSameBytes) {
    const Drawn drawn = drawn_board({78, 142, 62}, {52, 100, 42});
    const BoardPicture once = classify(drawn.board, {}, {});
    const BoardPicture again = classify(drawn.board, {}, {});
    EXPECT_EQ(once.top->copper, again.top->copper);
    EXPECT_EQ(once.top->surface, again.top->surface);
}

}  // namespace
}  // namespace etchback::copper::eye
