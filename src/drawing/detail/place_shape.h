// What a placement costs apart from wires: prices, lines, symmetries, and the order of terminals.
#pragma once

#include <vector>

#include "drawing/detail/place_estimate.h"
#include "drawing/detail/place_model.h"

namespace etchback::drawing::detail {

struct Placement {
    std::vector<Step> at;       // per part
    std::vector<int> variant;   // per part
    std::vector<double> lines;  // x of each isolation line
};

struct Prices {
    WirePrices wire;
    double overlap = 3.0;  // per square step
    double overlap_once = 6.0;
    double taste = 2.0;
    double pull = 0.12;  // per step away from the aim
    double rim = 0.7;    // per step of a source or load away from its rim
    double order = 2.5;  // per step that a part stands beyond a source or load
    double order_once = 8.0;
    double rail = 0.35;   // per step that a pin stands above its return's rail
    double zone = 8.0;    // per step beyond the isolation line
    double extent = 0.8;  // per step of width and height
    double through_body = 8.0;
    double through_label = 3.0;
    double off_line = 5.0;       // a link that is not straight
    double off_line_step = 0.4;  // and per step beside it
    double off_axis = 14.0;      // twins that do not mirror each other, in each respect
    double off_axis_step = 0.8;
    double unlike = 9.0;  // a part of a copy that does not stand as in its model, in each respect
    double unlike_step = 0.4;
    double apart = 3.0;         // per step of width and height of parts that belong together
    double beside = 120.0;      // neighbours that stand the wrong way round
    double beside_step = 4.0;   // and per step
    double beside_apart = 0.5;  // per step between them
    double not_level = 15.0;    // neighbours that do not face each other
    double not_level_step = 1.0;
    double against = 0.6;  // per step that a net's wires run back from what feeds it
    double room = 0.0;     // added around every part
};

// By how many steps two parts of a zone stand in the wrong order: nothing stands left of a source
// or right of a load.
double out_of_order(const Model& model, const Placement& placement, int a, int b);

// Whether b stands as a does, seen in a mirror. Both are of one kind of part.
bool mirrors(const Variant& a, const Variant& b);

// Twice the x of a part's middle.
double middle_of(const Model& model, const Placement& placement, int part);

// Straight lines, symmetries, what belongs together, and which way wires run: each is a shape with
// a price of its own.
class Shapes {
public:
    explicit Shapes(const Model& model);
    int count() const { return count_; }
    // The shapes that a part takes part in.
    const std::vector<int>& of(int part) const { return of_[static_cast<std::size_t>(part)]; }
    double price(const Placement& placement, const Prices& prices, int shape) const;

private:
    const Model& model_;
    int count_;
    std::vector<std::vector<int>> of_;
};

double shape_price(const Model& model, const Placement& placement, const Prices& prices);

}  // namespace etchback::drawing::detail
