// What is taken in a drawing, with the air that a text keeps from it.
#pragma once

#include <vector>

#include "drawing/drawing.h"

namespace etchback::drawing::detail {

struct Taken {
    Box box;
    int part = -1;      // whose symbol or text it is
    bool text = false;  // a label
};

// A part's name or value.
inline bool is_of_part(const Label& label) {
    return label.of == Label::Of::part_name || label.of == Label::Of::part_value;
}

std::vector<Taken> taken_by(const Drawing& drawing);

bool is_free(const Box& box, const std::vector<Taken>& taken);
// The part's own texts are passed over, since they are about to be written anew; of its own symbol
// the text may come as near as it always does.
bool is_free_for(int part, const Box& box, const std::vector<Taken>& taken);

// Of a wire; no thickness.
inline Box box_of(const Segment& s) {
    return {s.a.x < s.b.x ? s.a.x : s.b.x,
            s.a.y < s.b.y ? s.a.y : s.b.y,
            s.a.x < s.b.x ? s.b.x : s.a.x,
            s.a.y < s.b.y ? s.b.y : s.a.y};
}

}  // namespace etchback::drawing::detail
