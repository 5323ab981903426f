#include "board-photographer/detail/shade.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "board-photographer/detail/forms.h"
#include "board-photographer/detail/texture.h"
#include "board-photographer/draw.h"
#include "board-photographer/random.h"

namespace etchback::photographer {
namespace {

// What one point is made of.
struct Matter {
    Colour diffuse;
    Colour mirror;       // share of light that is mirrored, by colour
    float rough = 0.1F;  // of the mirror: standard deviation of its slopes
};

// Colours of this board: every maker's batch is a little different.
struct Palette {
    Colour mask_copper, mask_laminate, laminate, metal, legend, flux;
    Colour glow;  // how the other side's copper tints the laminate
    bool masked = true;
};

Palette palette_of(const Layout& layout, Side side, const Nuisance& nuisance) {
    // By the board's name, so that both sides match.
    std::uint64_t hash = 1469598103934665603ULL;
    for (const char c : layout.name) {
        hash = (hash ^ static_cast<unsigned char>(c)) * 1099511628211ULL;
    }
    Random random(hash);
    const auto vary = [&](const Colour& colour) {
        Colour varied = colour;
        const double all = random.between(0.85, 1.12);
        for (int i = 0; i < 3; ++i) {
            varied[i] *= static_cast<float>(all * random.between(0.96, 1.04));
        }
        return varied;
    };
    const MaskColours mask = colours_of(layout.board.mask);
    Palette palette;
    palette.masked = mask.any && (side == Side::bottom || layout.board.sides == 2);
    const double shade = random.between(0.85, 1.15);
    palette.mask_laminate = vary(mask.over_laminate);
    palette.mask_copper =
        palette.mask_laminate + (mask.over_copper - mask.over_laminate) *
                                    static_cast<float>(shade * nuisance.mask_contrast);
    palette.laminate = vary(colour_of(layout.board.laminate));
    palette.metal = mix(colour_of(layout.board.finish),
                        srgb(120, 96, 70),
                        static_cast<float>(0.6 * nuisance.tarnish));
    palette.legend = legend_colour(palette.masked ? layout.board.mask : Mask::none);
    palette.flux = srgb(190, 140, 60);
    const float through = static_cast<float>(nuisance.see_through);
    palette.glow = palette.masked ? Colour(1, 1, 1) - Colour(0.30F, 0.24F, 0.16F) * through
                                  : Colour(1, 1, 1) - Colour(0.62F, 0.50F, 0.15F) * through;
    return palette;
}

struct PointMaps {
    float copper, open, solder, legend, opposite, flux, dust, scratch, patch;
};

Matter matter_at(const PointMaps& at, const Palette& palette, const Nuisance& nuisance) {
    const Colour glow = mix(Colour(1, 1, 1), palette.glow, at.opposite * (1.0F - at.copper));
    const Colour below = mix(palette.mask_laminate.mul(glow), palette.mask_copper, at.copper);
    Matter covered{below * 0.9F, Colour::all(0.03F), 0.11F};
    const float worn =
        static_cast<float>(nuisance.tarnish) * std::clamp(0.5F + 0.5F * at.patch, 0.0F, 1.0F);
    Matter metal{palette.metal * (0.50F - 0.2F * worn),
                 palette.metal * (0.5F - 0.3F * worn),
                 0.22F + 0.2F * worn};
    const Matter laminate{palette.laminate.mul(glow), Colour::all(0.03F), 0.25F};
    const auto blend = [](const Matter& a, const Matter& b, float share) {
        return Matter{mix(a.diffuse, b.diffuse, share),
                      mix(a.mirror, b.mirror, share),
                      a.rough + (b.rough - a.rough) * share};
    };
    Matter matter = blend(covered, blend(laminate, metal, at.copper), at.open);
    const float dull = static_cast<float>(nuisance.tarnish);
    const Matter solder{
        Colour::all(0.05F + 0.12F * dull), Colour::all(0.62F - 0.22F * dull), 0.07F + 0.12F * dull};
    matter = blend(matter, solder, at.solder);
    matter = blend(matter, {palette.legend, Colour::all(0.03F), 0.3F}, at.legend * 0.94F);
    // A scratch lays bare what is lighter: chipped mask, bright metal.
    matter = blend(matter,
                   {matter.diffuse * 1.5F + Colour::all(0.05F), Colour::all(0.1F), 0.3F},
                   at.scratch * 0.6F);
    matter.diffuse = mix(matter.diffuse, matter.diffuse.mul(palette.flux) * 1.05F, at.flux * 0.7F);
    matter.mirror = mix(matter.mirror, Colour::all(0.05F), at.flux * 0.5F);
    return blend(matter, {srgb(170, 165, 155), Colour::all(0.02F), 0.4F}, at.dust * 0.8F);
}

// One shadow map for each lamp, at a quarter of the raster's pixels each way: CV_8U, 255 = lit.
std::vector<cv::Mat> shadows_of(const Layout& layout,
                                Side side,
                                const SideMaps& maps,
                                const Camera& camera,
                                const Lighting& lighting) {
    Raster small = maps.raster;
    small.px_per_mm /= 4.0;
    small.width = (maps.raster.width + 3) / 4;
    small.height = (maps.raster.height + 3) / 4;
    std::vector<cv::Mat> all;
    const std::vector<Prism> prisms = prisms_of(layout, side);
    for (const Lamp& lamp : lighting.lamps) {
        cv::Mat lit(small.height, small.width, CV_8U, cv::Scalar::all(255));
        if (lamp.casts_shadows) {
            for (const Prism& prism : prisms) {
                cv::Mat one(lit.size(), CV_8U, cv::Scalar::all(255));
                fill(one, small, shadow_of(prism, lamp, camera, 0.0), 0, true);
                const double sigma = (0.08 + prism.to_mm * lamp.softness * 0.5) * small.px_per_mm;
                cv::GaussianBlur(one, one, {}, std::max(0.5, sigma));
                cv::min(lit, one, lit);
            }
        }
        all.push_back(lit);
    }
    return all;
}

// Less light from the room close to tall parts.
cv::Mat occlusion_of(const Layout& layout, Side side, const SideMaps& maps) {
    Raster small = maps.raster;
    small.px_per_mm /= 4.0;
    small.width = (maps.raster.width + 3) / 4;
    small.height = (maps.raster.height + 3) / 4;
    cv::Mat open(small.height, small.width, CV_32F, cv::Scalar::all(1.0));
    for (const Prism& prism : prisms_of(layout, side)) {
        cv::Mat one(open.size(), CV_8U, cv::Scalar::all(0));
        fill(one, small, prism.ring, 255, true);
        const double reach = (0.3 + prism.to_mm * 0.25) * small.px_per_mm;
        cv::GaussianBlur(one, one, {}, std::max(0.5, reach));
        cv::Mat factor;
        one.convertTo(factor, CV_32F, -0.75 / 255.0, 1.0);
        open = open.mul(factor);
    }
    return open;
}

// The camera and who holds it are dark and stand in the light: 1 where a mirror shows them.
float person_in(const cv::Vec3f& r, const cv::Vec3f& to_eye) {
    return std::clamp((r.dot(to_eye) - 0.9F) / 0.08F, 0.0F, 1.0F);
}

// What a mirror shows in a direction (unit vector, scene).
float room_light(const Lighting& lighting, const cv::Vec3f& r, const cv::Vec3f& to_eye) {
    float light = r[2] > 0.0F ? 0.08F + 0.3F * r[2] * r[2] : 0.05F;
    for (const auto& [direction, strength] : lighting.room) {
        const float along = static_cast<float>(direction[0]) * r[0] +
                            static_cast<float>(direction[1]) * r[1] +
                            static_cast<float>(direction[2]) * r[2];
        if (along > 0.6F) {
            const float a2 = along * along;
            const float a4 = a2 * a2;
            light += strength * a4 * a4 * a2;
        }
    }
    return light * (1.0F - 0.65F * person_in(r, to_eye));
}

}  // namespace

cv::Mat shade(const Layout& layout,
              Side side,
              const SideMaps& maps,
              const Camera& camera,
              const Lighting& lighting,
              const Nuisance& nuisance) {
    const Palette palette = palette_of(layout, side, nuisance);
    const std::vector<cv::Mat> shadows = shadows_of(layout, side, maps, camera, lighting);
    const cv::Mat open_sky = occlusion_of(layout, side, maps);
    Random random(nuisance.seed * 11 + 5);
    const cv::Mat patches = smooth_noise(maps.board.size(), maps.raster.px_per_mm * 3.0, random);
    const int width = maps.raster.width;
    const int height = maps.raster.height;
    const float px_per_mm = static_cast<float>(maps.raster.px_per_mm);
    const cv::Vec3d eye = camera.eye();
    // The slope in the frame of the board becomes one in the scene.
    const cv::Vec3d unit_x =
        camera.scene({camera.view().centre.x_mm + 1.0, camera.view().centre.y_mm});
    const cv::Vec3d unit_y =
        camera.scene({camera.view().centre.x_mm, camera.view().centre.y_mm + 1.0});
    const float flip_x = static_cast<float>(unit_x[0]);
    const float flip_y = static_cast<float>(unit_y[1]);
    cv::Mat out = cv::Mat::zeros(height, width, CV_32FC4);
    for (int y = 1; y + 1 < height; ++y) {
        const float* above = maps.height.ptr<float>(y - 1);
        const float* here = maps.height.ptr<float>(y);
        const float* under = maps.height.ptr<float>(y + 1);
        auto* row = out.ptr<cv::Vec4f>(y);
        for (int x = 1; x + 1 < width; ++x) {
            const float coverage = maps.board.at<uchar>(y, x) / 255.0F;
            if (coverage <= 0.0F) {
                continue;
            }
            const auto map = [&](const cv::Mat& m) { return m.at<uchar>(y, x) / 255.0F; };
            const PointMaps at{map(maps.copper),
                               map(maps.open),
                               map(maps.solder),
                               map(maps.legend),
                               map(maps.opposite),
                               map(maps.flux),
                               map(maps.dust),
                               map(maps.scratch),
                               patches.at<float>(y, x)};
            const Matter matter = matter_at(at, palette, nuisance);
            cv::Vec3f normal(-flip_x * (here[x + 1] - here[x - 1]) * 0.5F * px_per_mm,
                             -flip_y * (under[x] - above[x]) * 0.5F * px_per_mm,
                             1.0F);
            normal /= std::sqrt(normal.dot(normal));
            const Point board = {maps.raster.origin.x_mm + (x + 0.5) / maps.raster.px_per_mm,
                                 maps.raster.origin.y_mm + (y + 0.5) / maps.raster.px_per_mm};
            const cv::Vec3d place = camera.scene(board);
            cv::Vec3f view(static_cast<float>(eye[0] - place[0]),
                           static_cast<float>(eye[1] - place[1]),
                           static_cast<float>(eye[2]));
            view /= std::sqrt(view.dot(view));
            const cv::Vec3f mirrored = normal * (2.0F * normal.dot(view)) - view;
            const int sx = std::min(x / 4, open_sky.cols - 1);
            const int sy = std::min(y / 4, open_sky.rows - 1);
            const float sky = open_sky.at<float>(sy, sx);
            Colour light = matter.diffuse.mul(lighting.ambient) * sky;
            light += matter.mirror * (room_light(lighting, mirrored, view) * sky);
            for (std::size_t i = 0; i < lighting.lamps.size(); ++i) {
                const Lamp& lamp = lighting.lamps[i];
                cv::Vec3f to(static_cast<float>(lamp.at[0] - place[0]),
                             static_cast<float>(lamp.at[1] - place[1]),
                             static_cast<float>(lamp.at[2]));
                const float d2 = to.dot(to);
                to /= std::sqrt(d2);
                const float fall = static_cast<float>(lamp.at.dot(lamp.at)) / d2;
                const float lit = shadows[i].at<uchar>(sy, sx) / 255.0F * fall;
                light += matter.diffuse.mul(lamp.colour) * (std::max(0.0F, normal.dot(to)) * lit);
                // A lamp of its own size in a mirror of this roughness.
                const float cosine = mirrored.dot(to);
                const float spread =
                    matter.rough * matter.rough * 4.0F + lamp.softness * lamp.softness * 0.5F;
                const float off = 2.0F * (1.0F - cosine) / (2.0F * spread);
                if (off < 8.0F) {
                    const float peak = lamp.blinding * 0.06F / (0.012F + spread);
                    const float free =
                        lamp.casts_shadows ? 1.0F - 0.8F * person_in(mirrored, view) : 1.0F;
                    light += matter.mirror * (peak * std::exp(-off) * lit * free);
                }
            }
            row[x] = {light[0] * coverage, light[1] * coverage, light[2] * coverage, coverage};
        }
    }
    return out;
}

}  // namespace etchback::photographer
