// Islands and their joints, from pictures drawn by hand and from a real board's copper.
#include "copper/eye/find_islands.h"

#include <gtest/gtest.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <map>
#include <numeric>
#include <opencv2/imgproc.hpp>
#include <set>
#include <sstream>
#include <string>

#include "copper/eye/photo.h"
#include "eye/drawn_copper.h"

namespace etchback::copper::eye {
namespace {

namespace fs = std::filesystem;
using Kind = Joint::Kind;

cv::Mat drawn_back(const Island& island, const Raster& raster) {
    constexpr int shift = 8;
    std::vector<std::vector<cv::Point>> rings;
    const auto add = [&](const Polyline& line) {
        auto& ring = rings.emplace_back();
        for (const Point& p : line) {
            ring.emplace_back(cvRound((p.x_mm * raster.px_per_mm - 0.5) * (1 << shift)),
                              cvRound((p.y_mm * raster.px_per_mm - 0.5) * (1 << shift)));
        }
    };
    add(island.shape.outer);
    for (const Polyline& hole : island.shape.holes) {
        add(hole);
    }
    cv::Mat mask(raster.height, raster.width, CV_8U, cv::Scalar(0));
    cv::fillPoly(mask, rings, cv::Scalar(255), cv::LINE_8, shift);
    return mask;
}

TEST(Islands, TwoPiecesOfCopperApartAreTwoIslands) {
    Photo photo = blank();
    copper(photo, {10, 10, 60, 30});
    copper(photo, {100, 10, 60, 30});
    const Islands islands = find_islands(read(photo), {}, {});
    ASSERT_EQ(islands.islands.size(), 2U);
    EXPECT_TRUE(islands.joints.empty());
    EXPECT_NEAR(islands.islands[0].area_mm2, 60 * 30 / 400.0, 1e-9);
    EXPECT_EQ(islands.map(Side::top)[20 * 200 + 20], 0);
    EXPECT_EQ(islands.map(Side::top)[20 * 200 + 80], -1);
    EXPECT_TRUE(islands.map(Side::bottom).empty());
}

TEST(Islands, ASideThatIsNotTrustedGivesNone) {
    Photo photo = blank();
    copper(photo, {10, 10, 60, 30});
    Hole hole;
    hole.at = {2.0, 1.2};
    hole.diameter_mm = 0.5;
    BoardPicture picture = read(photo, photo, {hole});
    ASSERT_EQ(find_islands(picture, {}, {}).islands.size(), 2U);
    picture.top->trusted = false;
    const Islands islands = find_islands(picture, {}, {});
    ASSERT_EQ(islands.islands.size(), 1U);
    EXPECT_EQ(islands.islands[0].side, Side::bottom);
    EXPECT_TRUE(islands.map(Side::top).empty());
    EXPECT_EQ(count(islands, Kind::hole), 0);
}

TEST(Islands, AThinNeckIsAJointThatIsRatherJoined) {
    Photo photo = blank();
    copper(photo, {10, 10, 60, 30});
    copper(photo, {100, 10, 60, 30});
    copper(photo, {70, 20, 30, 1});
    const Islands islands = find_islands(read(photo), {}, {});
    ASSERT_EQ(islands.islands.size(), 2U);
    ASSERT_EQ(islands.joints.size(), 1U);
    EXPECT_EQ(islands.joints[0].kind, Kind::neck);
    EXPECT_GT(islands.joints[0].joined, 0.5);
    EXPECT_NEAR(islands.joints[0].width_mm, 0.05, 1e-9);
    EXPECT_NEAR(islands.joints[0].at.y_mm, 20.5 / 20.0, 0.06);
}

TEST(Islands, AHairlineGapIsAJointThatIsRatherApart) {
    Photo photo = blank();
    copper(photo, {10, 10, 60, 30});
    copper(photo, {71, 10, 60, 30});
    const Islands islands = find_islands(read(photo), {}, {});
    ASSERT_EQ(islands.islands.size(), 2U);
    ASSERT_EQ(islands.joints.size(), 1U);
    EXPECT_EQ(islands.joints[0].kind, Kind::gap);
    EXPECT_LT(islands.joints[0].joined, 0.5);
    EXPECT_NEAR(islands.joints[0].width_mm, 0.05, 1e-9);
}

TEST(Islands, AWideTrackIsNoDoubt) {
    Photo photo = blank();
    copper(photo, {10, 10, 60, 30});
    copper(photo, {100, 10, 60, 30});
    copper(photo, {70, 20, 30, 6});
    const Islands islands = find_islands(read(photo), {}, {});
    EXPECT_EQ(islands.islands.size(), 1U);
    EXPECT_TRUE(islands.joints.empty());
}

TEST(Islands, AHoleJoinsTheCopperOfBothSides) {
    Photo top = blank();
    copper(top, {10, 10, 60, 30});
    Photo bottom = blank();
    copper(bottom, {20, 5, 30, 60});
    Hole hole;
    hole.at = {1.5, 1.2};
    hole.diameter_mm = 0.4;
    hole.plated = 0.97;
    Hole beside = hole;
    beside.at = {8.0, 4.0};
    const Islands islands = find_islands(read(top, bottom, {hole, beside}), {}, {});
    ASSERT_EQ(islands.islands.size(), 2U);
    ASSERT_EQ(islands.joints.size(), 1U);
    EXPECT_EQ(islands.joints[0].kind, Kind::hole);
    EXPECT_DOUBLE_EQ(islands.joints[0].joined, 0.97);
    EXPECT_EQ(islands.joints[0].a, 0);
    EXPECT_EQ(islands.joints[0].b, 1);
}

TEST(Islands, AHoleThatIsDrilledOutOfTheCopperIsCoveredByItsPad) {
    Photo top = blank();
    copper(top, {10, 10, 60, 60});
    cv::circle(top.bgr, {40, 40}, 10, cv::Scalar::all(0), cv::FILLED);
    Hole hole;
    hole.at = {40.5 / 20, 40.5 / 20};
    hole.diameter_mm = 1.0;
    const Islands islands = find_islands(read(top, blank(), {hole}), {}, {});
    EXPECT_EQ(islands.map(Side::top)[40 * 200 + 40], 0);
    EXPECT_EQ(count(islands, Kind::hole), 0);
}

TEST(Islands, AreAsFoundAnewWhereAHoleIsBelievedNoMore) {
    Photo photo = blank();
    copper(photo, {40, 30, 60, 60});
    cv::circle(photo.bgr, {70, 60}, 6, cv::Scalar::all(0), cv::FILLED);
    Hole hole;
    hole.at = {3.5, 3.0};
    hole.diameter_mm = 0.6;
    BoardPicture board = read(photo, photo, {hole});
    std::shared_ptr<const FoundBefore> before;
    Islands islands;
    find_islands(board, {}, {}, {}, before, islands);
    ASSERT_EQ(islands.islands.size(), 2U);
    EXPECT_TRUE(islands.islands[1].shape.holes.empty());

    board.holes.front().real = 0.1;
    find_islands(board, {}, {}, {}, before, islands);
    const Islands anew = find_islands(board, {}, {});
    for (const std::size_t side : {0U, 1U}) {
        EXPECT_EQ(islands.islands[side].shape.holes.size(), 1U);
        EXPECT_EQ(islands.islands[side].area_mm2, anew.islands[side].area_mm2);
    }
    EXPECT_EQ(islands.top, anew.top);
    EXPECT_EQ(islands.bottom, anew.bottom);
}

TEST(Islands, APathBelowABodyIsProposedAndSaidToLieBelowAPart) {
    Photo photo = blank();
    copper(photo, {10, 50, 70, 16});
    copper(photo, {120, 50, 70, 16});
    const BoardPicture picture = masked_below(photo, {80, 30, 40, 56}, Surface::body);
    const Islands islands = find_islands(picture, {}, {});
    ASSERT_EQ(islands.islands.size(), 2U);
    ASSERT_EQ(count(islands, Kind::hidden), 1);
    const Joint& joint = islands.joints[0];
    EXPECT_GT(joint.joined, 0.1) << "two tracks that face each other are likely one";
    EXPECT_TRUE(joint.below_part) << "but nobody sees it";
    EXPECT_EQ(joint.path.size(), 2U);
}

TEST(Islands, CopperOnBothSidesOfANarrowStrokeOfPrintMayBeOne) {
    const Islands islands = find_islands(print_between(), {}, {});
    ASSERT_EQ(islands.islands.size(), 2U);
    ASSERT_EQ(count(islands, Kind::hidden), 1);
    const auto joint = std::ranges::find(islands.joints, Kind::hidden, &Joint::kind);
    EXPECT_FALSE(joint->below_part);
    EXPECT_NEAR(joint->at.x_mm, 4.15, 0.2);
}

// Masked copper on both sides as photographs show it: a track on the top that ends with nothing
// around it, and an area below its end.
BoardPicture track_that_ends() {
    BoardPicture picture;
    picture.raster = {200, 120, 20.0, {}};
    picture.registration.photos.resize(2);
    for (const Side side : {Side::top, Side::bottom}) {
        cv::Mat copper(120, 200, CV_8U, cv::Scalar(0));
        if (side == Side::top) {
            cv::line(copper, {10, 60}, {100, 60}, cv::Scalar(255), 9);
            cv::circle(copper, {100, 60}, 8, cv::Scalar(255), cv::FILLED);
        } else {
            cv::line(copper, {100, 60}, {190, 60}, cv::Scalar(255), 9);
            cv::circle(copper, {100, 60}, 8, cv::Scalar(255), cv::FILLED);
        }
        SidePicture seen;
        seen.copper.assign(copper.data, copper.data + copper.total());
        for (const std::uint8_t level : seen.copper) {
            seen.surface.push_back(level != 0 ? Surface::masked_copper : Surface::laminate);
        }
        (side == Side::top ? picture.top : picture.bottom) = std::move(seen);
    }
    return picture;
}

TEST(Islands, TracksThatEndOnBothSidesAtOnePlaceAreJoinedThroughTheBoard) {
    const Islands islands = find_islands(track_that_ends(), {}, {});
    ASSERT_EQ(count(islands, Kind::hole), 1);
    const auto joint = std::ranges::find(islands.joints, Kind::hole, &Joint::kind);
    EXPECT_GT(joint->joined, 0.5);
    EXPECT_NEAR(joint->at.x_mm, 5.0, 0.2);
    EXPECT_NEAR(joint->at.y_mm, 3.0, 0.2);
}

TEST(Islands, ATrackThatEndsAtASeenHoleNeedsNoOther) {
    BoardPicture picture = track_that_ends();
    Hole hole;
    hole.at = {5.0, 3.0};
    hole.diameter_mm = 0.4;
    hole.plated = 0.6;
    picture.holes = {hole};
    EXPECT_EQ(count(find_islands(picture, {}, {}), Kind::hole), 1);
}

// Invented copper: random bars and discs, some a pixel apart.
Photo scattered(unsigned seed) {
    cv::RNG random(seed);
    Photo photo = blank(400, 300);
    for (int i = 0; i < 60; ++i) {
        const cv::Point a(random.uniform(0, 400), random.uniform(0, 300));
        const cv::Point b(random.uniform(0, 400), random.uniform(0, 300));
        cv::line(photo.bgr, a, b, cv::Scalar::all(255), random.uniform(1, 12));
        cv::line(photo.bgr, b, a + cv::Point(9, 5), cv::Scalar::all(0), random.uniform(1, 6));
        cv::circle(photo.bgr, a, random.uniform(2, 20), cv::Scalar::all(i % 2 * 255), cv::FILLED);
    }
    return photo;
}

TEST(Islands, PolygonsDrawnBackNeitherJoinNorCut) {
    for (unsigned seed = 1; seed <= 8; ++seed) {
        const Islands islands = find_islands(read(scattered(seed)), {}, {}, {}, 0.1);
        const cv::Mat map(islands.raster.height,
                          islands.raster.width,
                          CV_32S,
                          const_cast<std::int32_t*>(islands.map(Side::top).data()));
        // A pixel whose neighbourhood is all of one island, or all free of it, is so when drawn
        // back: the bound is two pixels, and fillPoly draws its outlines half a pixel wide.
        const cv::Mat disc = cv::getStructuringElement(cv::MORPH_ELLIPSE, {9, 9});
        for (std::size_t i = 0; i < islands.islands.size(); ++i) {
            const cv::Mat own = map == static_cast<double>(i);
            const cv::Mat drawn = drawn_back(islands.islands[i], islands.raster);
            cv::Mat deep;
            cv::Mat wide;
            cv::erode(own, deep, disc, {-1, -1}, 1, cv::BORDER_CONSTANT, cv::Scalar(0));
            cv::dilate(own, wide, disc);
            EXPECT_EQ(cv::countNonZero(deep & ~drawn), 0) << "seed " << seed << " island " << i;
            EXPECT_EQ(cv::countNonZero(drawn & ~wide), 0) << "seed " << seed << " island " << i;
        }
    }
}

// Whether the closed segments a-b and c-d share a point other than a common end.
bool cross(Point a, Point b, Point c, Point d) {
    const auto side = [](Point p, Point q, Point r) {
        const double s =
            (q.x_mm - p.x_mm) * (r.y_mm - p.y_mm) - (q.y_mm - p.y_mm) * (r.x_mm - p.x_mm);
        return s > 1e-9 ? 1 : s < -1e-9 ? -1 : 0;
    };
    return side(a, b, c) * side(a, b, d) < 0 && side(c, d, a) * side(c, d, b) < 0;
}

TEST(Islands, EdgesOfSimplifiedPolygonsNeverCross) {
    const Islands islands = find_islands(read(scattered(3)), {}, {}, {}, 0.15);
    std::vector<std::pair<Point, Point>> edges;
    const auto add = [&](const Polyline& ring) {
        ASSERT_GE(ring.size(), 3U);
        for (std::size_t i = 0; i < ring.size(); ++i) {
            edges.emplace_back(ring[i], ring[(i + 1) % ring.size()]);
        }
    };
    for (const Island& island : islands.islands) {
        add(island.shape.outer);
        for (const Polyline& hole : island.shape.holes) {
            add(hole);
        }
    }
    int crossings = 0;
    for (std::size_t i = 0; i < edges.size(); ++i) {
        for (std::size_t j = i + 1; j < edges.size(); ++j) {
            crossings +=
                cross(edges[i].first, edges[i].second, edges[j].first, edges[j].second) ? 1 : 0;
        }
    }
    EXPECT_EQ(crossings, 0);
    EXPECT_GT(edges.size(), 200U);
}

TEST(Islands, SimplifyingTakesMostCornersOfASlantedTrack) {
    Photo photo = blank(400, 300);
    cv::line(photo.bgr, {20, 20}, {370, 250}, cv::Scalar::all(255), 10);
    const Islands islands = find_islands(read(photo), {}, {});
    ASSERT_EQ(islands.islands.size(), 1U);
    EXPECT_LT(islands.islands[0].shape.outer.size(), 30U);
}

std::optional<fs::path> boards() {
    const char* folder = std::getenv("ETCHBACK_BOARDS");
    if (folder == nullptr || !fs::is_directory(folder)) {
        return std::nullopt;
    }
    return fs::path(folder);
}

std::vector<std::vector<std::string>> rows_of(const fs::path& file) {
    std::ifstream in(file);
    std::vector<std::vector<std::string>> rows;
    std::string line;
    std::getline(in, line);
    while (std::getline(in, line)) {
        std::vector<std::string>& row = rows.emplace_back();
        std::stringstream cells(line);
        for (std::string cell; std::getline(cells, cell, ',');) {
            row.push_back(cell);
        }
    }
    return rows;
}

// Islands joined over joints that are likelier than not.
std::vector<int> joined(const Islands& islands) {
    std::vector<int> parent(islands.islands.size());
    std::iota(parent.begin(), parent.end(), 0);
    const auto root = [&](int i) {
        while (parent[static_cast<std::size_t>(i)] != i) {
            i = parent[static_cast<std::size_t>(i)];
        }
        return i;
    };
    for (const Joint& joint : islands.joints) {
        if (joint.joined > 0.5) {
            parent[static_cast<std::size_t>(root(joint.a))] = root(joint.b);
        }
    }
    for (int i = 0; i < static_cast<int>(parent.size()); ++i) {
        parent[static_cast<std::size_t>(i)] = root(i);
    }
    return parent;
}

TEST(RealCopper, ThirtyEightNetsOfAPowerBoardNothingSplitNothingJoined) {
    const auto folder = boards();
    if (!folder || !fs::exists(*folder / "power-distribution")) {
        GTEST_SKIP() << "ETCHBACK_BOARDS names no folder with real boards";
    }
    const fs::path truth = *folder / "power-distribution" / "truth";
    std::vector<Hole> holes;
    for (const auto& row : rows_of(truth / "holes.csv")) {
        Hole hole;
        hole.at = {std::stod(row[0]), std::stod(row[1])};
        hole.diameter_mm = std::stod(row[2]);
        hole.plated = 0.985;
        holes.push_back(hole);
    }
    const auto top = read_photo((truth / "top.png").string(), {});
    const auto bottom = read_photo((truth / "bottom.png").string(), {});
    ASSERT_TRUE(top && bottom);
    const Islands islands = find_islands(*separated(*top, *bottom, 20.0, holes), {}, {});
    const std::vector<int> net = joined(islands);
    std::map<std::string, std::set<int>> found;
    std::map<int, std::set<std::string>> names;
    int off_copper = 0;
    for (const auto& row : rows_of(truth / "nets.csv")) {
        const Side side = row[3] == "bottom" ? Side::bottom : Side::top;
        const int x = cvFloor(std::stod(row[4]) * 20.0);
        const int y = cvFloor(std::stod(row[5]) * 20.0);
        const int island =
            islands.map(side)[static_cast<std::size_t>(y) * islands.raster.width + x];
        if (island < 0) {
            ++off_copper;
            ADD_FAILURE() << row[1] << "." << row[2] << " lies on no copper";
            continue;
        }
        found[row[0]].insert(net[static_cast<std::size_t>(island)]);
        names[net[static_cast<std::size_t>(island)]].insert(row[0]);
    }
    EXPECT_EQ(found.size(), 38U);
    for (const auto& [name, nets] : found) {
        EXPECT_EQ(nets.size(), 1U) << name << " is split";
    }
    for (const auto& [id, nets] : names) {
        EXPECT_EQ(nets.size(), 1U) << *nets.begin() << " is joined to " << *nets.rbegin();
    }
}

}  // namespace
}  // namespace etchback::copper::eye
