#include "copper/detail/part_bodies.h"

#include <algorithm>
#include <complex>
#include <numbers>

#include "copper/detail/footprint.h"
#include "copper/detail/part_pins.h"

namespace etchback::copper::detail {

namespace {

using Complex = std::complex<double>;

Complex number(Point p) {
    return {p.x_mm, p.y_mm};
}

// The body's frame on the board: its middle, and its x axis as a number of length 1.
struct Frame {
    Complex middle;
    Complex turn;
};

// Pins on their places, by least squares.
std::optional<Frame> frame_by_pins(const dossier::Part& part,
                                   const parts::Kind* kind,
                                   const Footprint& footprint,
                                   const std::vector<Pad>& pads,
                                   bool mirrored) {
    std::vector<std::pair<Complex, Complex>> pairs;  // of the footprint, of the board
    for (const BodyPin& pin : footprint.pins) {
        const auto name = pin_numbered(part, kind, pin.number);
        const auto pad =
            std::ranges::find_if(pads, [&](const Pad& p) { return name && p.pin == *name; });
        if (pad != pads.end()) {
            const Complex own = number(pin.at);
            pairs.emplace_back(mirrored ? Complex(-own.real(), own.imag()) : own, number(pad->at));
        }
    }
    if (pairs.size() < 2) {
        return std::nullopt;
    }
    Complex mean_pin = 0.0;
    Complex mean_place = 0.0;
    for (const auto& [pin, place] : pairs) {
        mean_pin += pin / static_cast<double>(pairs.size());
        mean_place += place / static_cast<double>(pairs.size());
    }
    Complex turn = 0.0;
    for (const auto& [pin, place] : pairs) {
        turn += (place - mean_place) * std::conj(pin - mean_pin);
    }
    if (std::abs(turn) < 1e-9) {
        return std::nullopt;
    }
    turn /= std::abs(turn);
    return Frame{mean_place - turn * mean_pin, turn};
}

// A body whose row of pins is not known, but that has two of them.
std::optional<Frame> frame_between(const std::vector<Pad>& pads) {
    if (pads.size() != 2 || pads[0].at == pads[1].at) {
        return std::nullopt;
    }
    const Complex way = number(pads[1].at) - number(pads[0].at);
    return Frame{0.5 * (number(pads[0].at) + number(pads[1].at)), way / std::abs(way)};
}

Polyline outline(const Frame& frame, double along_x_mm, double along_y_mm) {
    Polyline ring;
    for (const Complex& corner : {Complex(-1, -1), Complex(1, -1), Complex(1, 1), Complex(-1, 1)}) {
        const Complex own(0.5 * along_x_mm * corner.real(), 0.5 * along_y_mm * corner.imag());
        const Complex at = frame.middle + frame.turn * own;
        ring.push_back({at.real(), at.imag()});
    }
    return ring;
}

Polyline body_of(const dossier::Part& part,
                 const parts::Kind* kind,
                 const parts::Body& body,
                 const std::vector<Pad>& pads,
                 bool mirrored) {
    const double length = body.length_mm;
    const double width = body.width_mm;
    if (length <= 0 || width <= 0) {
        return {};
    }
    const auto footprint = footprint_of(body);
    std::optional<Frame> frame =
        footprint ? frame_by_pins(part, kind, *footprint, pads, mirrored) : std::nullopt;
    // Of two rows, x runs across; the body's length is along the rows.
    const bool across = frame && footprint->two_rows;
    if (!frame) {
        frame = frame_between(pads);
    }
    if (!frame) {
        return {};
    }
    if (body.through_hole && length == width) {  // a can that stands upright
        Polyline ring;
        for (int i = 0; i < 24; ++i) {
            const Complex at = frame->middle + std::polar(0.5 * length, std::numbers::pi * i / 12);
            ring.push_back({at.real(), at.imag()});
        }
        return ring;
    }
    return across ? outline(*frame, width, length) : outline(*frame, length, width);
}

// A body that the catalogue does not know stands over its pins, more or less; what is called by its
// wires or pins alone has none.
Polyline unknown_body(const dossier::Part& part, const std::vector<Pad>& pads) {
    constexpr double joint_mm = 0.7;
    const std::string& name = part.body.value;
    // Screw terminals are some 7 to 10 mm deep (common practice); rows of pins are narrow.
    const bool terminal = name.find("terminal") != std::string::npos;
    const double beside_mm = terminal ? 3.5 : 1.2;
    if (pads.size() < 2 || name.empty() || name.find("wire") != std::string::npos ||
        name == "pin") {
        return {};
    }
    // Along the two pins that are farthest apart.
    Complex way = 0.0;
    for (const Pad& a : pads) {
        for (const Pad& b : pads) {
            const Complex d = number(b.at) - number(a.at);
            way = std::abs(d) > std::abs(way) + 1e-9 ? d : way;
        }
    }
    if (std::abs(way) < 2.0 * joint_mm) {
        return {};
    }
    way /= std::abs(way);
    double least[2] = {1e9, 1e9};
    double most[2] = {-1e9, -1e9};
    for (const Pad& pad : pads) {
        const Complex own = number(pad.at) * std::conj(way);
        for (const auto& [i, value] : {std::pair(0, own.real()), std::pair(1, own.imag())}) {
            least[i] = std::min(least[i], value);
            most[i] = std::max(most[i], value);
        }
    }
    // Rows of pins that lie askew tell nothing.
    if (most[1] - least[1] > 0.5) {
        return {};
    }
    const double along = terminal ? 2.4 : pads.size() == 2 ? -joint_mm : beside_mm;
    Polyline ring;
    for (const Complex& own : {Complex(least[0] - along, least[1] - beside_mm),
                               Complex(most[0] + along, least[1] - beside_mm),
                               Complex(most[0] + along, most[1] + beside_mm),
                               Complex(least[0] - along, most[1] + beside_mm)}) {
        const Complex at = own * way;
        ring.push_back({at.real(), at.imag()});
    }
    return ring;
}

}  // namespace

const parts::Body* body_row(const dossier::Part& part, const parts::Catalogue& catalogue) {
    if (part.body.value.empty()) {
        return nullptr;
    }
    const parts::Kind* kind = catalogue.find(part.kind.value);
    const parts::Body* body = catalogue.body(part.body.value, kind != nullptr ? kind->family : "");
    if (body != nullptr || kind != nullptr) {
        return body;
    }
    for (const parts::Body& row : catalogue.bodies()) {
        body = catalogue.body(part.body.value, row.family);
        if (body != nullptr) {
            return body;
        }
    }
    return nullptr;
}

std::vector<PlacedPart> placed_parts(const dossier::Dossier& dossier,
                                     const parts::Catalogue& catalogue,
                                     const std::vector<Pad>& pads) {
    std::vector<PlacedPart> placed;
    for (const dossier::Part& part : dossier.parts) {
        PlacedPart one;
        one.name = part.name;
        std::ranges::copy_if(
            pads, std::back_inserter(one.pads), [&](const Pad& p) { return p.part == part.name; });
        if (one.pads.empty()) {
            continue;
        }
        const parts::Kind* kind = catalogue.find(part.kind.value);
        const parts::Body* body = body_row(part, catalogue);
        one.side = part.position && part.position->bottom ? Side::bottom
                                                          : one.pads[0].side.value_or(Side::top);
        one.fitted = part.fitted;
        one.flat = body != nullptr && !body->through_hole;
        if (body != nullptr && body->through_hole) {
            one.side = Side::top;
        }
        if (body != nullptr && part.fitted) {
            one.body = body_of(part, kind, *body, one.pads, one.side == Side::bottom);
        }
        one.known = !one.body.empty();
        if (!one.known && part.fitted && !one.flat) {
            one.body = unknown_body(part, one.pads);
            one.side = one.body.empty() ? one.side : Side::top;
        }
        placed.push_back(std::move(one));
    }
    return placed;
}

}  // namespace etchback::copper::detail
