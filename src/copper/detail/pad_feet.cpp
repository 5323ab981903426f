#include "copper/detail/pad_feet.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace etchback::copper::detail {

namespace {

constexpr double reach_mm = 0.5;
constexpr double reach_through_mm = 1.0;

struct Found {
    int island = -1;
    double off_mm = 0.0;
};

// The nearest pixel with copper within `reach` of a place.
Found nearest(const Islands& islands, Side side, Point at, double reach) {
    const std::vector<std::int32_t>& map = islands.map(side);
    const Raster& raster = islands.raster;
    Found found;
    if (map.empty() || raster.px_per_mm <= 0.0) {
        return found;
    }
    const double column = (at.x_mm - raster.origin.x_mm) * raster.px_per_mm - 0.5;
    const double row = (at.y_mm - raster.origin.y_mm) * raster.px_per_mm - 0.5;
    const double reach_px = reach * raster.px_per_mm;
    double best = reach_px * reach_px;
    const auto first = [](double from, double less) {
        return std::max(0, static_cast<int>(std::ceil(std::max(from - less, -1.0))));
    };
    const int last_row = static_cast<int>(
        std::floor(std::min(row + reach_px, static_cast<double>(raster.height) - 1.0)));
    const int last_column = static_cast<int>(
        std::floor(std::min(column + reach_px, static_cast<double>(raster.width) - 1.0)));
    for (int y = first(row, reach_px); y <= last_row; ++y) {
        for (int x = first(column, reach_px); x <= last_column; ++x) {
            const std::int32_t island =
                map[static_cast<std::size_t>(y) * static_cast<std::size_t>(raster.width) +
                    static_cast<std::size_t>(x)];
            const double dx = x - column;
            const double dy = y - row;
            if (island >= 0 && dx * dx + dy * dy < best) {
                best = dx * dx + dy * dy;
                found = {island, std::sqrt(best) / raster.px_per_mm};
            }
        }
    }
    return found;
}

PadFoot foot_of(const Islands& islands, const Pad& pad) {
    if (pad.side) {
        const Found found = nearest(islands, *pad.side, pad.at, reach_mm);
        return {.island = found.island, .other = -1, .off_mm = found.off_mm};
    }
    Found near = nearest(islands, Side::top, pad.at, reach_through_mm);
    Found far = nearest(islands, Side::bottom, pad.at, reach_through_mm);
    if (near.island < 0 || (far.island >= 0 && far.off_mm < near.off_mm)) {
        std::swap(near, far);
    }
    // The copper of the other side belongs to the pin only if it is as near: else a track passes.
    const bool both = far.island >= 0 && far.off_mm < near.off_mm + 0.25;
    return {.island = near.island, .other = both ? far.island : -1, .off_mm = near.off_mm};
}

}  // namespace

std::vector<PadFoot> feet_of(const Islands& islands, const std::vector<Pad>& pads) {
    std::vector<PadFoot> feet;
    feet.reserve(pads.size());
    for (const Pad& pad : pads) {
        feet.push_back(foot_of(islands, pad));
    }
    return feet;
}

std::string words_of(Point at) {
    return fmt::format("({:.1f}, {:.1f}) mm", at.x_mm, at.y_mm);
}

std::string name_of(const Pad& pad) {
    return pad.part.empty() ? "the point at " + words_of(pad.at) : pad.part + "." + pad.pin;
}

}  // namespace etchback::copper::detail
