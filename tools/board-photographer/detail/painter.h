// Polygons with soft edges into a photo in linear light.
#pragma once

#include <opencv2/core/mat.hpp>
#include <vector>

#include "board-photographer/detail/colours.h"

namespace etchback::photographer {

class Painter {
public:
    Painter(cv::Mat& photo, cv::Mat& covered) : photo_(photo), covered_(covered) {}

    void polygon(const std::vector<cv::Point2d>& corners,
                 const Colour& colour,
                 float alpha = 1.0F,
                 bool covers = true);
    // A line of even width with round ends.
    void line(const std::vector<cv::Point2d>& along,
              double width_px,
              const Colour& colour,
              float alpha = 1.0F,
              bool covers = true);

private:
    void blend(const cv::Mat& mask, cv::Rect where, const Colour& colour, float alpha, bool covers);

    cv::Mat& photo_;
    cv::Mat& covered_;
};

}  // namespace etchback::photographer
