// What is odd about drawing a part in one way or another: what carries current downwards stands,
// what lies in series lies, and so on (docs/drawing.md).
#pragma once

#include "drawing/detail/place_model.h"
#include "drawing/detail/place_order.h"

namespace etchback::drawing::detail {

// A circuit, what its structure says, and its nets as they are to be drawn.
struct Setting {
    const circuit::Circuit& circuit;
    const Order& order;
    const Model& model;  // its nets without their pins are enough
};

// 0: nothing. `other_side`: the part's name stands on the less usual side.
double taste_of(const Setting& setting,
                int part,
                const ModelPart& model_part,
                const Variant& variant,
                bool other_side);

}  // namespace etchback::drawing::detail
