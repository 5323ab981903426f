#include "tracing/invented_board.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <limits>
#include <map>
#include <opencv2/imgcodecs.hpp>

#include "board-photographer/bodies.h"
#include "board-photographer/make_board.h"
#include "board-photographer/random.h"
#include "copper/eye/registration.h"

namespace etchback::tracing {

namespace {

using copper::Point;
using copper::Side;
namespace eye = copper::eye;
namespace ph = photographer;

const parts::Catalogue& catalogue() {
    static const parts::Catalogue loaded =
        *parts::load_catalogue(std::string(ETCHBACK_SOURCE_DIR) + "/data/parts");
    return loaded;
}

std::string file_of(Side side) {
    return side == Side::top ? "top.jpg" : "bottom.jpg";
}

// What a person calls a part whose name begins so; empty: they do not know.
std::string kind_of(const std::string& name) {
    static const std::map<char, std::string> kinds = {{'R', "resistor"},
                                                      {'C', "capacitor"},
                                                      {'L', "inductor"},
                                                      {'D', "diode"},
                                                      {'Q', "npn_transistor"}};
    if (name.starts_with("BR")) {
        return "bridge_rectifier";
    }
    const auto found = kinds.find(name.front());
    return found == kinds.end() ? std::string() : found->second;
}

// The place of a pad on the photo, as a hand points at it.
dossier::PadPlace pointed(const ph::Camera& camera,
                          const std::string& pin,
                          Point at,
                          ph::Random& hand) {
    constexpr double unsteady_mm = 0.08;
    const cv::Point2d px = camera.pixel(
        {at.x_mm + unsteady_mm * hand.normal(), at.y_mm + unsteady_mm * hand.normal()});
    dossier::PadPlace place;
    place.pin = pin;
    place.x = std::round(px.x);
    place.y = std::round(px.y);
    return place;
}

// Where a person points at a pad whose middle lies below its part: at the nearest place of it that
// the photo shows.
Point seen_place(const ph::Pad& pad, const ph::Shot& shot) {
    constexpr int steps = 8;
    const auto covered = [&](Point at) {
        const cv::Point2d px = shot.camera.pixel(at);
        const cv::Point p(cvRound(px.x), cvRound(px.y));
        return p.x < 0 || p.y < 0 || p.x >= shot.covered.cols || p.y >= shot.covered.rows ||
               shot.covered.at<std::uint8_t>(p) != 0;
    };
    Point best = pad.at;
    double nearest = covered(pad.at) ? 1e9 : 0.0;
    const double turn = -pad.turn_deg * CV_PI / 180.0;
    for (int i = -steps; i <= steps; ++i) {
        for (int j = -steps; j <= steps; ++j) {
            const double u = 0.4 * pad.width_mm * i / steps;
            const double v = 0.4 * pad.height_mm * j / steps;
            const Point at{pad.at.x_mm + u * std::cos(turn) - v * std::sin(turn),
                           pad.at.y_mm + u * std::sin(turn) + v * std::cos(turn)};
            if (std::hypot(u, v) < nearest && !covered(at)) {
                nearest = std::hypot(u, v);
                best = at;
            }
        }
    }
    return best;
}

void add_parts(InventedBoard& board, std::uint64_t seed) {
    ph::Random hand(seed + 77);
    const std::vector<ph::Pad> pads = ph::pads_of(board.layout);
    for (const ph::Part& part : board.layout.parts) {
        const auto body = ph::body_of(part.body, part.pins.size(), part.pitch_mm);
        const Side side = body && body->through_hole() ? Side::bottom : part.side;
        dossier::Part one;
        one.name = part.name;
        one.kind.value = kind_of(part.name);
        one.body.value = part.body;
        one.fitted = part.fitted;
        one.pads_on.value = file_of(side);
        for (const ph::Pad& pad : pads) {
            if (pad.part == part.name) {
                one.pads.push_back(pointed(
                    board.shot(side).camera, pad.pin, seen_place(pad, board.shot(side)), hand));
            }
        }
        board.dossier.parts.push_back(one);
    }
    int links = 0;
    for (const ph::Jumper& jumper : board.layout.jumpers) {
        dossier::Part one;
        one.name = "W" + std::to_string(++links);
        one.kind.value = "jumper";
        one.pads_on.value = file_of(Side::bottom);
        one.pads.push_back(pointed(board.bottom.camera, "1", jumper.from, hand));
        one.pads.push_back(pointed(board.bottom.camera, "2", jumper.to, hand));
        board.dossier.parts.push_back(one);
    }
}

// The board as the top's photo shows it: upright or lying across.
struct AsLaid {
    double width_mm = 0.0;
    bool across = false;
    Point corner;  // the outline's least x and y
    double height_mm = 0.0;

    // From the upper left corner.
    Point measured(Point at) const {
        const double x = at.x_mm - corner.x_mm;
        const double y = at.y_mm - corner.y_mm;
        return across ? Point{y, height_mm - x} : Point{x, y};
    }
};

AsLaid as_laid(const InventedBoard& board) {
    const auto [left, right] = std::ranges::minmax(board.layout.board.outline, {}, &Point::x_mm);
    const auto [up, down] = std::ranges::minmax(board.layout.board.outline, {}, &Point::y_mm);
    AsLaid laid;
    laid.across = std::abs(std::remainder(board.top.camera.view().turn_deg, 180.0)) > 45.0;
    laid.corner = {left.x_mm, up.y_mm};
    laid.width_mm = laid.across ? down.y_mm - up.y_mm : right.x_mm - left.x_mm;
    laid.height_mm = laid.across ? right.x_mm - left.x_mm : down.y_mm - up.y_mm;
    return laid;
}

void add_photos_and_width(InventedBoard& board) {
    for (const Side side : {Side::top, Side::bottom}) {
        dossier::Photo photo;
        photo.file.value = file_of(side);
        photo.side.value = side == Side::top ? "top" : "bottom";
        board.dossier.photos.push_back(photo);
        board.photos.push_back({file_of(side), board.shot(side).bgr});
    }
    board.dossier.board.width = dossier::Amount{
        base::Quantity::of(as_laid(board).width_mm / 1000.0, base::Unit::metre), {}};
    board.dossier.board.sides = base::Placed<int>{board.layout.board.sides, {}};
}

// Where a point of the board comes to lie by a photo's fit.
Point laid(const ph::Shot& shot, const copper::PhotoFit& fit, Point truly) {
    return eye::board_point(fit, shot.bgr.size(), shot.camera.pixel(truly));
}

const copper::PhotoFit* fit_of(const copper::Registration& registration, Side side) {
    const auto found = std::ranges::find(registration.photos, side, &copper::PhotoFit::side);
    return found == registration.photos.end() ? nullptr : &*found;
}

double missed_mm(const InventedBoard& board, const copper::Registration& registration) {
    const copper::PhotoFit* top = fit_of(registration, Side::top);
    const copper::PhotoFit* bottom = fit_of(registration, Side::bottom);
    if (top == nullptr || bottom == nullptr || board.truth.pads.empty()) {
        return 0.0;
    }
    double squares = 0.0;
    for (const ph::TruthPad& pad : board.truth.pads) {
        const Point above = laid(board.top, *top, pad.at);
        const Point below = laid(board.bottom, *bottom, pad.at);
        squares += std::pow(above.x_mm - below.x_mm, 2) + std::pow(above.y_mm - below.y_mm, 2);
    }
    return std::sqrt(squares / static_cast<double>(board.truth.pads.size()));
}

}  // namespace

InventedBoard invented_board(std::uint64_t seed, cv::Size size) {
    InventedBoard board;
    board.layout = ph::make_board(seed);
    board.truth = ph::truth_of(board.layout, 20.0);
    board.cruelty = static_cast<double>(seed % 5) / 8.0;
    ph::Nuisance nuisance = ph::random_nuisance(seed, board.cruelty);
    if (!size.empty()) {
        nuisance.size = size;
    }
    board.top = ph::photograph(board.layout, Side::top, nuisance);
    nuisance.seed += 1000;
    board.bottom = ph::photograph(board.layout, Side::bottom, nuisance);
    add_photos_and_width(board);
    add_parts(board, seed);
    return board;
}

namespace {

bool is_covered(const ph::Shot& shot, Point at) {
    const cv::Point p = shot.camera.pixel(at);
    return !cv::Rect({0, 0}, shot.covered.size()).contains(p) ||
           shot.covered.at<std::uint8_t>(p) != 0;
}

// Those that lie furthest from each other, one after the other.
std::vector<Point> far_apart(std::vector<Point> places, std::size_t count) {
    std::vector<Point> chosen;
    const auto room = [&](Point p) {
        double nearest = std::numeric_limits<double>::infinity();
        for (const Point& q : chosen) {
            nearest = std::min(nearest, std::hypot(p.x_mm - q.x_mm, p.y_mm - q.y_mm));
        }
        return nearest;
    };
    while (!places.empty() && chosen.size() < count) {
        const auto next = std::ranges::max_element(places, {}, room);
        chosen.push_back(*next);
        places.erase(next);
    }
    return chosen;
}

}  // namespace

InventedBoard with_points(const InventedBoard& board) {
    constexpr std::size_t most_points = 6;
    constexpr double off_px = 1.0;
    constexpr double off_mm = 0.1;  // of a calliper on a board
    InventedBoard pointed_at = board;
    std::vector<Point> seen;
    for (const ph::TruthHole& hole : board.truth.holes) {
        if (!is_covered(board.top, hole.at) && !is_covered(board.bottom, hole.at)) {
            seen.push_back(hole.at);
        }
    }
    ph::Random hand(board.truth.pads.size());
    const auto off = [&](double most) { return most * (2.0 * hand.unit() - 1.0); };
    int number = 0;
    for (const Point& at : far_apart(seen, most_points)) {
        ++number;
        const Point laid = as_laid(board).measured(at);
        const Point measured{laid.x_mm + off(off_mm), laid.y_mm + off(off_mm)};
        for (dossier::Photo& photo : pointed_at.dossier.photos) {
            const Side side = photo.side.value == "top" ? Side::top : Side::bottom;
            const cv::Point2d px = board.shot(side).camera.pixel(at);
            dossier::PhotoPoint point;
            point.name.value = "hole " + std::to_string(number);
            point.x_px = px.x + off(off_px);
            point.y_px = px.y + off(off_px);
            point.x_mm = measured.x_mm;
            point.y_mm = measured.y_mm;
            photo.points.push_back(point);
        }
    }
    return pointed_at;
}

std::optional<eye::Tracing> begun(const InventedBoard& board, std::string& why) {
    auto tracing = eye::Tracing::begin(board.dossier, board.photos, catalogue());
    if (!tracing) {
        why = tracing.errors().front().what;
        return std::nullopt;
    }
    return *std::move(tracing);
}

TracedBoard traced(const InventedBoard& board, const eye::Tracing& tracing) {
    const eye::BoardTrace& seen = tracing.trace();
    TracedBoard traced;
    traced.missed_mm = missed_mm(board, seen.picture.registration);
    traced.trace =
        copper::trace_from(seen.picture, seen.islands, seen.pads, board.dossier, catalogue());
    std::map<std::pair<std::string, std::string>, std::string> true_nets;
    for (const ph::TruthPad& pad : board.truth.pads) {
        true_nets[{pad.part, pad.pin}] = pad.net;
    }
    int links = 0;
    for (const ph::Jumper& jumper : board.layout.jumpers) {
        const std::string name = "W" + std::to_string(++links);
        true_nets[{name, "1"}] = true_nets[{name, "2"}] = ph::joined_name(board.layout, jumper.net);
    }
    for (const copper::Pad& pad : traced.trace.pads) {
        traced.nets.push_back(true_nets.at({pad.part, pad.pin}));
    }
    return traced;
}

}  // namespace etchback::tracing
