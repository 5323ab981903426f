// Lamps over the board, in the scene of the camera (camera.h): z towards the lens.
#pragma once

#include <opencv2/core.hpp>
#include <vector>

#include "board-photographer/camera.h"
#include "board-photographer/detail/colours.h"
#include "board-photographer/nuisance.h"

namespace etchback::photographer {

struct Lamp {
    cv::Vec3d at;
    Colour colour;          // light on a sheet that faces it in the middle of the board
    float blinding = 0;     // brightness of the lamp itself, as a mirror would show it
    float softness = 0.1F;  // its size as seen from the board: tangent of the half angle
    bool casts_shadows = true;
};

struct Lighting {
    Colour ambient;
    std::vector<Lamp> lamps;
    // Patches of the room that shiny things mirror.
    std::vector<std::pair<cv::Vec3d, float>> room;

    // Light of a lamp at a place, for a sheet that faces it.
    static float fall_off(const Lamp& lamp, const cv::Vec3d& place);
};

Lighting lighting_of(const Nuisance& nuisance, const Camera& camera, double board_mm);

}  // namespace etchback::photographer
