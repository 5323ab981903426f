// What the photographs show, in board mm: for each side what lies at each pixel of one common
// raster, the holes, the outline, and how well the photographs fit the board.
//
// Everything in here is derived from photographs (or from copper pictures that are already
// separated) and the person's points, lengths and strokes.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "copper/plane.h"

namespace etchback::copper {

enum class Side : std::uint8_t { top, bottom };

// What the camera sees at a pixel.
enum class Surface : std::uint8_t {
    unknown,        // outside the photo, or glare that hides everything
    masked_copper,  // copper below the solder mask
    bare_copper,    // copper, tin or solder without mask
    laminate,       // bare or masked board without copper on this side
    hole,           // a drilled hole or a slot: no board
    legend,         // printed letters and lines; copper may lie below
    body,           // a part or a wire; copper may lie below
    background      // beside the board
};

// The raster that both sides share. Pixel (column, row) covers the square of 1/px_per_mm whose
// centre is at ((column + 0.5) / px_per_mm, (row + 0.5) / px_per_mm) from `origin`.
struct Raster {
    int width = 0;
    int height = 0;
    double px_per_mm = 0.0;
    Point origin;
    bool operator==(const Raster&) const = default;

    std::size_t size() const {
        return static_cast<std::size_t>(width) * static_cast<std::size_t>(height);
    }
};

struct SidePicture {
    std::vector<Surface> surface;      // row by row, Raster::size()
    std::vector<std::uint8_t> copper;  // 255 * probability that there is copper on this side
    std::vector<std::uint8_t> bgr;     // the straightened photo, 3 bytes a pixel; for the report
    bool trusted = true;  // false: this photo cannot tell copper from laminate (see remarks)
};

// A drilled hole or a slot.
struct Hole {
    Point at;                  // its centre
    double diameter_mm = 0.0;  // of a slot: its width
    Polyline slot;             // centre line of a slot; empty: round
    double plated = 0.5;       // probability that it joins the copper of both sides
    double real = 1.0;         // probability that it is a hole at all
    bool seen_top = false;
    bool seen_bottom = false;
    bool operator==(const Hole&) const = default;
};

// How a photo lies on the board. A pixel (x, y) of the upright photo is freed of lens distortion,
// then carried to board mm by a homography.
struct PhotoFit {
    std::string file;
    Side side = Side::top;
    double k1 = 0.0;  // radial distortion, in units of half the photo's diagonal
    double k2 = 0.0;
    double to_board[9] = {1, 0, 0, 0, 1, 0, 0, 0, 1};  // row by row
    double px_per_mm = 0.0;                            // of the photo, in the middle of the board
    bool mirrored = false;                             // a photo of the bottom
};

// How far the two sides, or a photo and given points, miss each other.
struct Misfit {
    Point at;
    double distance_mm = 0.0;
    std::string between;  // "hole, top and bottom", "point 'C1.1' of photos/top.jpg"
};

struct Registration {
    std::vector<PhotoFit> photos;
    std::vector<Misfit> misfits;  // largest first
    double residual_mm = 0.0;     // RMS of the misfits
    double worst_mm = 0.0;
    int matches = 0;           // holes, pads and points that were compared
    bool scale_known = false;  // false: lengths are guessed, see remarks
    bool good = false;         // within the limit of docs/copper.md
    std::string scale_from;    // "board.width", "length on photos/top.jpg" ...
};

// Something that the person should know about the photographs, with the remedy.
struct Remark {
    std::string what;
    std::string todo;
};

struct BoardPicture {
    Raster raster;
    std::optional<SidePicture> top;
    std::optional<SidePicture> bottom;
    std::vector<Hole> holes;
    std::optional<Polygon> outline;  // with cut-outs and slots as holes
    std::vector<Polygon> bodies_top;
    std::vector<Polygon> bodies_bottom;
    Registration registration;
    std::vector<Remark> remarks;

    const std::optional<SidePicture>& side(Side s) const { return s == Side::top ? top : bottom; }
};

}  // namespace etchback::copper
