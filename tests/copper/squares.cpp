#include "copper/squares.h"

namespace etchback::copper {

namespace {

constexpr double px_per_mm = 10.0;
constexpr double step_mm = 2.0;

}  // namespace

Squares::Squares(int count, int on_bottom) : top_(count) {
    const int longest = std::max(count, on_bottom);
    Raster& raster = islands.raster;
    raster = {static_cast<int>(longest * step_mm * px_per_mm),
              static_cast<int>(step_mm * px_per_mm),
              px_per_mm,
              {0.0, 0.0}};
    islands.top.assign(raster.size(), -1);
    islands.bottom.assign(raster.size(), -1);
    for (int i = 0; i < count + on_bottom; ++i) {
        const bool top = i < count;
        Island island;
        island.side = top ? Side::top : Side::bottom;
        const Point at = middle(i);
        island.inside = at;
        island.area_mm2 = 1.0;
        island.shape.outer = {{at.x_mm - 0.5, at.y_mm - 0.5},
                              {at.x_mm + 0.5, at.y_mm - 0.5},
                              {at.x_mm + 0.5, at.y_mm + 0.5},
                              {at.x_mm - 0.5, at.y_mm + 0.5}};
        islands.islands.push_back(island);
        auto& map = top ? islands.top : islands.bottom;
        for (int y = 5; y < 15; ++y) {
            for (int x = 5; x < 15; ++x) {
                const int column = (top ? i : i - count) * 20 + x;
                map[static_cast<std::size_t>(y * raster.width + column)] = i;
            }
        }
    }
}

Point Squares::middle(int island) const {
    const int place = island < top_ ? island : island - top_;
    return {place * step_mm + 1.0, 1.0};
}

int Squares::join(int a, int b, double joined, Joint::Kind kind) {
    const Point at = {(middle(a).x_mm + middle(b).x_mm) / 2, 1.0};
    islands.joints.push_back({.kind = kind,
                              .a = a,
                              .b = b,
                              .joined = joined,
                              .at = at,
                              .width_mm = 0.1,
                              .path = {},
                              .below_part = false,
                              .why = "a test"});
    return static_cast<int>(islands.joints.size()) - 1;
}

std::size_t Squares::pad(int island) {
    const std::string number = std::to_string(pads.size() + 1);
    pads.push_back({"P" + number, "1", middle(island), island < top_ ? Side::top : Side::bottom});
    return pads.size() - 1;
}

void Squares::beep(std::size_t a, std::size_t b, bool beeps) {
    checks.push_back({.a = a, .b = b, .beeps = beeps, .words = {}});
}

}  // namespace etchback::copper
