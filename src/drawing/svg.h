// A drawing as SVG, and back from an SVG's geometry to nets.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "base/error.h"
#include "drawing/drawing.h"

namespace etchback::drawing {

struct SvgStyle {
    bool standalone = true;    // XML header, own style sheet; otherwise for embedding in the page
    bool dark = false;         // colours for a dark ground (standalone only)
    std::string title;         // <title>, for people who listen to the page
    std::string under = {};    // SVG elements that are drawn below the circuit
    std::string over = {};     // and above it
    double mm_per_step = 0.0;  // gives the picture a size on paper; 0: none but that of the screen
};

// One <g class="part" id="part-R1" data-part="R1"> per part and one <g class="net" id="net-HV+"
// data-net="HV+"> per net (ids made safe for XML). The same drawing gives the same bytes.
std::string to_svg(const Drawing& drawing,
                   const circuit::Circuit& circuit,
                   const SvgStyle& style = {});

// Nets as read back from an SVG of ours, by geometry alone: wires that touch, pins at their ends,
// signs of the same text. It does not look at data-net. Each net is a sorted list of "R1.1"
// (part and pin name); nets are sorted. What the eye takes for a crossing (four ways without a dot)
// joins nothing. A pin that touches nothing is a net by itself.
base::Result<std::vector<std::vector<std::string>>> nets_from_svg(std::string_view svg);

// The same list from the circuit itself, to compare with. Nets of no pin are left out; a drawn pin
// on no net counts as a net by itself.
std::vector<std::vector<std::string>> nets_of(const circuit::Circuit& circuit);

}  // namespace etchback::drawing
