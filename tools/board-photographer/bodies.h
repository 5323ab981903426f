// The bodies of parts: where their pads are and how they look.
//
// Names are those of a dossier: "1206", "SOT-23-6", "axial 11.5 mm", "radial 10 mm". Measures are
// common practice, rounded; they need not be those of any one maker.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "board-photographer/layout.h"

namespace etchback::photographer {

enum class Form {
    box,       // moulded block, film capacitor
    chip,      // two metal ends: resistor, ceramic capacitor
    moulded,   // a block with flat or bent legs: SMA, SOT, SO, DIP
    standing,  // upright cylinder: electrolytic capacitor, drum choke
    lying,     // cylinder along x with two wires: axial resistor, diode, fuse
    disc,      // a thin disc on edge along x
    wound,     // core with a winding: transformer, choke
    wires,     // insulated wires that leave the board
    none       // pads only
};

struct Body {
    Form form = Form::none;
    double length_mm = 0.0;  // along x
    double width_mm = 0.0;   // along y
    double height_mm = 0.0;
    double lift_mm = 0.0;  // between the board and its underside
    std::string colour;
    std::vector<BodyPad> pads;
    bool through_hole() const { return !pads.empty() && pads.front().drill_mm > 0.0; }
};

// The body called `name`; `pins` is the number of pins of a body that may have several counts.
std::optional<Body> body_of(std::string_view name,
                            std::size_t pins,
                            std::optional<double> pitch_mm);

// One spelling of each kind of body, for error messages.
std::vector<std::string> known_bodies();

// A point of a part's own frame on the board. Seen from the top; on the bottom side the part's x
// axis is mirrored, as it is when the part is turned over with the board.
Point on_board(const Part& part, Point own);

}  // namespace etchback::photographer
