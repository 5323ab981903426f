// A drawn circuit: where every part, wire, dot and text stands. Plain geometry; no file format.
#pragma once

#include <string>
#include <vector>

#include "circuit/circuit.h"
#include "circuit/domains.h"
#include "drawing/nudges.h"
#include "drawing/symbol.h"

namespace etchback::drawing {

struct PlacedPart {
    circuit::PartId part;
    Point at;  // of the symbol's origin
    Orientation orientation;
    Symbol symbol;  // oriented; still relative to `at`
    bool operator==(const PlacedPart&) const = default;
};

// Horizontal or vertical.
struct Segment {
    Point a, b;
    bool operator==(const Segment&) const = default;
};

// All wires of one net, in as many connected pieces as there are; pieces are joined by net signs.
struct Wire {
    circuit::NetId net;
    std::vector<Segment> segments;
    std::vector<Point> dots;  // junctions where three wires or more meet
    bool operator==(const Wire&) const = default;
};

// A sign that stands for a net: a return or earth symbol, a supply rail bar, or a name flag.
struct NetSign {
    enum class Kind { mains_return, isolated_return, earth, rail, flag };
    circuit::NetId net;
    Kind kind = Kind::flag;
    Point at;          // where the wire ends
    Direction facing;  // away from the wire
    Box box;           // absolute, its text included
    std::string text;
    bool operator==(const NetSign&) const = default;
};

// What a sign looks like, relative to its `at`, which lies on the rim of the box. Returns and earth
// show their text only if it is not empty. `NetSign::box` is this box moved to `at`.
Symbol symbol_of_sign(NetSign::Kind kind, Direction facing, std::string_view text);

struct Label {
    // `voltage` and `simulated`: of a net, as read and as simulated.
    enum class Of { part_name, part_value, net_name, domain_name, note, voltage, simulated };
    Of of = Of::part_name;
    int index = -1;  // of the part or net
    std::string text;
    Point at;  // baseline point
    Word::Anchor anchor = Word::Anchor::start;
    double size = 1.0;
    Box box;  // absolute
    bool operator==(const Label&) const = default;
};

// The box that a label's text, place and size give it; names of parts are set bold.
constexpr bool is_bold(Label::Of of) {
    return of == Label::Of::part_name;
}
Box box_of(const Label& label);

// The dashed line between galvanic domains, a polyline.
struct IsolationLine {
    std::vector<Point> points;
    std::string text;  // "isolation"
    bool operator==(const IsolationLine&) const = default;
};

// Where the line's text stands: centred above the upper one of its two ends.
Label label_of(const IsolationLine& line);

struct Drawing {
    std::vector<PlacedPart> parts;  // in the circuit's order
    std::vector<Wire> wires;        // in the circuit's order of nets
    std::vector<NetSign> signs;
    std::vector<Label> labels;
    std::vector<IsolationLine> isolation;
    double width = 0.0, height = 0.0;  // grid units; everything lies within
    Point origin;                      // where the places of Nudges are counted from
    bool operator==(const Drawing&) const = default;
};

struct Options {
    Standard standard = Standard::iec;
    bool net_names = true;  // names of nets that carry one given by a person
    Nudges nudges = {};
};

// Places and routes. Deterministic; never fails: a net that cannot be wired without an overlap is
// joined by name flags instead.
Drawing draw(const circuit::Circuit& circuit,
             const circuit::Domains& domains,
             const Options& options = {});

// Draws a circuit from an earlier drawing of `before`, which is the same circuit or differs in a
// few parts. Parts and wires stay as they are where neither the change nor a nudge speaks against
// it; only what is in the way makes room and is laid anew. Where too much has changed for that, it
// is drawn with Nudges::before.
Drawing redraw(const Drawing& earlier,
               const circuit::Circuit& before,
               const circuit::Circuit& circuit,
               const circuit::Domains& domains,
               const Options& options = {});

// Where the parts of a drawing stand, for Nudges::before of the next one: drawn from there, a
// circuit that has changed a little looks as it did, and is drawn in a fraction of the time.
std::vector<Stand> stands_of(const Drawing& drawing, const circuit::Circuit& circuit);

// The nudges that a drawing does not show, each in a sentence without its full stop: two parts
// asked onto one another, a part of the isolated side asked to stand left of the mains, words that
// fit upright only ...
std::vector<std::string> not_kept(const Drawing& drawing,
                                  const circuit::Circuit& circuit,
                                  const Nudges& nudges);

}  // namespace etchback::drawing
