// Words set in lines: Pango with fixed fonts and without hinting, so that every machine breaks
// lines alike.
#pragma once

#include <string_view>
#include <vector>

#include "render/paper.h"
#include "render/plugin/owned.h"

namespace etchback::render::plugin {

struct Colour {
    double red = 0.0, green = 0.0, blue = 0.0;
};

struct TextStyle {
    double size_pt = 9.5;
    bool bold = false;
    double line_spacing = 1.32;
    Colour colour{0.10, 0.11, 0.13};
};

// One line of a text: where it stands below the top of the text, in points.
struct Line {
    int index = 0;
    double top = 0.0;
    double baseline = 0.0;
    double bottom = 0.0;
};

struct Text {
    Layout layout;
    std::vector<Line> lines;
    double width = 0.0;  // of the longest line
    double height = 0.0;
    Colour colour;
};

class Typesetter {
public:
    Typesetter();

    // Breaks `spans` into lines no longer than `width_pt`; a word longer than a line is broken.
    Text set(const std::vector<Span>& spans, const TextStyle& style, double width_pt) const;
    Text set(std::string_view text, const TextStyle& style, double width_pt) const;

private:
    FontMap fonts_;
    Context context_;
};

// Draws one line of `text` whose baseline starts at x, y.
void draw_line(cairo_t* canvas, const Text& text, int index, double x, double y);

}  // namespace etchback::render::plugin
