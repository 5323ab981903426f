// Shapes in mm into rasters of pixels. Everything is drawn to a sixteenth of a pixel.
#pragma once

#include <opencv2/core/mat.hpp>
#include <vector>

#include "board-photographer/layout.h"
#include "board-photographer/shapes.h"

namespace etchback::photographer {

using copper::Raster;

// The raster that covers the board with `margin_mm` around its outline.
Raster raster_of(const BoardShape& board, double px_per_mm, double margin_mm = 0.0);

// Position in OpenCV's pixels, where a pixel's middle is a whole number.
cv::Point2d pixel_of(const Raster& raster, Point p);

// Outlines of shapes, with arcs as polygons.
Polyline ring_of(const Shape& shape, double grow_mm = 0.0);
Polyline circle(Point centre, double radius_mm, int corners = 0);
// A turned rectangle: half sizes along its own axes.
Polyline rectangle(Point centre, double half_x, double half_y, double turn_rad);

// Fills by even-odd rule over all rings at once; `soft`: with anti-aliased edges (cv::LINE_AA).
void fill(cv::Mat& mask,
          const Raster& raster,
          const std::vector<Polyline>& rings,
          double value,
          bool soft);
void fill(cv::Mat& mask, const Raster& raster, const Polyline& ring, double value, bool soft);
void fill_line(cv::Mat& mask,
               const Raster& raster,
               const Polyline& along,
               double width_mm,
               double value,
               bool soft);

}  // namespace etchback::photographer
