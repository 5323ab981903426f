#include <cmath>

#include "drawing/detail/path.h"
#include "drawing/detail/pen.h"
#include "drawing/symbol.h"

namespace etchback::drawing {
namespace {

// A word set on its side is as wide as it was high. So that it does not run into what it stood
// beside, the edge that was nearer to the symbol's axis keeps its distance.
double kept_off(double centre, double old_half, double new_half) {
    if (std::abs(centre) <= old_half) {
        return centre;  // it sits astride the axis
    }
    return std::copysign(std::abs(centre) - old_half + new_half, centre);
}

Word turned(const Word& word, const Orientation& orientation) {
    const Box box = text_box(word.text, word.at, word.anchor, word.size);
    const double half_width = (box.right - box.left) / 2;
    const double half_height = (box.bottom - box.top) / 2;
    Point centre =
        detail::turned(Point{(box.left + box.right) / 2, (box.top + box.bottom) / 2}, orientation);
    Word result = word;
    if (orientation.quarter_turns & 1) {
        centre.x = kept_off(centre.x, half_height, half_width);
        centre.y = kept_off(centre.y, half_width, half_height);
        result.anchor = Word::Anchor::middle;
    } else if (((orientation.quarter_turns & 2) != 0) != orientation.mirrored &&
               word.anchor != Word::Anchor::middle) {
        result.anchor =
            word.anchor == Word::Anchor::start ? Word::Anchor::end : Word::Anchor::start;
    }
    const double to_anchor = result.anchor == Word::Anchor::start    ? -half_width
                             : result.anchor == Word::Anchor::middle ? 0.0
                                                                     : half_width;
    result.at = {centre.x + to_anchor, centre.y + half_height - text_descent * word.size};
    return result;
}

}  // namespace

Symbol oriented(const Symbol& symbol, const Orientation& orientation) {
    if ((orientation.quarter_turns & 3) == 0 && !orientation.mirrored) {
        return symbol;
    }
    Symbol result = symbol;
    for (SymbolPin& pin : result.pins) {
        pin.at = detail::turned(pin.at, orientation);
        pin.facing = detail::turned(pin.facing, orientation);
    }
    for (Stroke& stroke : result.strokes) {
        stroke.path = detail::to_data(detail::turned(detail::parse_path(stroke.path), orientation));
    }
    for (Word& word : result.words) {
        word = turned(word, orientation);
    }
    result.box = detail::box_of(result);
    return result;
}

}  // namespace etchback::drawing
