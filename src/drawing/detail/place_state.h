// A placement and its price, kept up to date move by move.
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
    double extent = 0.5;  // per step of width and height
    double through_body = 8.0;
    double through_label = 3.0;
    double off_line = 5.0;       // a link that is not straight
    double off_line_step = 0.4;  // and per step beside it
    double off_axis = 4.0;       // twins that do not mirror each other, in each respect
    double off_axis_step = 0.4;
    double apart = 1.5;  // per step of width and height of parts that belong together
    double room = 0.0;   // added around every part
};

// By how many steps two parts of a zone stand in the wrong order: nothing stands left of a source
// or right of a load.
double out_of_order(const Model& model, const Placement& placement, int a, int b);

// Whether b stands as a does, seen in a mirror. Both are of one kind of part.
bool mirrors(const Variant& a, const Variant& b);

// Twice the x of a part's middle.
double middle_of(const Model& model, const Placement& placement, int part);

// Straight lines, symmetries, and what belongs together.
double shape_price(const Model& model, const Placement& placement, const Prices& prices);

class State {
public:
    State(const Model& model, std::vector<Step> aims, Placement placement, const Prices& prices);

    const Model& model() const { return model_; }
    const Placement& placement() const { return placement_; }
    const Prices& prices() const { return prices_; }
    void set_prices(const Prices& prices);

    const Variant& variant(int part) const {
        return model_.parts[static_cast<std::size_t>(part)]
            .variants[static_cast<std::size_t>(placement_.variant[static_cast<std::size_t>(part)])];
    }
    Step pin_at(PinOf pin) const;
    Direction pin_facing(PinOf pin) const;
    // Twice the x of a part's middle.
    double middle_of(int part) const;
    Box bounds(int part) const { return bounds_[static_cast<std::size_t>(part)]; }

    // Moves a part; nothing is priced yet.
    void set(int part, Step at, int variant);
    void set_line(std::size_t line, double x) { placement_.lines[line] = x; }
    void restore(Placement placement);

    // The price of all that the given parts take part in, as all stands; overlaps apart.
    double price_around(const std::vector<int>& parts);
    // The same after these parts, and no others, were set() anew since price_around().
    double price_moved(const std::vector<int>& parts);
    // After the parts were set() back to where they were before price_moved().
    void take_back();

    // What these parts' overlaps cost, which is soon known.
    double overlap_price(const std::vector<int>& parts);
    bool overlaps(int part) const;
    double overlap_area(int a, int b) const;

private:
    void mark(const std::vector<int>& parts);
    double overlaps_of_marked(const std::vector<int>& parts) const;
    double price_marked(const std::vector<int>& parts);
    void refresh_net(int net);
    double net_price(int net) const;
    double unevenness(Rail rail) const;
    double part_price(int part) const;
    double order_price(int part) const;
    double extent_price() const;
    double shape_price() const;

    double wire_against_part(int net, int part) const;

    const Model& model_;
    std::vector<Step> aims_;
    Placement placement_;
    Prices prices_;
    std::vector<int> rims_;  // sources and loads
    std::vector<Box> bounds_;
    std::vector<Estimate> wires_;
    std::vector<Box> reach_;  // of each net's wires; inside out where there are none
    std::vector<char> net_marked_;
    std::vector<char> part_marked_;
    std::vector<int> nets_;
    std::vector<Estimate> before_;  // of nets_
    mutable std::vector<Pip> pips_;
};

}  // namespace etchback::drawing::detail
