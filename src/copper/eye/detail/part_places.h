// Where parts stand, from what is printed and soldered around them.
#pragma once

#include <opencv2/core.hpp>
#include <vector>

namespace etchback::copper::eye::detail {

// Wires of parts, bright as solder but long and narrow, that run from a joint to a body. They lie
// above the board: what they cross they do not touch. Also the bodies between them that shine as
// they do. CV_8U of `metal`'s size.
cv::Mat leads_in(const cv::Mat& metal, const cv::Mat& holes, double px_per_mm);

// Straight.
struct PrintedStroke {
    cv::Point2d from;
    cv::Point2d way;  // of length 1
    double length = 0.0;
};

// What print draws around the places of parts.
struct Printed {
    cv::Mat print;  // CV_8U, thin strokes
    // Rectangles, or what can be seen of them: at least most of two sides.
    std::vector<cv::RotatedRect> frames;
    std::vector<PrintedStroke> strokes;  // longest first
};
Printed printed_around_parts(const cv::Mat& print, double px_per_mm);

// Rectangles between two straight strokes of print that face each other, where print and the
// metal of pins draw most of the other sides, too: frames that pins cut into pieces.
std::vector<cv::RotatedRect> frames_between_strokes(const Printed& printed,
                                                    const cv::Mat& metal,
                                                    double px_per_mm);

// The rectangle grown on every side, filled: what of it lies in `box`, as a mask of its size.
cv::Mat filled(const cv::RotatedRect& frame, double grow_px, cv::Rect box);

}  // namespace etchback::copper::eye::detail
