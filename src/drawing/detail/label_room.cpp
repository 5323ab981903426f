#include "drawing/detail/label_room.h"

#include <algorithm>
#include <array>

#include "base/quantity.h"

namespace etchback::drawing::detail {

namespace {

constexpr double gap = 0.35;   // between a symbol and its text
constexpr double line = 1.15;  // from one line of text to the next
constexpr double above = text_ascent;
constexpr double below = text_descent;

struct Rim {
    std::array<bool, 4> pins{};  // by Direction
    double first_top = 0.0, last_top = 0.0, first_bottom = 0.0, last_bottom = 0.0;
};

Rim rim_of(const Symbol& symbol) {
    Rim rim;
    for (const SymbolPin& pin : symbol.pins) {
        const bool first = !rim.pins[static_cast<std::size_t>(pin.facing)];
        rim.pins[static_cast<std::size_t>(pin.facing)] = true;
        if (pin.facing == Direction::up) {
            rim.first_top = first ? pin.at.x : std::min(rim.first_top, pin.at.x);
            rim.last_top = first ? pin.at.x : std::max(rim.last_top, pin.at.x);
        }
        if (pin.facing == Direction::down) {
            rim.first_bottom = first ? pin.at.x : std::min(rim.first_bottom, pin.at.x);
            rim.last_bottom = first ? pin.at.x : std::max(rim.last_bottom, pin.at.x);
        }
    }
    return rim;
}

bool has(const Rim& rim, Direction side) {
    return rim.pins[static_cast<std::size_t>(side)];
}

class Rooms {
public:
    Rooms(const std::string& name, const std::string& value) : name_(name), value_(value) {}

    void name(double x, double baseline, Word::Anchor anchor) {
        add(Label::Of::part_name, name_, x, baseline, anchor);
    }
    void value(double x, double baseline, Word::Anchor anchor) {
        add(Label::Of::part_value, value_, x, baseline, anchor);
    }
    // Both, one under the other, the block's middle at `middle`.
    void beside(double x, double middle, Word::Anchor anchor) {
        if (value_.empty()) {
            name(x, middle + label_size * (above - below) / 2.0, anchor);
            return;
        }
        name(x, middle - line / 2.0 + label_size * (above - below) / 2.0, anchor);
        value(x, middle + line / 2.0 + label_size * (above - below) / 2.0, anchor);
    }
    void over(double x, double bottom, Word::Anchor anchor) {
        const double last = bottom - label_size * below;
        name(x, value_.empty() ? last : last - line, anchor);
        value(x, last, anchor);
    }
    void under(double x, double top, Word::Anchor anchor) {
        const double first = top + label_size * above;
        name(x, first, anchor);
        value(x, first + line, anchor);
    }
    double width() const {
        return std::max(text_width(name_, label_size, true), text_width(value_, label_size));
    }
    std::vector<LabelRoom> take() { return std::move(rooms_); }

private:
    void add(Label::Of of, const std::string& text, double x, double y, Word::Anchor anchor) {
        if (!text.empty()) {
            const bool bold = of == Label::Of::part_name;
            rooms_.push_back({of,
                              text,
                              {x, y},
                              anchor,
                              label_size,
                              text_box(text, {x, y}, anchor, label_size, bold)});
        }
    }

    std::string name_, value_;
    std::vector<LabelRoom> rooms_;
};

void place_astride(Rooms& rooms, const Box& b) {
    const double middle = (b.left + b.right) / 2.0;
    const double base = b.top - gap - label_size * below;
    rooms.name(middle - 0.6, base, Word::Anchor::end);
    rooms.value(middle + 0.6, base, Word::Anchor::start);
}

// Pins at the sides and at the top or bottom: text goes over (or under) the rim, beside the pins.
void place_at_corner(Rooms& rooms, const Box& b, const Rim& rim, bool bottom) {
    const bool pins = has(rim, bottom ? Direction::down : Direction::up);
    double x = b.left;
    auto anchor = Word::Anchor::start;
    if (pins) {
        const double first = bottom ? rim.first_bottom : rim.first_top;
        const double last = bottom ? rim.last_bottom : rim.last_top;
        if (first - 0.6 - rooms.width() >= b.left - 1.0) {
            x = first - 0.6;
            anchor = Word::Anchor::end;
        } else {
            x = last + 0.6;
        }
    }
    if (bottom) {
        rooms.under(x, b.bottom + gap, anchor);
    } else {
        rooms.over(x, b.top - gap, anchor);
    }
}

}  // namespace

Label label_of(const LabelRoom& room, int index, Point origin) {
    return {room.of,
            index,
            room.text,
            {room.at.x + origin.x, room.at.y + origin.y},
            room.anchor,
            room.size,
            moved(room.box, origin)};
}

namespace {

std::string plain_value(const circuit::Part& part) {
    const dossier::Part& said = part.said;
    std::string text;
    if (said.value) {
        const base::Quantity& q = said.value->value;
        const bool code = q.exact() && (q.unit == base::Unit::ohm || q.unit == base::Unit::farad);
        text = code ? base::to_rkm(q.value, q.unit) : base::to_text(q);
        if (q.unit == base::Unit::farad && said.rated_voltage) {
            text += " " + base::to_engineering(said.rated_voltage->value.high, base::Unit::volt);
        }
        return text;
    }
    for (const std::string* word : {&said.type.value, &said.marking.value}) {
        if (!word->empty()) {
            return *word;
        }
    }
    return part.kind.off_board || part.kind.symbol == "box" ? said.title.value : std::string();
}

bool is_in_doubt(const dossier::Part& part) {
    const std::string field = part.value ? "value" : !part.type.value.empty() ? "type" : "marking";
    return part.basis(field) == dossier::Basis::assumed ||
           std::any_of(part.alternatives.begin(),
                       part.alternatives.end(),
                       [&](const dossier::Alternative& one) { return one.field == field; });
}

}  // namespace

std::string value_text(const circuit::Part& part, const ValueStyle& style) {
    std::string text = plain_value(part);
    if (text.empty()) {
        return text;
    }
    if (style.doubt && is_in_doubt(part.said)) {
        text += "?";
    }
    if (style.tolerance && part.said.value && part.said.tolerance) {
        text += " ±" + base::to_text(part.said.tolerance->value);
    }
    return text;
}

std::vector<LabelRoom> label_rooms(const Symbol& oriented,
                                   const std::string& name,
                                   const std::string& value,
                                   bool other_side,
                                   bool astride) {
    const Box& b = oriented.box;
    const Rim rim = rim_of(oriented);
    const double cx = (b.left + b.right) / 2.0;
    const double cy = (b.top + b.bottom) / 2.0;
    Rooms rooms(name, value);
    const bool right = has(rim, Direction::right);
    const bool left = has(rim, Direction::left);
    const bool top = has(rim, Direction::up);
    const bool bottom = has(rim, Direction::down);
    if (astride) {
        place_astride(rooms, b);
    } else if (!top && !bottom && b.bottom - b.top < 5.0) {
        if (other_side || value.empty()) {
            rooms.over(cx, b.top - gap, Word::Anchor::middle);
        } else {
            rooms.name(cx, b.top - gap - label_size * below, Word::Anchor::middle);
            rooms.value(cx, b.bottom + gap + label_size * above, Word::Anchor::middle);
        }
    } else if (!right && !(other_side && !left)) {
        rooms.beside(b.right + gap, cy, Word::Anchor::start);
    } else if (!left) {
        rooms.beside(b.left - gap, cy, Word::Anchor::end);
    } else {
        place_at_corner(rooms, b, rim, other_side);
    }
    return rooms.take();
}

}  // namespace etchback::drawing::detail
