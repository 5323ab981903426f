// Strokes given one after the other must come to the same as strokes given from the start: only
// what they change is done again.
#include <gtest/gtest.h>

#include <opencv2/core.hpp>

#include "board-photographer/random.h"
#include "copper/eye/registration.h"
#include "copper/eye/tracing.h"
#include "parts/catalogue.h"
#include "tracing/invented_board.h"

namespace etchback::tracing {
namespace {

namespace eye = copper::eye;

dossier::Stroke stroke(const std::string& photo,
                       const std::string& says,
                       std::vector<std::pair<double, double>> along) {
    dossier::Stroke one;
    one.photo.value = photo;
    one.says.value = says;
    one.along = std::move(along);
    return one;
}

void expect_same(const eye::BoardTrace& a, const eye::BoardTrace& b) {
    ASSERT_EQ(a.picture.raster, b.picture.raster);
    for (const copper::Side side : {copper::Side::top, copper::Side::bottom}) {
        ASSERT_TRUE(a.picture.side(side) && b.picture.side(side));
        EXPECT_EQ(a.picture.side(side)->copper, b.picture.side(side)->copper);
        EXPECT_EQ(a.picture.side(side)->surface, b.picture.side(side)->surface);
        EXPECT_EQ(a.picture.side(side)->bgr, b.picture.side(side)->bgr);
        EXPECT_EQ(a.picture.side(side)->trusted, b.picture.side(side)->trusted);
        EXPECT_EQ(a.islands.map(side), b.islands.map(side));
    }
    EXPECT_EQ(a.picture.holes, b.picture.holes);
    EXPECT_EQ(a.picture.bodies_top.size(), b.picture.bodies_top.size());
    EXPECT_EQ(a.picture.remarks.size(), b.picture.remarks.size());
    ASSERT_EQ(a.islands.islands.size(), b.islands.islands.size());
    for (std::size_t i = 0; i < a.islands.islands.size(); ++i) {
        EXPECT_EQ(a.islands.islands[i].side, b.islands.islands[i].side);
        EXPECT_EQ(a.islands.islands[i].area_mm2, b.islands.islands[i].area_mm2);
        EXPECT_EQ(a.islands.islands[i].shape.outer, b.islands.islands[i].shape.outer);
    }
    ASSERT_EQ(a.islands.joints.size(), b.islands.joints.size());
    for (std::size_t i = 0; i < a.islands.joints.size(); ++i) {
        const copper::Joint& p = a.islands.joints[i];
        const copper::Joint& q = b.islands.joints[i];
        EXPECT_EQ(std::tuple(p.kind, p.a, p.b, p.joined, p.why),
                  std::tuple(q.kind, q.a, q.b, q.joined, q.why));
    }
}

void expect_strokes_add_up(std::uint64_t seed) {
    const InventedBoard board = invented_board(seed, {1000, 750});
    std::string why;
    std::optional<eye::Tracing> tracing = begun(board, why);
    ASSERT_TRUE(tracing) << why;
    const std::vector<dossier::Stroke> all = {
        stroke("top.jpg", "copper", {{480, 380}, {520, 380}}),
        stroke("bottom.jpg", "laminate", {{450, 300}, {450, 360}}),
        stroke("top.jpg", "no copper", {{400, 420}, {430, 450}}),
        stroke("bottom.jpg", "cut", {{500, 250}, {500, 500}}),
        stroke("top.jpg", "body", {{560, 400}, {600, 440}})};
    std::vector<dossier::Stroke> so_far;
    for (const dossier::Stroke& one : all) {
        so_far.push_back(one);
        tracing->set_strokes(so_far);
        InventedBoard anew = board;
        anew.dossier.strokes = so_far;
        const std::optional<eye::Tracing> fresh = begun(anew, why);
        ASSERT_TRUE(fresh);
        expect_same(tracing->trace(), fresh->trace());
    }
    // Some taken back at once, on both sides.
    InventedBoard fewer = board;
    fewer.dossier.strokes = {all[1], all[4]};
    tracing->set_strokes(fewer.dossier.strokes);
    expect_same(tracing->trace(), begun(fewer, why)->trace());
    tracing->set_strokes({});
    expect_same(tracing->trace(), begun(board, why)->trace());
}

// Strokes of every kind at any place, one after the other, some taken back: what each leaves must
// not depend on what was there before.
void expect_many_strokes_add_up(std::uint64_t seed) {
    const InventedBoard board = invented_board(seed, {1000, 750});
    const parts::Catalogue catalogue =
        *parts::load_catalogue(std::string(ETCHBACK_SOURCE_DIR) + "/data/parts");
    const auto straight = eye::straighten(board.photos[0], board.photos[1], board.dossier);
    ASSERT_TRUE(straight);
    const auto begun_with = [&](const std::vector<dossier::Stroke>& strokes) {
        dossier::Dossier dossier = board.dossier;
        dossier.strokes = strokes;
        return eye::Tracing::begin(
            dossier, *straight, board.photos[0].bgr.size(), board.photos[1].bgr.size(), catalogue);
    };
    eye::Tracing tracing = begun_with({});
    const std::vector<std::string> kinds = {"copper",
                                            "laminate",
                                            "no copper",
                                            "body",
                                            "cut",
                                            "bridge",
                                            "legend",
                                            "hole",
                                            "goes on",
                                            "plated hole",
                                            "stops",
                                            "hidden copper",
                                            "masked copper"};
    photographer::Random random(seed);
    std::vector<dossier::Stroke> so_far;
    for (std::size_t i = 0; i < 24; ++i) {
        if (i % 6 == 5) {
            so_far.erase(so_far.begin() + 1);
        } else {
            const double x = 250.0 + 500.0 * random.unit();
            const double y = 200.0 + 350.0 * random.unit();
            so_far.push_back(
                stroke(i % 3 == 0 ? "bottom.jpg" : "top.jpg",
                       kinds[i % kinds.size()],
                       {{x, y}, {x + 80.0 * random.unit(), y + 40.0 * random.unit()}}));
        }
        tracing.set_strokes(so_far);
        if (i % 3 == 2) {
            expect_same(tracing.trace(), begun_with(so_far).trace());
        }
    }
}

TEST(Strokes, ComeToTheSameManyInARow) {
    for (const std::uint64_t seed : {1, 3, 8}) {
        SCOPED_TRACE(seed);
        expect_many_strokes_add_up(seed);
    }
}

TEST(Strokes, ComeToTheSameOneByOneAndAllAtOnce) {
    expect_strokes_add_up(6);
}

TEST(Strokes, ComeToTheSameOnABoardWithOneSide) {
    expect_strokes_add_up(16);
}

}  // namespace
}  // namespace etchback::tracing
