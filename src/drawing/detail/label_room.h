// Where a part's name and value stand: room that is kept free from the start, so that labels never
// collide with anything.
#pragma once

#include <string>
#include <vector>

#include "drawing/drawing.h"

namespace etchback::drawing::detail {

constexpr double label_size = 1.0;
constexpr double net_label_size = 0.85;

// A label next to a symbol, still relative to the symbol's origin.
struct LabelRoom {
    Label::Of of = Label::Of::part_name;
    std::string text;
    Point at;
    Word::Anchor anchor = Word::Anchor::start;
    double size = label_size;
    Box box;
};

Label label_of(const LabelRoom& room, int index, Point origin);

// The value as people write it beside a symbol: "4k7", "10µ 400 V", "2N60". May be empty.
struct ValueStyle {
    bool tolerance = false;  // "4k7 ±5 %"
    bool doubt = false;      // "4k7?" where it is assumed or may be another
};
std::string value_text(const circuit::Part& part, const ValueStyle& style = {});

// Room for both texts. `other_side` asks for the second-best place (left for right, below for
// above); `astride` keeps the middle free for the isolation line.
std::vector<LabelRoom> label_rooms(const Symbol& oriented,
                                   const std::string& name,
                                   const std::string& value,
                                   bool other_side,
                                   bool astride);

inline Box moved(const Box& box, Point by) {
    return {box.left + by.x, box.top + by.y, box.right + by.x, box.bottom + by.y};
}
inline Box grown(const Box& box, double by) {
    return {box.left - by, box.top - by, box.right + by, box.bottom + by};
}
inline Box joined(const Box& a, const Box& b) {
    return {a.left < b.left ? a.left : b.left,
            a.top < b.top ? a.top : b.top,
            a.right > b.right ? a.right : b.right,
            a.bottom > b.bottom ? a.bottom : b.bottom};
}

}  // namespace etchback::drawing::detail
