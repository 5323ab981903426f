#include "board-photographer/detail/colours.h"

#include <array>
#include <cmath>

namespace etchback::photographer {
namespace {

float linear(double step) {
    const double v = step / 255.0;
    return static_cast<float>(v <= 0.04045 ? v / 12.92 : std::pow((v + 0.055) / 1.055, 2.4));
}

struct Named {
    std::string_view name;
    double red, green, blue;
};
constexpr std::array named = {
    Named{"black", 38, 38, 40},      Named{"charcoal", 58, 57, 58},
    Named{"ceramic", 176, 140, 100}, Named{"grey ceramic", 150, 142, 130},
    Named{"beige", 205, 178, 135},   Named{"light blue", 120, 175, 205},
    Named{"grey", 130, 132, 135},    Named{"glass", 190, 200, 195},
    Named{"dark green", 20, 78, 72}, Named{"dark blue", 28, 40, 92},
    Named{"brown", 95, 60, 40},      Named{"blue", 45, 90, 170},
    Named{"orange", 205, 125, 55},   Named{"box yellow", 222, 190, 75},
    Named{"yellow", 228, 196, 60},   Named{"red", 150, 35, 30},
    Named{"green", 45, 130, 75},     Named{"white", 225, 225, 220},
    Named{"violet", 110, 60, 140},   Named{"gold", 190, 150, 60},
    Named{"silver", 185, 187, 190},
};

}  // namespace

Colour srgb(double red, double green, double blue) {
    return {linear(blue), linear(green), linear(red)};
}

MaskColours colours_of(Mask mask) {
    switch (mask) {
        case Mask::green:
            return {srgb(62, 142, 78), srgb(38, 92, 52)};
        case Mask::blue:
            return {srgb(32, 86, 168), srgb(20, 52, 112)};
        case Mask::red:
            return {srgb(186, 52, 44), srgb(134, 28, 26)};
        case Mask::white:
            return {srgb(216, 214, 202), srgb(232, 231, 224)};
        case Mask::black:
            return {srgb(52, 50, 46), srgb(28, 28, 30)};
        case Mask::none:
            break;
    }
    return {srgb(0, 0, 0), srgb(0, 0, 0), false};
}

Colour colour_of(Laminate laminate) {
    return laminate == Laminate::fr4 ? srgb(206, 200, 122) : srgb(176, 128, 78);
}

Colour colour_of(Finish finish) {
    switch (finish) {
        case Finish::tin:
            return srgb(186, 186, 184);
        case Finish::copper:
            return srgb(198, 132, 96);
        case Finish::gold:
            return srgb(222, 186, 106);
    }
    return srgb(186, 186, 184);
}

Colour legend_colour(Mask mask) {
    return mask == Mask::white || mask == Mask::none ? srgb(40, 40, 42) : srgb(232, 232, 226);
}

Colour named_colour(std::string_view name) {
    for (const Named& colour : named) {
        if (colour.name == name) {
            return srgb(colour.red, colour.green, colour.blue);
        }
    }
    return srgb(128, 128, 128);
}

}  // namespace etchback::photographer
