// Draws a symbol stroke by stroke.
#pragma once

#include <initializer_list>
#include <string>
#include <string_view>

#include "drawing/symbol.h"

namespace etchback::drawing::detail {

class Pen {
public:
    explicit Pen(std::string id) { symbol_.id = std::move(id); }

    Pen& line(std::initializer_list<Point> points);
    Pen& shape(std::initializer_list<Point> points, bool filled = false);  // closed
    Pen& rect(Box box, bool filled = false);
    Pen& circle(Point centre, double radius, bool filled = false);
    // Part of a circle; `clockwise` as seen on the page.
    Pen& arc(Point from, Point to, double radius, bool clockwise);
    // Half circles in a row from `from` to `to` (along one axis), bulging to the left of the way.
    Pen& humps(Point from, Point to, int count);
    // A line whose end carries a filled arrow head.
    Pen& arrow(Point from, Point to, double head = 0.6);
    Pen& plus(Point centre);
    Pen& minus(Point centre);  // a word, since a bar would not stay level when turned
    Pen& path(std::string data, bool filled = false);
    Pen& word(std::string_view text, Point at, Word::Anchor anchor, double size = 0.9);
    // `pin` is the index into Part::pins.
    Pen& pin(int pin, Point at, Direction facing);
    Pen& upright();

    // The symbol with its box.
    Symbol done();

private:
    Symbol symbol_;
};

// Of strokes, pins and words.
Box box_of(const Symbol& symbol);

}  // namespace etchback::drawing::detail
