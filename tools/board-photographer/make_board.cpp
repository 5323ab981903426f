#include "board-photographer/make_board.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <numbers>
#include <set>

#include "board-photographer/bodies.h"
#include "board-photographer/legends.h"
#include "board-photographer/place.h"
#include "board-photographer/random.h"
#include "board-photographer/route.h"
#include "board-photographer/shapes.h"
#include "board-photographer/truth.h"

namespace etchback::photographer {
namespace {

struct Stock {
    std::string_view body;
    std::string_view letter;
    int pins;
    double weight;
};

constexpr Stock drilled_stock[] = {
    {"axial 6.3 mm", "R", 2, 4.0},
    {"axial 9 mm", "R", 2, 1.0},
    {"DO-41", "D", 2, 2.0},
    {"DO-35", "D", 2, 1.0},
    {"radial 5 mm", "C", 2, 2.0},
    {"radial 8 mm", "C", 2, 1.0},
    {"radial 10 mm", "C", 2, 1.0},
    {"disc 5 mm", "C", 2, 2.0},
    {"disc 7 mm", "C", 2, 1.0},
    {"film box 10 mm", "C", 2, 1.0},
    {"drum 8 mm", "L", 2, 1.0},
    {"DIP-8", "U", 8, 1.0},
    {"DIP-4", "U", 4, 1.0},
    {"TO-92", "Q", 3, 1.0},
    {"TO-220", "Q", 3, 0.7},
    {"EE13", "T", 8, 0.4},
    {"pin header", "J", 4, 0.6},
};
constexpr Stock flat_stock[] = {
    {"0603", "R", 2, 2.0},
    {"0805", "R", 2, 4.0},
    {"1206", "R", 2, 4.0},
    {"0805", "C", 2, 3.0},
    {"1206", "C", 2, 1.0},
    {"SOD-123", "D", 2, 1.0},
    {"SMA", "D", 2, 1.5},
    {"SOT-23", "Q", 3, 1.5},
    {"SOT-23-6", "U", 6, 0.7},
    {"SO-8", "U", 8, 1.0},
    {"MBS", "BR", 4, 0.5},
    {"TO-252", "Q", 3, 0.5},
};

template <std::size_t N>
const Stock& choose(const Stock (&stock)[N], Random& random) {
    double sum = 0.0;
    for (const Stock& s : stock) {
        sum += s.weight;
    }
    double left = random.between(0.0, sum);
    for (const Stock& s : stock) {
        left -= s.weight;
        if (left <= 0.0) {
            return s;
        }
    }
    return stock[0];
}

std::string digits(Random& random, int count) {
    std::string text;
    for (int i = 0; i < count; ++i) {
        text += static_cast<char>('0' + random.whole(i == 0 ? 1 : 0, 9));
    }
    return text;
}

std::string colour_of(const Stock& stock, Random& random) {
    const auto one_of = [&](std::initializer_list<const char*> names) {
        return std::string(names.begin()[random.whole(0, static_cast<int>(names.size()) - 1)]);
    };
    if (stock.letter == "C" && (stock.body == "0805" || stock.body == "1206")) {
        return one_of({"ceramic", "ceramic", "grey ceramic"});
    }
    if (stock.body.starts_with("axial")) {
        return one_of({"beige", "beige", "light blue", "grey"});
    }
    if (stock.body.starts_with("radial")) {
        return one_of({"dark green", "black", "dark blue", "brown"});
    }
    if (stock.body.starts_with("disc")) {
        return one_of({"blue", "orange", "dark green"});
    }
    if (stock.body.starts_with("film")) {
        return one_of({"box yellow", "red", "grey"});
    }
    return "";
}

void add_part(Layout& layout,
              const Stock& stock,
              Side side,
              Random& random,
              std::map<std::string, int>& counts) {
    Part part;
    part.name = fmt::format("{}{}", stock.letter, ++counts[std::string(stock.letter)]);
    part.body = stock.body;
    part.side = side;
    part.colour = colour_of(stock, random);
    part.marking = stock.letter == "R"   ? digits(random, 3)
                   : stock.letter == "C" ? ""
                                         : digits(random, 4);
    part.fitted = !random.chance(0.04);
    for (int i = 0; i < stock.pins; ++i) {
        part.pins.push_back({std::to_string(i + 1), ""});
    }
    layout.parts.push_back(std::move(part));
}

void choose_parts(Layout& layout, int wanted, Random& random) {
    std::map<std::string, int> counts;
    int pads = 0;
    const auto add = [&](const Stock& stock, Side side) {
        add_part(layout, stock, side, random, counts);
        pads += stock.pins;
    };
    const bool wires = random.chance(0.5);
    add({wires ? "wires" : "screw terminal", "J", 2, 1.0}, Side::top);
    if (wanted > 30) {
        add({random.chance(0.5) ? "wires" : "pin header", "J", random.whole(2, 4), 1.0}, Side::top);
    }
    // How much of it is soldered flat, and on which side.
    const double flat = random.between(0.1, 0.95);
    const bool flat_on_top = layout.board.sides == 2 && random.chance(0.5);
    while (pads < wanted) {
        if (random.chance(flat)) {
            const bool other = layout.board.sides == 2 && random.chance(0.15);
            add(choose(flat_stock, random), flat_on_top != other ? Side::top : Side::bottom);
        } else {
            add(choose(drilled_stock, random), Side::top);
        }
    }
}

struct PinRef {
    std::size_t part;
    std::size_t pin;
    Point at;
};

std::vector<PinRef> pins_of(const Layout& layout) {
    std::vector<PinRef> pins;
    const std::vector<Pad> pads = pads_of(layout);
    std::size_t next = 0;
    for (std::size_t p = 0; p < layout.parts.size(); ++p) {
        for (std::size_t i = 0; i < layout.parts[p].pins.size(); ++i) {
            pins.push_back({p, i, pads[next++].at});
        }
    }
    return pins;
}

double apart(const PinRef& a, const PinRef& b) {
    return distance(a.at, b.at);
}

// A return and a supply that go everywhere; small nets between neighbours.
void invent_nets(Layout& layout, Random& random) {
    std::vector<PinRef> pins = pins_of(layout);
    const auto net = [&](const PinRef& pin) -> std::string& {
        return layout.parts[pin.part].pins[pin.pin].net;
    };
    const auto spread = [&](const std::string& name, double share) {
        std::set<std::size_t> parts;
        for (const PinRef& pin : pins) {
            if (net(pin).empty() && !parts.contains(pin.part) && random.chance(share)) {
                net(pin) = name;
                parts.insert(pin.part);
            }
        }
    };
    random.shuffle(pins);
    spread("GND", random.between(0.15, 0.4));
    spread("VCC", random.between(0.08, 0.2));
    layout.nets["GND"].width_mm = random.between(0.6, 1.5);
    layout.nets["VCC"].width_mm = random.between(0.5, 1.2);
    int number = 0;
    for (const PinRef& first : pins) {
        if (!net(first).empty()) {
            continue;
        }
        const std::string name = fmt::format("N{}", ++number);
        net(first) = name;
        layout.nets[name].width_mm =
            random.chance(0.2) ? random.between(0.8, 1.6) : random.between(0.3, 0.6);
        if (random.chance(0.06)) {
            continue;  // an open pin
        }
        std::vector<PinRef> near;
        for (const PinRef& pin : pins) {
            if (net(pin).empty() && pin.part != first.part) {
                near.push_back(pin);
            }
        }
        std::stable_sort(near.begin(), near.end(), [&](const PinRef& a, const PinRef& b) {
            return apart(a, first) < apart(b, first);
        });
        const int more = random.whole(1, 3);
        std::set<std::size_t> parts = {first.part};
        int taken = 0;
        for (const PinRef& pin : near) {
            if (taken < more && !parts.contains(pin.part) && !random.chance(0.15)) {
                net(pin) = name;
                parts.insert(pin.part);
                ++taken;
            }
        }
    }
}

// What the router could not reach becomes a net of its own, so that the truth stays true.
void part_islands(Layout& layout, const std::vector<Island>& islands) {
    const std::vector<PinRef> pins = pins_of(layout);
    std::map<std::string, int> counts;
    for (const Island& island : islands) {
        const std::string name = fmt::format("{}.{}", island.net, ++counts[island.net]);
        layout.nets[name] = layout.nets[island.net];
        std::vector<Point> places;
        for (const std::size_t pad : island.pads) {
            if (pad < pins.size()) {
                layout.parts[pins[pad].part].pins[pins[pad].pin].net = name;
                places.push_back(pins[pad].at);
            }
        }
        // Its tracks go with it: whatever hangs together with its pads.
        std::vector<Shape> own;
        for (const Pad& pad : pads_of(layout)) {
            if (pad.net == name) {
                own.push_back(shape_of(pad, layout.board));
            }
        }
        const auto touches = [&](Point p) {
            return std::any_of(own.begin(), own.end(), [&](const Shape& shape) {
                return distance(shape, p) < 1e-6;
            });
        };
        for (bool grew = true; grew;) {
            grew = false;
            for (Track& track : layout.tracks) {
                if (track.net == island.net &&
                    std::any_of(track.along.begin(), track.along.end(), touches)) {
                    track.net = name;
                    Layout one;
                    one.board = layout.board;
                    one.tracks = {track};
                    const std::vector<Shape> more = shapes_of(one);
                    own.insert(own.end(), more.begin(), more.end());
                    grew = true;
                }
            }
            for (Via& via : layout.vias) {
                if (via.net == island.net && touches(via.at)) {
                    via.net = name;
                    Shape shape;
                    shape.a = shape.b = via.at;
                    shape.radius_mm = via.diameter_mm / 2.0;
                    own.push_back(shape);
                    grew = true;
                }
            }
        }
    }
}

// Holes for screws go in corners that are free.
void add_screw_holes(Layout& layout, Random& random) {
    if (!random.chance(0.5)) {
        return;
    }
    const double width = layout.board.outline[2].x_mm;
    const double height = layout.board.outline[2].y_mm;
    const double diameter = random.chance(0.5) ? 3.2 : 2.2;
    const double in = diameter / 2.0 + 1.6;
    const std::vector<Pad> pads = pads_of(layout);
    for (const Point& at :
         {Point{in, in}, {width - in, in}, {width - in, height - in}, {in, height - in}}) {
        bool free = true;
        for (const Pad& pad : pads) {
            free = free && distance(shape_of(pad, layout.board), at) > diameter / 2.0 + 1.0;
        }
        for (const Part& part : layout.parts) {
            const Polyline ring = body_ring(part, diameter / 2.0 + 0.5);
            free = free && (ring.empty() || depth_inside(ring, at) < 0.0);
        }
        if (free) {
            layout.board.holes.push_back({at, diameter});
        }
    }
}

void round_corners(Layout& layout, double radius) {
    const Polyline& box = layout.board.outline;
    const double width = box[2].x_mm;
    const double height = box[2].y_mm;
    Polyline ring;
    const std::array<Point, 4> centres = {{{radius, radius},
                                           {width - radius, radius},
                                           {width - radius, height - radius},
                                           {radius, height - radius}}};
    for (int corner = 0; corner < 4; ++corner) {
        for (int i = 0; i <= 8; ++i) {
            const double angle = std::numbers::pi * (1.0 + corner / 2.0 + i / 16.0);
            ring.push_back({centres[corner].x_mm + radius * std::cos(angle),
                            centres[corner].y_mm + radius * std::sin(angle)});
        }
    }
    layout.board.outline = ring;
}

void add_pours(Layout& layout, const std::vector<Island>& islands, Random& random) {
    for (const char* net : {"GND", "VCC"}) {
        const bool whole = std::none_of(islands.begin(), islands.end(), [&](const Island& island) {
            return island.net == net;
        });
        const bool wanted = random.chance(net[0] == 'G' ? 0.65 : 0.15);
        const double clearance = random.between(0.3, 0.7);
        const bool thermal = random.chance(0.5);
        const bool both = random.chance(0.5);
        if (!whole || !wanted) {
            continue;
        }
        layout.pours.push_back({net, Side::bottom, layout.board.outline, clearance, thermal});
        if (layout.board.sides == 2 && both) {
            layout.pours.push_back({net, Side::top, layout.board.outline, clearance, thermal});
        }
    }
}

}  // namespace

Layout make_board(std::uint64_t seed, const BoardKnobs& knobs) {
    Random random(seed);
    Layout layout;
    layout.name = fmt::format("invented board {}", seed);
    BoardShape& board = layout.board;
    constexpr std::array masks = {
        Mask::green, Mask::blue, Mask::red, Mask::white, Mask::black, Mask::none};
    const int sides = random.chance(0.4) ? 1 : 2;
    const Mask mask =
        random.chance(0.3) ? Mask::green : masks[static_cast<std::size_t>(random.whole(0, 5))];
    const int pads = static_cast<int>(20.0 * std::pow(7.5, random.unit()));
    board.sides = knobs.sides.value_or(sides);
    board.mask = knobs.mask.value_or(mask);
    board.laminate = board.sides == 1 && random.chance(0.5) ? Laminate::paper : Laminate::fr4;
    board.finish = board.mask == Mask::none && random.chance(0.5) ? Finish::copper
                   : random.chance(0.2)                           ? Finish::gold
                                                                  : Finish::tin;
    board.clearance_mm = random.between(0.25, 0.4);
    choose_parts(layout, knobs.pads.value_or(pads), random);
    place_parts(layout, random, random.between(1.7, 2.8));
    add_screw_holes(layout, random);
    invent_nets(layout, random);
    const std::vector<Island> islands = route(layout);
    part_islands(layout, islands);
    const bool tented = random.chance(0.4);
    for (Via& via : layout.vias) {
        via.tented = tented && board.mask != Mask::none;
    }
    add_pours(layout, islands, random);
    if (random.chance(0.4)) {
        round_corners(layout, random.between(0.6, 2.0));
    }
    add_legends(layout, random.between(0.9, 1.3));
    return layout;
}

}  // namespace etchback::photographer
