// Invented boards by seed: how far one place comes to lie apart on the two photos, and whether the
// tool knows when it is far. Registration alone, so that many seeds are affordable:
// ETCHBACK_SEEDS=60 prints the figures of docs/copper.md, on photos of 3 megapixels.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <string>
#include <vector>

#include "board-photographer/make_board.h"
#include "board-photographer/photograph.h"
#include "board-photographer/truth.h"
#include "copper/eye/photo.h"
#include "copper/eye/registration.h"

namespace etchback::tracing {
namespace {

using copper::Side;
namespace eye = copper::eye;
namespace ph = photographer;

struct Laid {
    std::string why;  // it was not laid
    double apart_mm = 99.0;
    bool good = false;  // what the tool says
    int matches = 0;
};

// The width of the board as the top's photo shows it.
dossier::Dossier width_of(const ph::Layout& layout, const ph::Camera& top) {
    const auto [left, right] = std::ranges::minmax(layout.board.outline, {}, &copper::Point::x_mm);
    const auto [up, down] = std::ranges::minmax(layout.board.outline, {}, &copper::Point::y_mm);
    const bool lies_across = std::abs(std::remainder(top.view().turn_deg, 180.0)) > 45.0;
    const double width_mm = lies_across ? down.y_mm - up.y_mm : right.x_mm - left.x_mm;
    dossier::Dossier dossier;
    dossier.board.width =
        dossier::Amount{base::Quantity::of(width_mm / 1000.0, base::Unit::metre), {}};
    return dossier;
}

ph::Nuisance nuisance_of(std::uint64_t seed) {
    ph::Nuisance nuisance = ph::random_nuisance(seed, static_cast<double>(seed % 5) / 8.0);
    nuisance.size = {2000, 1500};
    return nuisance;
}

eye::Photo photo_of(const ph::Shot& shot, const std::string& file) {
    return {file, shot.bgr};
}

Laid laid(std::uint64_t seed) {
    const ph::Layout layout = ph::make_board(seed);
    ph::Nuisance nuisance = nuisance_of(seed);
    const ph::Shot top = ph::photograph(layout, Side::top, nuisance);
    nuisance.seed += 1000;
    const ph::Shot bottom = ph::photograph(layout, Side::bottom, nuisance);
    const auto board = eye::straighten(
        photo_of(top, "top.jpg"), photo_of(bottom, "bottom.jpg"), width_of(layout, top.camera));
    Laid out;
    if (!board) {
        out.why = board.errors().front().what;
        return out;
    }
    double squares = 0.0;
    const std::vector<ph::TruthPad> pads = ph::truth_of(layout, 4.0).pads;
    const auto seen = [](const ph::Shot& shot, const copper::PhotoFit& fit, copper::Point at) {
        return eye::board_point(fit, shot.bgr.size(), shot.camera.pixel(at));
    };
    for (const ph::TruthPad& pad : pads) {
        const copper::Point above = seen(top, board->top->fit, pad.at);
        const copper::Point below = seen(bottom, board->bottom->fit, pad.at);
        squares += std::pow(above.x_mm - below.x_mm, 2) + std::pow(above.y_mm - below.y_mm, 2);
    }
    out.apart_mm = std::sqrt(squares / static_cast<double>(pads.size()));
    out.good = board->registration.good;
    out.matches = board->registration.matches;
    return out;
}

TEST(RegistrationBySeed, LaysBothSidesTogetherOrSaysThatItDoesNot) {
    const char* wanted = std::getenv("ETCHBACK_SEEDS");
    const int seeds = wanted != nullptr ? std::atoi(wanted) : 6;
    int exact = 0;
    int silent = 0;
    int said = 0;
    for (int seed = 1; seed <= seeds; ++seed) {
        const Laid one = laid(static_cast<std::uint64_t>(seed));
        exact += one.apart_mm < 0.15 ? 1 : 0;
        said += one.good ? 0 : 1;
        silent += one.good && one.apart_mm > 1.0 ? 1 : 0;
        fmt::print("seed {:2} apart {:6.2f} mm, {:3} matches, {}{}\n",
                   seed,
                   one.apart_mm,
                   one.matches,
                   one.good ? "good" : "said not to be good",
                   one.why.empty() ? "" : ": " + one.why);
    }
    fmt::print("{} of {} below 0.15 mm, {} said not to be good, {} wrong without a word\n",
               exact,
               seeds,
               said,
               silent);
    // A side laid the wrong way round must not pass for good.
    EXPECT_EQ(silent, 0);
    EXPECT_GE(exact, seeds * 19 / 20 - 1);
}

TEST(RegistrationBySeed, FindsABrownBoardOnWoodAndAWhiteOneOnWhitePaper) {
    for (const std::uint64_t seed : {7, 38}) {
        const Laid one = laid(seed);
        EXPECT_TRUE(one.why.empty()) << one.why;
        EXPECT_TRUE(one.good) << seed;
        EXPECT_LT(one.apart_mm, 0.15) << seed;
    }
}

TEST(RegistrationBySeed, IsNotGoodWhereThePhotosAreOfTwoBoardsOfOneShape) {
    const ph::Layout one = ph::make_board(42);
    const ph::Layout other = ph::make_board(43);
    const ph::Shot top = ph::photograph(one, Side::top, nuisance_of(42));
    const ph::Shot bottom = ph::photograph(other, Side::bottom, nuisance_of(1043));
    const auto board = eye::straighten(
        photo_of(top, "top.jpg"), photo_of(bottom, "bottom.jpg"), width_of(one, top.camera));
    if (!board) {
        EXPECT_FALSE(board.errors().front().todo.empty());
        return;
    }
    EXPECT_FALSE(board->registration.good);
    ASSERT_FALSE(board->remarks.empty());
    EXPECT_NE(board->remarks.front().what.find("two boards"), std::string::npos);
}

}  // namespace
}  // namespace etchback::tracing
