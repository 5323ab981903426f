// Everything between a board and its photograph that makes the photograph worse, each with a knob.
#pragma once

#include <cstdint>
#include <string>

#include "board-photographer/camera.h"

namespace etchback::photographer {

enum class Background { paper, wood, cloth, grey, dark };

struct Nuisance {
    std::uint64_t seed = 1;  // of everything random in the picture
    // The camera.
    cv::Size size = {4000, 3000};
    double fill = 0.8;           // board's share of the picture, along the tighter side
    double distance_mm = 220.0;  // from the lens; near is strong perspective
    double tilt_deg = 0.0;
    double tilt_towards_deg = 0.0;
    double turn_deg = 0.0;  // of the board in the picture
    Turned turned = Turned::about_vertical;
    double off_centre = 0.0;  // share of the free margin
    double k1 = 0.0;          // lens distortion; see View
    double k2 = 0.0;
    double defocus_px = 0.6;  // standard deviation
    double motion_px = 0.0;
    double motion_towards_deg = 0.0;
    double vignetting = 0.2;  // light lost in the corners
    // Light.
    double light_near = 0.3;  // 0: far away, even; 1: a lamp close by, strong fall-off
    double light_hard = 0.5;  // 0: soft light from everywhere; 1: one lamp, hard shadows
    double light_from_deg = 220.0;
    double light_low = 0.4;  // 0: from above; 1: grazing
    double glare = 0.0;      // a lamp that the mask mirrors into the lens
    double exposure_ev = 0.0;
    double warmth = 0.0;  // white balance error: -1 blue ... 1 orange
    // Sensor and file.
    double noise = 1.5;       // standard deviation at mid grey, in steps of 256
    double sharpening = 0.4;  // as cameras do it, with halos
    int jpeg_quality = 90;
    // The board's condition.
    double see_through = 0.5;    // of the laminate
    double mask_contrast = 1.0;  // 1: copper shows well through the mask; 0: by its relief only
    double dirt = 0.2;           // dust and fibres
    double flux = 0.3;           // stains around joints
    double scratches = 0.2;
    double tarnish = 0.2;  // of bare copper and solder
    Background background = Background::paper;
};

// A tripod, soft light, a clean board.
Nuisance studio();

// A picture taken by hand. `cruelty` 0: as a careful person takes it; 1: about as bad as people
// send.
Nuisance random_nuisance(std::uint64_t seed, double cruelty = 0.5);

}  // namespace etchback::photographer
