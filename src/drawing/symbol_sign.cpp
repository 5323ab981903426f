#include "drawing/detail/path.h"
#include "drawing/detail/pen.h"
#include "drawing/drawing.h"

namespace etchback::drawing {
namespace {

constexpr double text_size = 0.9;
constexpr double stem = 1.0;

// Signs are made facing down (returns, earth) or up (rail) and turned from there.
Symbol below_wire(NetSign::Kind kind) {
    detail::Pen pen{""};
    pen.line({{0, 0}, {0, stem}});
    switch (kind) {
        case NetSign::Kind::mains_return:  // an open triangle
            pen.shape({{-0.8, stem}, {0.8, stem}, {0, stem + 0.9}});
            break;
        case NetSign::Kind::isolated_return:  // a thick bar
            pen.rect({-0.9, stem, 0.9, stem + 0.25}, true);
            break;
        case NetSign::Kind::earth:  // three bars
            pen.line({{-0.9, stem}, {0.9, stem}}).line({{-0.55, stem + 0.4}, {0.55, stem + 0.4}});
            pen.line({{-0.2, stem + 0.8}, {0.2, stem + 0.8}});
            break;
        case NetSign::Kind::rail:  // a thin bar
        case NetSign::Kind::flag:
            pen.line({{-0.9, stem}, {0.9, stem}});
            break;
    }
    return pen.done();
}

// A name beyond the sign's end, upright whichever way the sign faces.
void add_text(Symbol& symbol, Direction facing, std::string_view text) {
    if (text.empty()) {
        return;
    }
    constexpr double gap = 0.25;
    constexpr double middle = (text_ascent - text_descent) / 2 * text_size;
    Word word{std::string(text), {}, Word::Anchor::middle, text_size};
    switch (facing) {
        case Direction::right:
            word.at = {symbol.box.right + gap, middle};
            word.anchor = Word::Anchor::start;
            break;
        case Direction::left:
            word.at = {symbol.box.left - gap, middle};
            word.anchor = Word::Anchor::end;
            break;
        case Direction::up:
            word.at = {0, symbol.box.top - gap - text_descent * text_size};
            break;
        case Direction::down:
            word.at = {0, symbol.box.bottom + gap + text_ascent * text_size};
            break;
    }
    symbol.words.push_back(std::move(word));
    symbol.box = detail::box_of(symbol);
}

// A pointed tag with the name in it. Its point is where the wire ends.
Symbol flag(Direction facing, std::string_view text) {
    detail::Pen pen{""};
    const double width = text_width(text, text_size) + 0.5;
    constexpr double half = 0.65, tip = 0.6;
    constexpr double middle = (text_ascent - text_descent) / 2 * text_size;
    const double away = facing == Direction::left || facing == Direction::up ? -1.0 : 1.0;
    if (facing == Direction::left || facing == Direction::right) {
        pen.shape({{0, 0},
                   {away * tip, -half},
                   {away * (tip + width), -half},
                   {away * (tip + width), half},
                   {away * tip, half}});
        pen.word(text, {away * (tip + width / 2 - 0.1), middle}, Word::Anchor::middle, text_size);
    } else {
        pen.shape({{0, 0},
                   {-width / 2, away * tip},
                   {-width / 2, away * (tip + 2 * half)},
                   {width / 2, away * (tip + 2 * half)},
                   {width / 2, away * tip}});
        pen.word(text, {0, away * (tip + half) + middle}, Word::Anchor::middle, text_size);
    }
    return pen.done();
}

}  // namespace

Symbol symbol_of_sign(NetSign::Kind kind, Direction facing, std::string_view text) {
    if (kind == NetSign::Kind::flag) {
        return flag(facing, text);
    }
    const int turns = static_cast<int>(facing) - static_cast<int>(Direction::down);
    Symbol symbol = oriented(below_wire(kind), {turns & 3, false});
    add_text(symbol, facing, text);
    return symbol;
}

}  // namespace etchback::drawing
