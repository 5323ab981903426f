// A straightened side as the classes are learned on it: coarser than the raster, in colours that
// light scales but does not bend.
#pragma once

#include <opencv2/core.hpp>
#include <vector>

#include "copper/eye/surface.h"

namespace etchback::copper::eye::detail {

// A pad of a part, where the dossier has it.
struct KnownPad {
    cv::Point2d at;        // work pixels
    bool drilled = false;  // a pin goes through it
    bool covered = false;  // by a body or wires of which nobody knows how they look
    int part = -1;         // pads of one part have one number
    // Of a pad below a body: a way along or across it, of length 1, and how far the pad may reach
    // that way and square to it, in work pixels. Print beside it looks as solder does.
    cv::Point2d axis = {1.0, 0.0};
    double reach_along = 1e9;
    double reach_across = 1e9;
};

struct WorkPicture {
    double px_per_mm = 0.0;
    double scale = 1.0;  // work pixels per raster pixel
    // CV_32FC3: logarithm of lightness, of red to green, of blue to green.
    cv::Mat colour;
    cv::Mat inside;  // CV_8U
    cv::Mat holes;   // CV_8U, 255 in drilled holes and slots that are seen
    cv::Mat depth;   // CV_32F, mm to the edge of the board, as far as 0.5; further in only large
    cv::Mat bodies;  // CV_8U, 255 below the bodies of parts that the dossier places on this side
    std::vector<KnownPad> pads;  // with copper on this side
};

WorkPicture work_picture(const StraightSide& side,
                         const Raster& raster,
                         const std::vector<Hole>& holes);

// What the dossier knows of parts on one side. `two_sided`: a pin through the board has copper
// here, whichever side this is; else only where it is known that there is.
void mark_parts(const std::vector<copper::detail::PlacedPart>& parts,
                Side side,
                const Raster& raster,
                WorkPicture& work);

// Draws a shape given in raster pixels into a picture of the work size.
void draw_stroke(const RasterStroke& stroke, double scale, double value, cv::Mat& picture);

}  // namespace etchback::copper::eye::detail
