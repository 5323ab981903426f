// An invented board: what a designer would have drawn, with every net known. All lengths are mm as
// seen from the top side, x to the right, y down (copper/plane.h). docs/board-layout.md describes
// the file format.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "copper/board_picture.h"
#include "copper/plane.h"

namespace etchback::photographer {

using copper::Point;
using copper::Polyline;
using copper::Side;

enum class Mask { none, green, blue, red, white, black };
enum class Laminate { fr4, paper };       // yellowish glass and epoxy; brown phenolic paper
enum class Finish { tin, copper, gold };  // of copper that no mask covers

// A round hole without copper in it, for a screw or a peg.
struct BoardHole {
    Point at;
    double diameter_mm = 3.2;
    bool operator==(const BoardHole&) const = default;
};

struct Slot {
    Polyline along;
    double width_mm = 1.0;
    bool operator==(const Slot&) const = default;
};

struct BoardShape {
    Polyline outline;  // clockwise on the screen
    std::vector<Polyline> cut_outs;
    std::vector<Slot> slots;
    std::vector<BoardHole> holes;
    double thickness_mm = 1.6;
    int sides = 2;  // with copper; 1: the bottom only
    Mask mask = Mask::green;
    Laminate laminate = Laminate::fr4;
    Finish finish = Finish::tin;
    double clearance_mm = 0.3;  // between any two nets
    bool operator==(const BoardShape&) const = default;
};

// How far two groups of nets stay apart: primary and secondary of a mains supply, say.
struct Gap {
    std::string a;
    std::string b;
    double distance_mm = 6.0;
    bool operator==(const Gap&) const = default;
};

struct NetRule {
    std::string domain;     // group for gaps; empty: none
    double width_mm = 0.4;  // of its tracks where there is room
    bool operator==(const NetRule&) const = default;
};

enum class PadShape { round, rect, oval };

// A pad in the frame of the board.
struct Pad {
    std::string part;  // empty: a test point
    std::string pin;
    std::string net;  // empty: joined to nothing
    Point at;
    PadShape shape = PadShape::round;
    double width_mm = 1.6;  // along its own x axis
    double height_mm = 1.6;
    double turn_deg = 0.0;  // counter-clockwise, seen from the top
    double drill_mm = 0.0;  // 0: no hole, a pad of `side` only
    Side side = Side::top;
    bool soldered = true;
    bool operator==(const Pad&) const = default;
};

struct PinNet {
    std::string pin;
    std::string net;
    bool operator==(const PinNet&) const = default;
};

// A pad as a body has it, before the part is placed.
struct BodyPad {
    Point at;
    PadShape shape = PadShape::round;
    double width_mm = 1.6;
    double height_mm = 1.6;
    double drill_mm = 0.0;
    bool operator==(const BodyPad&) const = default;
};

struct Part {
    std::string name;
    std::string body;  // a name that bodies.h knows
    Point at;
    double turn_deg = 0.0;  // counter-clockwise, seen from the top
    Side side = Side::top;
    std::vector<PinNet> pins;  // the first belongs to the body's first pad, and so on
    std::string marking;
    std::string colour;              // empty: the body's usual one
    std::optional<double> pitch_mm;  // between the pads, where the body leaves it open
    bool fitted = true;
    bool operator==(const Part&) const = default;
};

struct Track {
    std::string net;
    Side side = Side::bottom;
    double width_mm = 0.4;
    Polyline along;
    bool operator==(const Track&) const = default;
};

// An area filled with copper that keeps away from other nets. Pieces that would hang on nothing
// are left out. `thermal`: pads of its own net hang on four spokes.
struct Pour {
    std::string net;
    Side side = Side::bottom;
    Polyline outline;
    double clearance_mm = 0.4;
    bool thermal = false;
    bool operator==(const Pour&) const = default;
};

struct Via {
    std::string net;
    Point at;
    double drill_mm = 0.4;
    double diameter_mm = 0.8;
    bool tented = false;  // covered by the mask
    bool operator==(const Via&) const = default;
};

// A bare wire link on the top side, soldered at the bottom.
struct Jumper {
    std::string net;
    Point from;
    Point to;
    bool operator==(const Jumper&) const = default;
};

// Solder that flowed where no pad is, or across pads: it may join another net to its own.
struct Blob {
    std::string net;
    std::string joins;  // the other net; empty: none
    Side side = Side::bottom;
    Polyline along;
    double width_mm = 1.0;
    bool operator==(const Blob&) const = default;
};

// Printed letters (at, height, turn) or a printed line (along, width).
struct Legend {
    Side side = Side::top;
    std::string text;
    Point at;  // the middle of the text
    double height_mm = 1.2;
    double turn_deg = 0.0;
    Polyline along;
    double width_mm = 0.15;
    bool operator==(const Legend&) const = default;
};

struct Layout {
    std::string name;
    BoardShape board;
    std::vector<Gap> gaps;
    std::map<std::string, NetRule> nets;
    std::vector<Part> parts;
    std::vector<Pad> test_points;
    std::vector<Track> tracks;
    std::vector<Pour> pours;
    std::vector<Via> vias;
    std::vector<Jumper> jumpers;
    std::vector<Blob> blobs;
    std::vector<Legend> legends;
    bool operator==(const Layout&) const = default;
};

// All pads on the board: those of the parts, test points and the ends of jumpers.
std::vector<Pad> pads_of(const Layout& layout);

// The name under which a net goes once blobs have joined some.
std::string joined_name(const Layout& layout, const std::string& net);

// The least distance between copper of two nets.
double clearance_between(const Layout& layout, const std::string& a, const std::string& b);

}  // namespace etchback::photographer
