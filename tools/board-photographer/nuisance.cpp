#include "board-photographer/nuisance.h"

#include <algorithm>
#include <array>

#include "board-photographer/random.h"

namespace etchback::photographer {

Nuisance studio() {
    Nuisance n;
    n.distance_mm = 400.0;
    n.light_near = 0.0;
    n.light_hard = 0.1;
    n.light_low = 0.2;
    n.vignetting = 0.05;
    n.defocus_px = 0.5;
    n.noise = 0.5;
    n.sharpening = 0.0;
    n.jpeg_quality = 95;
    n.dirt = n.flux = n.scratches = n.tarnish = 0.0;
    n.background = Background::grey;
    return n;
}

Nuisance random_nuisance(std::uint64_t seed, double cruelty) {
    Random random(seed ^ 0x5EEDULL << 32);
    const double c = std::clamp(cruelty, 0.0, 1.0);
    const auto up_to = [&](double most) { return random.between(0.0, most) * (0.3 + 0.7 * c); };
    Nuisance n;
    n.seed = seed;
    n.fill = random.between(0.72, 0.92);
    n.distance_mm = random.between(260.0 - 120.0 * c, 360.0);
    n.tilt_deg = up_to(12.0);
    n.tilt_towards_deg = random.between(0.0, 360.0);
    n.turn_deg = random.normal() * 6.0 * (0.3 + c);
    if (random.chance(0.25)) {
        n.turn_deg += 90.0 * random.whole(1, 3);
    }
    n.turned = random.chance(0.5) ? Turned::about_vertical : Turned::about_horizontal;
    n.off_centre = random.between(-0.6, 0.6);
    n.k1 = random.between(-0.06, 0.04) * (0.3 + c);
    n.k2 = random.between(-0.01, 0.02) * (0.3 + c);
    n.defocus_px = 0.6 + up_to(1.6);
    n.motion_px = random.chance(0.4) ? up_to(4.0) : 0.0;
    n.motion_towards_deg = random.between(0.0, 180.0);
    n.vignetting = up_to(0.5);
    n.light_near = up_to(0.9);
    n.light_hard = random.between(0.15, 0.4 + 0.55 * c);
    n.light_from_deg = random.between(0.0, 360.0);
    n.light_low = random.between(0.1, 0.4 + 0.4 * c);
    n.glare = random.chance(0.2 + 0.3 * c) ? up_to(1.0) : 0.0;
    n.exposure_ev = random.normal() * 0.3 * c;
    n.warmth = random.normal() * 0.4 * c;
    n.noise = 0.8 + up_to(5.0);
    n.sharpening = random.between(0.0, 0.9);
    n.jpeg_quality = random.whole(static_cast<int>(90 - 25 * c), 95);
    n.see_through = random.between(0.2, 0.9);
    n.mask_contrast = random.between(1.0 - 0.5 * c, 1.2);
    n.dirt = up_to(0.8);
    n.flux = up_to(0.9);
    n.scratches = up_to(0.8);
    n.tarnish = up_to(0.8);
    constexpr std::array grounds = {
        Background::paper, Background::wood, Background::cloth, Background::grey, Background::dark};
    n.background = grounds[static_cast<std::size_t>(random.whole(0, 4))];
    return n;
}

}  // namespace etchback::photographer
