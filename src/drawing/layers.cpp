// Tolerances and doubts, written into a drawing that stands.
#include <algorithm>
#include <cmath>
#include <optional>

#include "drawing/detail/cut.h"
#include "drawing/detail/label_nets.h"
#include "drawing/detail/label_room.h"
#include "drawing/detail/taken.h"
#include "drawing/detail/widen.h"
#include "drawing/sheet.h"

namespace etchback::drawing {

namespace {

using namespace detail;

constexpr double line = 1.15;  // from one line of text to the next
constexpr double nearly = 1e-6;

using Texts = std::vector<Label>;  // of one part

Label written(const Label& like, Point at, std::string text) {
    Label label = like;
    label.at = at;
    label.text = std::move(text);
    label.box = box_of(label);
    return label;
}

std::vector<Box> boxes_of(const Texts& texts) {
    std::vector<Box> boxes;
    for (const Label& label : texts) {
        boxes.push_back(label.box);
    }
    return boxes;
}

// The ways in which a part's texts may be written, the best first.
class Ways {
public:
    // `head` takes the place of the value, `tail` goes behind it or below it.
    Ways(const PlacedPart& part,
         const Label& name,
         const Label& value,
         std::string head,
         std::string tail)
        : part_(part),
          body_(moved(part.symbol.box, part.at)),
          name_(name),
          value_(value),
          head_(std::move(head)),
          tail_(std::move(tail)) {}

    std::vector<Texts> all(bool astride) const {
        std::vector<Texts> ways{behind()};
        if (!astride && !tail_.empty()) {
            ways.push_back(below());
        }
        if (!astride) {
            for (const bool other : {false, true}) {
                add_new_rooms(other, ways);
            }
        }
        return ways;
    }

private:
    std::string whole() const { return tail_.empty() ? head_ : head_ + " " + tail_; }

    Texts behind() const { return {name_, written(value_, value_.at, whole())}; }

    // On a line of its own. Beside the symbol all three keep its middle; above it the others move
    // up.
    Texts below() const {
        const bool beside =
            value_.box.left > body_.right - nearly || value_.box.right < body_.left + nearly;
        const bool above = value_.box.bottom < body_.top + nearly;
        const double up = beside ? line / 2.0 : above ? line : 0.0;
        const bool name_too = beside || name_.box.bottom < value_.box.top + nearly;
        const auto raised = [&](const Label& label, const std::string& text, double by) {
            return written(label, {label.at.x, label.at.y - by}, text);
        };
        return {raised(name_, name_.text, name_too && !split() ? up : 0.0),
                raised(value_, head_, up),
                raised(value_, tail_, up - line)};
    }

    // The name on one side of the symbol, the value on the other.
    bool split() const {
        return name_.box.bottom < body_.top + nearly && value_.box.top > body_.bottom - nearly;
    }

    void add_new_rooms(bool other_side, std::vector<Texts>& ways) const {
        Texts texts;
        for (const LabelRoom& room :
             label_rooms(part_.symbol, name_.text, whole(), other_side, false)) {
            texts.push_back(label_of(room, part_.part.index, part_.at));
        }
        ways.push_back(std::move(texts));
    }

    const PlacedPart& part_;
    Box body_;
    const Label& name_;
    const Label& value_;
    std::string head_, tail_;
};

const Label* find(const Drawing& drawing, Label::Of of, int index) {
    for (const Label& label : drawing.labels) {
        if (label.of == of && label.index == index) {
            return &label;
        }
    }
    return nullptr;
}

void write(const Texts& texts, int part, Drawing& drawing) {
    const auto is_own = [&](const Label& label) {
        return is_of_part(label) && label.index == part;
    };
    const auto first = std::find_if(drawing.labels.begin(), drawing.labels.end(), is_own);
    const auto place = first - drawing.labels.begin();
    std::erase_if(drawing.labels, is_own);
    drawing.labels.insert(drawing.labels.begin() + place, texts.begin(), texts.end());
}

bool stands_on_isolation(const Drawing& drawing, const PlacedPart& part) {
    const Box box = moved(part.symbol.box, part.at);
    return std::any_of(
        drawing.isolation.begin(), drawing.isolation.end(), [&](const IsolationLine& l) {
            return box.left < l.points.front().x && l.points.front().x < box.right;
        });
}

// After the part has moved with its group.
Texts moved_along(Texts texts, Point by) {
    for (Label& label : texts) {
        label = written(label, {label.at.x + by.x, label.at.y + by.y}, label.text);
    }
    return texts;
}

bool all_free(const Texts& texts, int part, const std::vector<Taken>& taken) {
    return std::all_of(texts.begin(), texts.end(), [&](const Label& label) {
        return is_free_for(part, label.box, taken);
    });
}

bool write_where_free(const std::vector<Texts>& ways, int part, Drawing& drawing) {
    const std::vector<Taken> taken = taken_by(drawing);
    for (const Texts& texts : ways) {
        if (all_free(texts, part, taken)) {
            write(texts, part, drawing);
            return true;
        }
    }
    return false;
}

// The way that moves least.
bool write_with_room_made(const std::vector<Texts>& ways, int part, Drawing& drawing) {
    std::optional<Widened> best;
    Texts chosen;
    const Point before = drawing.parts[static_cast<std::size_t>(part)].at;
    for (const Texts& texts : ways) {
        for (const Axis axis : {Axis::x, Axis::y}) {
            auto wider = widened(drawing, {part, boxes_of(texts)}, axis);
            if (!wider || (best && wider->moved > best->moved - nearly)) {
                continue;
            }
            const Point after = wider->drawing.parts[static_cast<std::size_t>(part)].at;
            Texts there = moved_along(texts, {after.x - before.x, after.y - before.y});
            if (all_free(there, part, taken_by(wider->drawing))) {
                best = std::move(wider);
                chosen = std::move(there);
            }
        }
    }
    if (!best) {
        return false;
    }
    drawing = std::move(best->drawing);
    write(chosen, part, drawing);
    return true;
}

// A text that goes over the edge of the page moves the edge.
void fit_page(Drawing& drawing) {
    constexpr double margin = 1.0;
    const auto beyond = [](double by) { return std::max(0.0, std::ceil(by - nearly)); };
    double left = 0.0, top = 0.0, right = 0.0, bottom = 0.0;
    for (const Label& label : drawing.labels) {
        if (!is_of_part(label)) {
            continue;
        }
        left = std::max(left, beyond(margin - label.box.left));
        top = std::max(top, beyond(margin - label.box.top));
        right = std::max(right, beyond(label.box.right + margin - drawing.width));
        bottom = std::max(bottom, beyond(label.box.bottom + margin - drawing.height));
    }
    drawing.width += left + right;
    drawing.height += top + bottom;
    shift(drawing, {left, top});
}

}  // namespace

std::vector<std::string> add_values(const circuit::Circuit& circuit,
                                    const ValueLayers& layers,
                                    Drawing& drawing) {
    std::vector<std::string> without_room;
    if (!layers.tolerances && !layers.doubts) {
        return without_room;
    }
    const auto is_name = [](const Label& label) { return label.of == Label::Of::net_name; };
    const bool names = std::any_of(drawing.labels.begin(), drawing.labels.end(), is_name);
    std::erase_if(drawing.labels, is_name);
    for (int i = 0; i < static_cast<int>(drawing.parts.size()); ++i) {
        const circuit::Part& part = circuit.parts[static_cast<std::size_t>(i)];
        const std::string plain = value_text(part);
        const std::string head = value_text(part, {false, layers.doubts});
        const std::string whole = value_text(part, {layers.tolerances, layers.doubts});
        const Label* name = find(drawing, Label::Of::part_name, i);
        const Label* value = find(drawing, Label::Of::part_value, i);
        if (whole == plain || name == nullptr || value == nullptr) {
            continue;
        }
        const std::string tail = whole == head ? "" : whole.substr(head.size() + 1);
        const PlacedPart& placed = drawing.parts[static_cast<std::size_t>(i)];
        const auto ways =
            Ways(placed, *name, *value, head, tail).all(stands_on_isolation(drawing, placed));
        if (!write_where_free(ways, i, drawing) && !write_with_room_made(ways, i, drawing)) {
            without_room.push_back(part.name + " " +
                                   whole.substr(plain.size() + (tail.empty() ? 0 : 1)));
        }
    }
    fit_page(drawing);
    if (names) {
        add_net_names(circuit, drawing);
    }
    return without_room;
}

}  // namespace etchback::drawing
