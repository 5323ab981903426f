// Invented boards by seed, photographed with every nuisance that a camera has, and traced without a
// stroke and with a few. `make test` does four seeds on small photos; with ETCHBACK_SEEDS=60 it is
// the table of docs/copper.md, on photos of 12 megapixels (about 12 s of CPU for each seed).
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cstdlib>
#include <map>

#include "board-photographer/make_board.h"
#include "board-photographer/photograph.h"
#include "board-photographer/truth.h"
#include "copper/eye/find_islands.h"
#include "copper/eye/photo.h"
#include "copper/eye/registration.h"
#include "copper/eye/surface.h"
#include "tracing/score.h"

namespace etchback::tracing {
namespace {

using copper::Side;
namespace eye = copper::eye;
namespace ph = photographer;

int seeds() {
    const char* wanted = std::getenv("ETCHBACK_SEEDS");
    return wanted != nullptr ? std::atoi(wanted) : 4;
}

bool is_full() {
    return std::getenv("ETCHBACK_SEEDS") != nullptr;
}

struct Row {
    std::string mask;
    int sides = 2;
    double cruelty = 0.0;
    bool registered = false;  // the photos were laid onto each other
    double residual_mm = 0.0;
    bool trusted = true;
    Score without;
    Score with_strokes;
    std::string why;
};

const char* name_of(ph::Mask mask) {
    switch (mask) {
        case ph::Mask::none:
            return "none";
        case ph::Mask::green:
            return "green";
        case ph::Mask::blue:
            return "blue";
        case ph::Mask::red:
            return "red";
        case ph::Mask::white:
            return "white";
        case ph::Mask::black:
            return "black";
    }
    return "";
}

eye::Photo photo_of(const ph::Shot& shot, Side side) {
    return {side == Side::top ? "top.jpg" : "bottom.jpg", shot.bgr};
}

// The dossier's words for such a board: two photos and its width.
dossier::Dossier dossier_of(const ph::Layout& layout) {
    dossier::Dossier dossier;
    for (const char* side : {"top", "bottom"}) {
        dossier::Photo photo;
        photo.file.value = std::string(side) + ".jpg";
        photo.side.value = side;
        dossier.photos.push_back(photo);
    }
    double left = 1e9;
    double right = -1e9;
    for (const copper::Point& p : layout.board.outline) {
        left = std::min(left, p.x_mm);
        right = std::max(right, p.x_mm);
    }
    dossier.board.width =
        dossier::Amount{base::Quantity::of((right - left) / 1000.0, base::Unit::metre), {}};
    dossier.board.sides = base::Placed<int>{layout.board.sides, {}};
    return dossier;
}

// A place of the board as a person points at it on the photo, carried to the straightened board.
struct Pointer {
    const ph::Shot& shot;
    const copper::PhotoFit& fit;

    copper::Point at(copper::Point truly) const {
        return eye::board_point(fit, shot.bgr.size(), shot.camera.pixel(truly));
    }
};

// What a person would draw who sees what is there: dots on copper and on bare board, three each,
// where the truth has wide areas of it.
std::vector<eye::RasterStroke> strokes_from(const cv::Mat& copper,
                                            const ph::Truth& truth,
                                            const cv::Mat& bodies,
                                            const Pointer& pointer,
                                            const copper::Raster& raster) {
    std::vector<eye::RasterStroke> strokes;
    for (const bool is_copper : {true, false}) {
        std::vector<std::pair<int, int>> places;
        const int step = std::max(1, copper.cols / 90);
        const int r = std::max(3, static_cast<int>(truth.raster.px_per_mm * 0.3));
        for (int y = r; y + r < copper.rows; y += step) {
            for (int x = r; x + r < copper.cols; x += step) {
                bool clear = true;
                for (int dy = -r; dy <= r && clear; dy += std::max(1, r / 2)) {
                    for (int dx = -r; dx <= r && clear; dx += std::max(1, r / 2)) {
                        const bool here = copper.at<std::uint8_t>(y + dy, x + dx) > 127;
                        clear = here == is_copper &&
                                truth.board.at<std::uint8_t>(y + dy, x + dx) > 127 &&
                                bodies.at<std::uint8_t>(y + dy, x + dx) < 128;
                    }
                }
                if (clear) {
                    places.emplace_back(x, y);
                }
            }
        }
        for (std::size_t i = 0; i < 3 && !places.empty(); ++i) {
            const auto [x, y] = places[(2 * i + 1) * places.size() / 6];
            const copper::Point at =
                pointer.at({truth.raster.origin.x_mm + (x + 0.5) / truth.raster.px_per_mm,
                            truth.raster.origin.y_mm + (y + 0.5) / truth.raster.px_per_mm});
            eye::RasterStroke stroke;
            stroke.says =
                is_copper ? eye::RasterStroke::Says::copper : eye::RasterStroke::Says::laminate;
            stroke.along = {
                {static_cast<float>((at.x_mm - raster.origin.x_mm) * raster.px_per_mm - 0.5),
                 static_cast<float>((at.y_mm - raster.origin.y_mm) * raster.px_per_mm - 0.5)}};
            stroke.width_px = static_cast<float>(0.4 * raster.px_per_mm);
            strokes.push_back(stroke);
        }
    }
    return strokes;
}

struct TrueNets {
    std::vector<copper::Pad> pads;
    std::vector<std::string> nets;
    double missed_mm = 0.0;  // how far one place on both photos comes to lie apart, RMS
};

TrueNets true_nets(const ph::Truth& truth, const Pointer& top, const Pointer& bottom) {
    TrueNets all;
    double squares = 0.0;
    for (const ph::TruthPad& pad : truth.pads) {
        const copper::Point above = top.at(pad.at);
        const copper::Point below = bottom.at(pad.at);
        squares += std::pow(above.x_mm - below.x_mm, 2) + std::pow(above.y_mm - below.y_mm, 2);
        if (pad.part.empty()) {
            continue;  // vias are no pins
        }
        copper::Pad one;
        one.part = pad.part;
        one.pin = pad.pin;
        one.at = pad.top ? above : below;
        if (pad.top != pad.bottom) {
            one.side = pad.top ? Side::top : Side::bottom;
        }
        all.pads.push_back(one);
        all.nets.push_back(pad.net);
    }
    all.missed_mm =
        truth.pads.empty() ? 0.0 : std::sqrt(squares / static_cast<double>(truth.pads.size()));
    return all;
}

Row traced(std::uint64_t seed) {
    const ph::Layout layout = ph::make_board(seed);
    Row row;
    row.mask = name_of(layout.board.mask);
    row.sides = layout.board.sides;
    row.cruelty = static_cast<double>(seed % 5) / 8.0;
    ph::Nuisance nuisance = ph::random_nuisance(seed, row.cruelty);
    if (!is_full()) {
        nuisance.size = {2000, 1500};
    }
    const ph::Shot top = ph::photograph(layout, Side::top, nuisance);
    nuisance.seed += 1000;
    const ph::Shot bottom = ph::photograph(layout, Side::bottom, nuisance);
    const auto straight = eye::straighten(
        photo_of(top, Side::top), photo_of(bottom, Side::bottom), dossier_of(layout));
    const ph::Truth truth = ph::truth_of(layout, 20.0);
    if (!straight || !straight->top || !straight->bottom) {
        row.why = straight ? "a side is missing" : straight.errors().front().what;
        const std::size_t pads = truth.pads.size();
        row.without.pairs = row.with_strokes.pairs = pads * (pads - 1) / 2;
        row.without.wrong = row.with_strokes.wrong = row.without.pairs;
        return row;
    }
    row.registered = true;
    const Pointer on_top_photo{top, straight->top->fit};
    const Pointer on_bottom_photo{bottom, straight->bottom->fit};
    const TrueNets known = true_nets(truth, on_top_photo, on_bottom_photo);
    row.residual_mm = known.missed_mm;
    for (const bool with_strokes : {false, true}) {
        std::vector<eye::RasterStroke> on_top;
        std::vector<eye::RasterStroke> on_bottom;
        if (with_strokes) {
            on_top = strokes_from(truth.top, truth, truth.body_top, on_top_photo, straight->raster);
            on_bottom = strokes_from(
                truth.bottom, truth, truth.body_bottom, on_bottom_photo, straight->raster);
        }
        const copper::BoardPicture picture = eye::classify(*straight, on_top, on_bottom);
        const copper::Islands islands = eye::find_islands(picture, on_top, on_bottom);
        const copper::Nets nets = copper::find_nets(islands, known.pads, {});
        (with_strokes ? row.with_strokes : row.without) =
            score_of(islands, known.pads, nets, known.nets);
        row.trusted = row.trusted && (!picture.top || picture.top->trusted) &&
                      (!picture.bottom || picture.bottom->trusted);
    }
    return row;
}

struct Sum {
    int boards = 0;
    int registered = 0;
    double residual_mm = 0.0;
    std::vector<double> right;
    std::vector<double> right_with;
    Score without;
    Score with_strokes;
};

void add(Sum& sum, const Row& row) {
    ++sum.boards;
    sum.registered += row.registered;
    sum.residual_mm = std::max(sum.residual_mm, row.residual_mm);
    sum.without += row.without;
    sum.with_strokes += row.with_strokes;
    sum.right.push_back(row.without.right());
    sum.right_with.push_back(row.with_strokes.right());
}

std::string line(const std::string& name, Sum sum) {
    std::ranges::sort(sum.right);
    std::ranges::sort(sum.right_with);
    return fmt::format("| {} | {} | {} | {:.2f} | {:.1f} | {:.1f} | {:.0f} | {:.1f} |\n",
                       name,
                       sum.boards,
                       sum.registered,
                       sum.residual_mm,
                       100.0 * sum.without.right(),
                       100.0 * sum.right[sum.right.size() / 2],
                       100.0 * sum.without.owned(),
                       100.0 * sum.with_strokes.right());
}

TEST(InventedBoards, AreTracedFromTheirPhotographs) {
    std::map<std::string, Sum> by;
    std::string each;
    for (int seed = 1; seed <= seeds(); ++seed) {
        const Row row = traced(static_cast<std::uint64_t>(seed));
        add(by["all"], row);
        add(by["mask " + row.mask], row);
        add(by[fmt::format("{} side{}", row.sides, row.sides == 1 ? "" : "s")], row);
        add(by[fmt::format("cruelty {:.2f}", row.cruelty)], row);
        if (!row.trusted) {
            add(by["said not to be trusted"], row);
        }
        each += fmt::format(
            "seed {:2} mask {:6} sides {} cruelty {:.2f} sides apart {:.2f} mm right {:.1f} % ({} "
            "wrong, "
            "{} owned), with strokes {:.1f} %, {} doubts{}{}\n",
            seed,
            row.mask,
            row.sides,
            row.cruelty,
            row.residual_mm,
            100.0 * row.without.right(),
            row.without.wrong,
            row.without.in_doubts,
            100.0 * row.with_strokes.right(),
            row.without.doubts,
            row.trusted ? "" : ", not trusted",
            row.why.empty() ? "" : ": " + row.why);
    }
    std::string table =
        "| boards | number | laid onto each other | worst residual, mm | pairs right, % | median "
        "| wrong ones in a doubt, % | with 6 strokes a side, % |\n"
        "| --- | --- | --- | --- | --- | --- | --- | --- |\n";
    for (const auto& [name, sum] : by) {
        table += line(name, sum);
    }
    fmt::print("{}\n{}", each, table);
    // What is asked for stands in docs/copper.md beside what is reached; less than this is a step
    // back.
    EXPECT_GE(by["all"].without.right(), 0.55);
}

}  // namespace
}  // namespace etchback::tracing
