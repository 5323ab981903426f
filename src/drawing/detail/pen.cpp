#include "drawing/detail/pen.h"

#include <cmath>

#include "drawing/detail/path.h"

namespace etchback::drawing::detail {
namespace {

std::string joined(std::initializer_list<Point> points) {
    std::string data;
    for (const Point& point : points) {
        data += data.empty() ? "M" : "L";
        data += number(point.x) + " " + number(point.y);
    }
    return data;
}

std::string arc_to(Point to, double radius, bool clockwise) {
    const std::string r = number(radius);
    return "A" + r + " " + r + " 0 0 " + (clockwise ? "1 " : "0 ") + number(to.x) + " " +
           number(to.y);
}

}  // namespace

Pen& Pen::path(std::string data, bool filled) {
    symbol_.strokes.push_back({std::move(data), filled});
    return *this;
}

Pen& Pen::line(std::initializer_list<Point> points) {
    return path(joined(points));
}

Pen& Pen::shape(std::initializer_list<Point> points, bool filled) {
    return path(joined(points) + "Z", filled);
}

Pen& Pen::rect(Box box, bool filled) {
    return shape({{box.left, box.top},
                  {box.right, box.top},
                  {box.right, box.bottom},
                  {box.left, box.bottom}},
                 filled);
}

Pen& Pen::circle(Point centre, double radius, bool filled) {
    const Point left{centre.x - radius, centre.y}, right{centre.x + radius, centre.y};
    return path(joined({left}) + arc_to(right, radius, true) + arc_to(left, radius, true) + "Z",
                filled);
}

Pen& Pen::arc(Point from, Point to, double radius, bool clockwise) {
    return path(joined({from}) + arc_to(to, radius, clockwise));
}

Pen& Pen::humps(Point from, Point to, int count) {
    std::string data = joined({from});
    const double dx = (to.x - from.x) / count, dy = (to.y - from.y) / count;
    const double radius = std::hypot(dx, dy) / 2;
    for (int i = 1; i <= count; ++i) {
        data += arc_to({from.x + i * dx, from.y + i * dy}, radius, true);
    }
    return path(std::move(data));
}

Pen& Pen::arrow(Point from, Point to, double head) {
    const double length = std::hypot(to.x - from.x, to.y - from.y);
    const double ux = (to.x - from.x) / length, uy = (to.y - from.y) / length;
    const Point neck{to.x - head * ux, to.y - head * uy};
    const double half = head * 0.38;
    line({from, neck});
    return shape(
        {to, {neck.x - half * uy, neck.y + half * ux}, {neck.x + half * uy, neck.y - half * ux}},
        true);
}

Pen& Pen::plus(Point centre) {
    constexpr double half = 0.3;
    line({{centre.x - half, centre.y}, {centre.x + half, centre.y}});
    return line({{centre.x, centre.y - half}, {centre.x, centre.y + half}});
}

Pen& Pen::minus(Point centre) {
    return word("−", {centre.x, centre.y + 0.42}, Word::Anchor::middle, 1.25);
}

Pen& Pen::word(std::string_view text, Point at, Word::Anchor anchor, double size) {
    symbol_.words.push_back({std::string(text), at, anchor, size});
    return *this;
}

Pen& Pen::pin(int pin, Point at, Direction facing) {
    symbol_.pins.push_back({pin, at, facing});
    return *this;
}

Pen& Pen::upright() {
    symbol_.upright = true;
    return *this;
}

Symbol Pen::done() {
    symbol_.box = box_of(symbol_);
    return symbol_;
}

Box box_of(const Symbol& symbol) {
    Box box = empty_box;
    for (const Stroke& stroke : symbol.strokes) {
        include(box, parse_path(stroke.path));
    }
    for (const SymbolPin& pin : symbol.pins) {
        include(box, pin.at);
    }
    for (const Word& word : symbol.words) {
        include(box, text_box(word.text, word.at, word.anchor, word.size));
    }
    return box;
}

}  // namespace etchback::drawing::detail
