// An SVG as a picture that can be drawn at any size.
#pragma once

#include <string_view>

#include "base/error.h"
#include "render/plugin/interface.h"
#include "render/plugin/owned.h"

namespace etchback::render::plugin {

struct Picture {
    Svg svg;
    double width_px = 0.0;
    double height_px = 0.0;
};

base::Result<std::shared_ptr<const Picture>> read_picture(std::string_view svg);

// Draws the whole picture with its top left corner at x, y. False if librsvg gives up.
bool draw_picture(cairo_t* canvas, const Picture& picture, double x, double y, double scale);

bool to_png(std::string_view svg, int width_px, Answer& answer);
bool to_pdf(const std::vector<std::string>& svgs, Answer& answer);

}  // namespace etchback::render::plugin
