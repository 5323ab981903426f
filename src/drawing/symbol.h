// Symbols of parts as geometry, in IEC 60617 and in ANSI/IEEE 315 style.
//
// All of drawing works on an integer grid of which one step is `grid_px` pixels in the SVG. x grows
// to the right, y downwards. Every pin of a symbol ends on a grid point on the rim of its box.
#pragma once

#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "circuit/circuit.h"

namespace etchback::drawing {

constexpr double grid_px = 10.0;

enum class Standard { iec, ansi };
enum class Direction { right, down, left, up };  // in this order a quarter turn clockwise each

struct Point {
    double x = 0.0;
    double y = 0.0;
    bool operator==(const Point&) const = default;
};

struct Box {
    double left = 0.0, top = 0.0, right = 0.0, bottom = 0.0;
    bool overlaps(const Box& other) const {  // touching is no overlap
        return left < other.right && other.left < right && top < other.bottom && other.top < bottom;
    }
    bool operator==(const Box&) const = default;
};

// One stroke of a symbol. `path` is SVG path data in grid units restricted to M L C A Z with
// absolute coordinates; `filled` closes and fills it.
struct Stroke {
    std::string path;
    bool filled = false;
    bool operator==(const Stroke&) const = default;
};

// A word inside a symbol: a pin's name in a box, a dot's letter. Turned symbols keep words upright.
struct Word {
    std::string text;
    Point at;  // baseline point by anchor
    enum class Anchor { start, middle, end } anchor = Anchor::middle;
    double size = 0.9;  // font size in grid units
    bool operator==(const Word&) const = default;
};

struct SymbolPin {
    int pin = -1;      // index into circuit::Part::pins
    Point at;          // on the grid
    Direction facing;  // the way the wire leaves
    bool operator==(const SymbolPin&) const = default;
};

struct Symbol {
    std::string id;  // "resistor"
    Box box;         // of strokes and pins, in grid units, relative to the origin
    std::vector<SymbolPin> pins;
    std::vector<Stroke> strokes;
    std::vector<Word> words;
    bool upright = false;  // has words that fit only at 0 or 2 quarter turns: don't turn it
                           // on its side
    bool operator==(const Symbol&) const = default;
};

// The symbol of a part in its natural position: two-pin parts lie horizontally with their first
// pin left (the positive one for polarised parts, the anode of a diode) but a DC supply, which
// stands with its plus on top; transistors have their
// control pin left and the more positive main pin on top, ICs are boxes whose pins are grouped:
// inputs left, outputs right, supply on top, ground below. Every pin of the part that is
// drawn is there exactly once; a part whose pins do not fit its kind's symbol is a box.
//
// `pin_height` helps where the order is free (pins on one side of a box or connector, windings in a
// column, a winding's two ends): per pin of the part, the higher it is the further up the pin goes.
// Equal heights, or none given, keep the part's own order.
Symbol symbol_of(const circuit::Part& part,
                 Standard standard,
                 std::span<const double> pin_height = {});

// False for an optional pin (protective earth, a spare contact) that is on no net.
bool is_drawn(const circuit::Part& part, std::size_t pin);

// The ids that Kind::symbol may name, sorted; "box" for anything else.
std::vector<std::string> symbol_ids();

// Quarter turns clockwise, then mirrored left-right if `mirrored`. Words stay upright; the box is
// computed anew.
struct Orientation {
    int quarter_turns = 0;
    bool mirrored = false;
    bool operator==(const Orientation&) const = default;
};
Symbol oriented(const Symbol& symbol, const Orientation& orientation);

// Width of a text in grid units at a font size in grid units, by the advance widths of the
// Helvetica-metric fonts that the drawing asks for (Liberation Sans, Arial, Helvetica).
double text_width(std::string_view utf8, double size, bool bold = false);

// The box of a text set at a baseline point. Its height does not depend on the letters.
constexpr double text_ascent = 0.74, text_descent = 0.22;  // of the font size
Box text_box(std::string_view utf8, Point at, Word::Anchor anchor, double size, bool bold = false);

}  // namespace etchback::drawing
