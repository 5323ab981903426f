// Colours of materials, in linear light, blue-green-red, 1 = a white sheet.
#pragma once

#include <opencv2/core.hpp>
#include <string_view>

#include "board-photographer/layout.h"

namespace etchback::photographer {

using Colour = cv::Vec3f;

// From the usual 0..255 of screens (sRGB, IEC 61966-2-1).
Colour srgb(double red, double green, double blue);
inline Colour mix(const Colour& a, const Colour& b, float share) {
    return a * (1.0F - share) + b * share;
}

struct MaskColours {
    Colour over_copper;
    Colour over_laminate;
    bool any = true;  // false: no mask
};
MaskColours colours_of(Mask mask);
Colour colour_of(Laminate laminate);
Colour colour_of(Finish finish);
// Letters: white, or black where that would not show.
Colour legend_colour(Mask mask);
// Of parts: "beige", "dark green" ... unknown names are grey.
Colour named_colour(std::string_view name);

}  // namespace etchback::photographer
