// Copper as pieces that are surely one each, and the places where two of them may be one.
//
// An island is a connected piece of copper that no doubt divides. Whatever might divide or join is
// a joint with its probability: a narrow neck, a hairline gap, copper hidden below a part, a hole
// that may be plated. Nets are islands joined over joints (nets.h).
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "copper/board_picture.h"
#include "copper/plane.h"

namespace etchback::copper {

struct Island {
    Side side = Side::top;
    Polygon shape;
    double area_mm2 = 0.0;
    Point inside;  // a point well inside the copper
};

struct Joint {
    enum class Kind : std::uint8_t {
        neck,    // seen as joined, but narrow or doubtful
        gap,     // seen as parted by a hairline or a doubtful stretch
        hidden,  // below a part, a legend or glare: a likely path
        hole,    // a hole that may be plated through
        bridge,  // the person says so: `bridge here` (joined = 1), `cut here` (joined = 0)
        jumper   // a wire link
    };
    Kind kind = Kind::neck;
    int a = -1;  // indices into Islands::islands
    int b = -1;
    double joined = 0.5;      // probability
    Point at;                 // where to look
    double width_mm = 0.0;    // of the neck or the gap; diameter of a hole
    Polyline path;            // a proposed path of hidden copper; else empty
    bool below_part = false;  // the path lies below a part: proposed, never assumed
    bool was_way = false;     // a bridge: a stroke decided what was a gap or a hidden path
    std::string why;          // "0.12 mm wide where light fails", in words for the person
};

struct Islands {
    Raster raster;
    std::vector<Island> islands;
    std::vector<Joint> joints;
    // Index of the island at each pixel of a side, or -1. Empty: there is no picture of that
    // side, or none to be trusted.
    std::vector<std::int32_t> top;
    std::vector<std::int32_t> bottom;
    // A side with copper of which none was read: what it joins is not known.
    std::optional<Side> unread;

    const std::vector<std::int32_t>& map(Side side) const {
        return side == Side::top ? top : bottom;
    }
};

}  // namespace etchback::copper
