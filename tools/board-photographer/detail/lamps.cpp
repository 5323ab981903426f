#include "board-photographer/detail/lamps.h"

#include <cmath>
#include <numbers>

#include "board-photographer/random.h"

namespace etchback::photographer {
namespace {

cv::Vec3d direction(double azimuth_deg, double height_deg) {
    const double a = azimuth_deg * std::numbers::pi / 180.0;
    const double h = height_deg * std::numbers::pi / 180.0;
    return {std::cos(a) * std::cos(h), std::sin(a) * std::cos(h), std::sin(h)};
}

}  // namespace

float Lighting::fall_off(const Lamp& lamp, const cv::Vec3d& place) {
    const cv::Vec3d to = lamp.at - place;
    return static_cast<float>(lamp.at.dot(lamp.at) / to.dot(to));
}

Lighting lighting_of(const Nuisance& nuisance, const Camera& camera, double board_mm) {
    Random random(nuisance.seed * 7 + 3);
    Lighting lighting;
    const float hard = static_cast<float>(nuisance.light_hard);
    const auto warm = [&](double how) { return srgb(255, 250 - 12 * how, 246 - 40 * how); };
    const double far = 2500.0 * std::pow(0.05, nuisance.light_near) + board_mm * 0.4;
    const double height = 72.0 - 52.0 * nuisance.light_low;
    Lamp key;
    key.at = direction(nuisance.light_from_deg, height) * far;
    key.colour = warm(random.unit()) * (0.3F + 0.55F * hard);
    key.blinding = 4.0F + 14.0F * hard;
    key.softness = 0.35F - 0.3F * hard;
    Lamp fill;
    fill.at = direction(nuisance.light_from_deg + random.between(80.0, 200.0), 60.0) * far * 1.4;
    fill.colour = warm(random.unit()) * (0.25F * (1.2F - hard));
    fill.blinding = 3.0F;
    fill.softness = 0.4F;
    lighting.lamps = {key, fill};
    if (nuisance.glare > 0.0) {
        // Where a point of the board mirrors the lens.
        const cv::Vec3d spot(
            random.normal() * board_mm * 0.15, random.normal() * board_mm * 0.12, 0);
        cv::Vec3d to_eye = camera.eye() - spot;
        to_eye /= cv::norm(to_eye);
        Lamp lamp;
        lamp.at = spot + cv::Vec3d(-to_eye[0], -to_eye[1], to_eye[2]) * (300.0 + board_mm);
        lamp.colour = srgb(255, 255, 255) * static_cast<float>(0.15 * nuisance.glare);
        lamp.blinding = static_cast<float>(30.0 * nuisance.glare);
        lamp.casts_shadows = false;
        lighting.lamps.push_back(lamp);
    }
    lighting.ambient = warm(0.3) * (0.5F - 0.3F * hard);
    for (int i = 0; i < 5; ++i) {
        lighting.room.emplace_back(direction(random.between(0, 360), random.between(15, 75)),
                                   static_cast<float>(random.between(0.2, 1.1)));
    }
    return lighting;
}

}  // namespace etchback::photographer
