// Invented boards, photographed cruelly: how exactly each pixel lands where it belongs.
//
// The truth is the photographer's camera. The origin is the upper left corner of the board as the
// top photo shows it; a board whose top was photographed turned is compared in the turned frame.
#include "copper/eye/registration.h"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>

#include "board-photographer/make_board.h"
#include "board-photographer/photograph.h"

namespace etchback::copper::eye {
namespace {

using photographer::Layout;
using photographer::Shot;

struct Extent {
    Point from{1e9, 1e9};
    Point to{-1e9, -1e9};
    double width() const { return to.x_mm - from.x_mm; }
    double height() const { return to.y_mm - from.y_mm; }
};

Extent extent_of(const Layout& layout) {
    Extent e;
    for (const Point& p : layout.board.outline) {
        e.from = {std::min(e.from.x_mm, p.x_mm), std::min(e.from.y_mm, p.y_mm)};
        e.to = {std::max(e.to.x_mm, p.x_mm), std::max(e.to.y_mm, p.y_mm)};
    }
    return e;
}

// A place of the layout in the frame turned by quarters.
Point turned(const Extent& e, Point p, int quarter) {
    const double x = p.x_mm - e.from.x_mm;
    const double y = p.y_mm - e.from.y_mm;
    switch (quarter) {
        case 1:
            return {e.height() - y, x};
        case 2:
            return {e.width() - x, e.height() - y};
        case 3:
            return {y, e.width() - x};
        default:
            return {x, y};
    }
}

double misplaced_mm(const Extent& e, const Shot& shot, const PhotoFit& fit, int quarter) {
    double sum = 0.0;
    int count = 0;
    for (double u = 0.0; u <= 1.0; u += 0.1) {
        for (double v = 0.0; v <= 1.0; v += 0.1) {
            const Point mm{e.from.x_mm + u * e.width(), e.from.y_mm + v * e.height()};
            const cv::Point2d px = shot.camera.pixel(mm) + cv::Point2d(0.5, 0.5);
            const Point at = board_point(fit, shot.bgr.size(), px);
            const Point want = turned(e, mm, quarter);
            sum += std::pow(at.x_mm - want.x_mm, 2) + std::pow(at.y_mm - want.y_mm, 2);
            ++count;
        }
    }
    return std::sqrt(sum / count);
}

dossier::Amount millimetres(double mm) {
    return {base::Quantity::of(1e-3 * mm, base::Unit::metre), {}};
}

struct Outcome {
    double top_mm = 99.0;
    double bottom_mm = 99.0;
    bool good = false;  // what the tool says
    bool exact() const { return top_mm < 0.15 && bottom_mm < 0.15; }
};

Outcome register_board(std::uint64_t seed, double cruelty) {
    const std::array<photographer::Mask, 6> masks = {photographer::Mask::none,
                                                     photographer::Mask::green,
                                                     photographer::Mask::blue,
                                                     photographer::Mask::red,
                                                     photographer::Mask::white,
                                                     photographer::Mask::black};
    const Layout layout =
        photographer::make_board(seed,
                                 {.sides = static_cast<int>(1 + seed % 2),
                                  .pads = static_cast<int>(20 + (seed * 37) % 130),
                                  .mask = masks[seed % 6]});
    const Extent e = extent_of(layout);
    photographer::Nuisance above = photographer::random_nuisance(2 * seed + 1, cruelty);
    photographer::Nuisance below = photographer::random_nuisance(2 * seed + 2, cruelty);
    above.size = below.size = {1500, 1125};
    const Shot top = photographer::photograph(layout, Side::top, above);
    const Shot bottom = photographer::photograph(layout, Side::bottom, below);
    const bool upright = std::lround(above.turn_deg / 90.0) % 2 == 0;
    dossier::Dossier dossier;
    dossier.board.width = millimetres(upright ? e.width() : e.height());
    dossier.board.height = millimetres(upright ? e.height() : e.width());
    const auto board = straighten(Photo{"top", top.bgr}, Photo{"bottom", bottom.bgr}, dossier);
    Outcome out;
    if (!board) {
        return out;
    }
    out.good = board->registration.good;
    for (int quarter = 0; quarter < 4; ++quarter) {
        const double miss = misplaced_mm(e, top, board->top->fit, quarter);
        if (miss < out.top_mm) {
            out.top_mm = miss;
            out.bottom_mm = misplaced_mm(e, bottom, board->bottom->fit, quarter);
        }
    }
    return out;
}

TEST(RegistrationOfPhotographs, IsExactForMostBoardsAndSaysSoWhereItIsNot) {
    constexpr int boards = 12;
    std::map<int, std::vector<Outcome>> by_cruelty;
    int exact = 0;
    int wrongly_good = 0;
    std::vector<double> misses;
    for (int i = 1; i <= boards; ++i) {
        const int step = i % 5;
        const Outcome out = register_board(static_cast<std::uint64_t>(i), 0.25 * step);
        by_cruelty[step].push_back(out);
        exact += out.exact() ? 1 : 0;
        wrongly_good += out.good && std::max(out.top_mm, out.bottom_mm) > 1.0 ? 1 : 0;
        misses.push_back(out.top_mm);
        misses.push_back(out.bottom_mm);
    }
    fmt::print("cruelty  boards  below 0.15 mm  said to be good\n");
    for (const auto& [step, all] : by_cruelty) {
        fmt::print(
            "{:7.2f} {:7} {:14} {:16}\n",
            0.25 * step,
            all.size(),
            std::count_if(all.begin(), all.end(), [](const Outcome& o) { return o.exact(); }),
            std::count_if(all.begin(), all.end(), [](const Outcome& o) { return o.good; }));
    }
    std::sort(misses.begin(), misses.end());
    fmt::print("median of all sides {:.3f} mm\n", misses[misses.size() / 2]);
    EXPECT_LT(misses[misses.size() / 2], 0.1);
    EXPECT_GE(exact, boards * 2 / 3);
    // A side laid the wrong way round must not pass for good.
    EXPECT_EQ(wrongly_good, 0);
}

}  // namespace
}  // namespace etchback::copper::eye
