// Parts as solids: where they stand in the scene, their shadows, and drawing them into a photo.
#pragma once

#include <opencv2/core/mat.hpp>
#include <vector>

#include "board-photographer/bodies.h"
#include "board-photographer/camera.h"
#include "board-photographer/detail/lamps.h"
#include "board-photographer/layout.h"

namespace etchback::photographer {

// The upright prism that a part fills: good enough for its shadow.
struct Prism {
    Polyline ring;  // on the board
    double from_mm = 0.0;
    double to_mm = 0.0;
};
std::vector<Prism> prisms_of(const Layout& layout, Side side);

// The hull of a prism's shadow on the plane `height_mm` of the side, in the frame of the board.
Polyline shadow_of(const Prism& prism, const Lamp& lamp, const Camera& camera, double height_mm);

// Draws the wires of the other side, before the board is laid over them.
void draw_wires_below(const Layout& layout,
                      Side side,
                      const Camera& camera,
                      const Lighting& lighting,
                      cv::Mat& photo,
                      cv::Mat& covered);

// Draws all parts of a side over a photo in linear light (CV_32FC3); marks them in `covered`.
void draw_parts(const Layout& layout,
                Side side,
                const Camera& camera,
                const Lighting& lighting,
                cv::Mat& photo,
                cv::Mat& covered);

}  // namespace etchback::photographer
