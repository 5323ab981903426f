// Round spots of a straightened picture: drilled holes, pads, drops of solder.
//
// What is found is a circle that differs from what lies around it, darker or brighter, seen on most
// of its rim. Whether it is a hole is told later, from both sides (holes.h).
#pragma once

#include <opencv2/core.hpp>
#include <vector>

namespace etchback::copper::eye::detail {

struct Spot {
    cv::Point2d at;         // in pixels of the picture, from its upper left corner
    double radius = 0.0;    // pixels
    bool dark = true;       // darker than what lies around it
    double contrast = 0.0;  // levels, positive
    double seen = 0.0;      // part of the rim that lies on the circle
    cv::Vec3f inside;       // mean colour, blue-green-red
    cv::Vec3f around;       // of the ring just outside
    double unrest = 0.0;    // scatter of that ring, as a part of the difference from the inside
    double depth = 0.0;     // levels by which the inside is darker than the wider neighbourhood
    // A dark spot in a plain surrounding that is no loop of a letter: those are nearly as bright
    // inside as the board.
    bool deep() const;
    double score() const { return seen * contrast / (contrast + 25.0); }
};

// Radii from 2 to 28 pixels. `inside` is CV_8U: spots are looked for where it is not 0. Sorted by
// score, best first; of overlapping spots about one centre the best of either kind stays. Method:
// votes of edges along their gradient (Loy and Zelinsky, IEEE Trans. PAMI 25 (2003) 959-973),
// then a circle fitted to the steepest steps along rays.
std::vector<Spot> find_spots(const cv::Mat& bgr, const cv::Mat& inside);

}  // namespace etchback::copper::eye::detail
