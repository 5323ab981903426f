// Where the pins of a body are, and where they come to lie on the board.
#pragma once

#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "copper/plane.h"
#include "parts/catalogue.h"

namespace etchback::copper::detail {

// A pin of a body in mm, as seen from above with pin 1 at the upper left (of two pins: at the
// left), its middle at the origin, x to the right and y down. Pins are numbers.
struct BodyPin {
    std::string number;
    Point at;
};

struct Footprint {
    std::vector<BodyPin> pins;
    bool two_rows = false;
    bool row_known = true;  // false: the distance of the rows is a guess
};

// Nothing where the body's row does not say enough.
std::optional<Footprint> footprint_of(const parts::Body& body);

// A pin whose place on the board is known.
struct KnownPin {
    std::size_t pin = 0;  // index into Footprint::pins
    Point at;
};

struct Placed {
    std::vector<Point> pins;  // as Footprint::pins
    double misfit_mm = 0.0;   // largest distance of a known pin from where the body would have it
};

// The whole footprint laid so that it fits two known pins or more. `mirrored`: the part sits on the
// bottom, and the board is seen from the top. Two pins in different rows also give the distance of
// the rows. Nothing for less than two pins, or two at one place.
std::optional<Placed> placed_by_pins(Footprint footprint,
                                     const std::vector<KnownPin>& known,
                                     bool mirrored);

// By the body's middle and turn, counter-clockwise as seen from the top. Of a part on the bottom,
// the mirror image (left and right exchanged) is turned.
std::vector<Point> placed_by_middle(const Footprint& footprint,
                                    Point middle,
                                    double turn_deg,
                                    bool mirrored);

}  // namespace etchback::copper::detail
