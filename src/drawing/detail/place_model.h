// What placement works on: parts as boxes with pins in a few possible orientations each, and nets
// as lists of pins. Coordinates are grid steps; isolation lines have x positions of their own.
#pragma once

#include <array>
#include <vector>

#include "circuit/circuit.h"
#include "circuit/domains.h"
#include "drawing/detail/label_room.h"
#include "drawing/detail/place_links.h"
#include "drawing/detail/place_order.h"
#include "drawing/detail/place_wishes.h"
#include "drawing/drawing.h"

namespace etchback::drawing::detail {

struct Step {
    int x = 0;
    int y = 0;
    bool operator==(const Step&) const = default;
};
inline Step step_of(Direction direction) {
    constexpr std::array<Step, 4> steps{{{1, 0}, {0, 1}, {-1, 0}, {0, -1}}};
    return steps[static_cast<std::size_t>(direction)];
}
inline Direction opposite(Direction direction) {
    return static_cast<Direction>((static_cast<int>(direction) + 2) % 4);
}

struct ModelPin {
    int net = -1;  // -1: on no net
    Step at;       // relative to the part's origin
    Direction facing = Direction::right;
};

// One way to draw a part.
struct Variant {
    Orientation orientation;
    Symbol symbol;
    std::vector<ModelPin> pins;
    std::vector<LabelRoom> labels;
    Box body;  // of the symbol
    std::vector<Box>
        rooms;           // all that must stay free of other parts: body with halo, labels, signs
    Box bounds;          // of all rooms
    double taste = 0.0;  // what is odd about drawing the part so
};

struct ModelPart {
    Symbol symbol;                  // in its natural position
    std::vector<Variant> variants;  // the most natural first
    int zone = 0;                   // right of how many isolation lines
    int astride = -1;               // the isolation line it stands on, or -1
    std::vector<int> nets;          // its wired nets, each once
    int rim = 0;                    // -1: belongs to the left rim, 1: to the right
    double flow = 0.0;              // order from left to right
    double height = 0.0;            // 1: belongs to the top, 0: to the bottom
    bool fixed = false;             // nudged to `at`
    Step at;
    int tie = -1;  // the group in Model::ties that it moves with, or -1
};

struct PinOf {
    int part = -1;
    int pin = -1;  // index into Variant::pins
};

struct ModelNet {
    NetStyle style = NetStyle::open;
    NetSign::Kind sign = NetSign::Kind::flag;
    std::string name;
    std::string sign_text;  // empty where the sign's shape says enough
    int zone = 0;
    std::vector<PinOf> pins;
    bool low = false;           // a return
    bool may_be_signs = false;  // signs may stand for its wires
    Rail rail = Rail::none;
};

// A net's pins nearest to what feeds the circuit: its wires run away from them.
struct Lead {
    int net = -1;
    std::vector<PinOf> from;
};

struct Model {
    std::vector<ModelPart> parts;
    std::vector<ModelNet> nets;
    std::vector<Link> links;
    std::vector<Symmetry> symmetries;
    std::vector<Joining> joinings;
    std::vector<Repeat> repeats;
    std::vector<Lead> leads;
    std::vector<std::vector<int>> together;  // parts that a person wants near each other
    std::vector<Tied> ties;
    std::vector<Neighbours> neighbours;
    int zones = 1;
    Zones order_zones;
};

// Per part and pin: the higher, the further up the pin goes where its place on a symbol is free.
using PinHeights = std::vector<std::vector<double>>;

// How returns and supplies are meant to hold together.
enum class Manner {
    rails,    // by wires where there are few pins
    returns,  // returns by signs
    signs,    // returns and supplies by signs
};

// Without heights, potentials order the pins. `like`: a model of the same circuit, options and
// manner, whose parts are taken over where the heights change nothing.
Model model_of(const circuit::Circuit& circuit,
               const circuit::Domains& domains,
               const Options& options,
               Manner manner,
               const PinHeights& heights = {},
               const Model* like = nullptr);

// The box of a sign whose wire ends at (0, 0) and which faces `facing`; its text included.
Box sign_box(NetSign::Kind kind, Direction facing, const std::string& text);

}  // namespace etchback::drawing::detail
