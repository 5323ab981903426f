// A placement and its price, kept up to date move by move.
//
// Every pair of things that can be in each other's way has its price kept: part and part, net and
// part, net and net. A move prices anew only the pairs that it touches, the cheap ones first, and
// stops as soon as it is known to be too dear.
#pragma once

#include <optional>
#include <vector>

#include "drawing/detail/place_estimate.h"
#include "drawing/detail/place_model.h"
#include "drawing/detail/place_shape.h"

namespace etchback::drawing::detail {

struct Shift {
    int part;
    Step at;
    int variant;
};

class State {
public:
    State(const Model& model, std::vector<Step> aims, Placement placement, const Prices& prices);

    const Model& model() const { return model_; }
    const Placement& placement() const { return placement_; }
    const Prices& prices() const { return prices_; }
    void set_overlap_prices(double per_square_step, double once);

    const Variant& variant(int part) const {
        return model_.parts[static_cast<std::size_t>(part)]
            .variants[static_cast<std::size_t>(placement_.variant[static_cast<std::size_t>(part)])];
    }
    Step pin_at(PinOf pin) const;
    Direction pin_facing(PinOf pin) const;
    // Twice the x of a part's middle.
    double middle_of(int part) const { return detail::middle_of(model_, placement_, part); }
    Box bounds(int part) const { return bounds_[static_cast<std::size_t>(part)]; }
    bool overlaps(int part) const;
    // Of the whole placement.
    double price() const;

    struct Limits {
        double change = 0.0;    // dearer by no more than this
        double crowding = 0.0;  // and overlaps by no more than this
        bool strict = false;    // what moves overlaps nothing in the end
    };
    // Moves parts, each once, if the price stays within the limits; all stays as it is otherwise.
    bool move(const std::vector<Shift>& shifts, const Limits& limits);
    static constexpr Limits no_limits{1e300, 1e300, false};
    // What moving one part would change; nothing if it would overlap there.
    std::optional<double> change_if_free(const Shift& shift);

private:
    struct Net {
        Estimate wire;
        Box reach;  // of its wires; inside out where there are none
        double price = 0.0;
    };
    std::size_t of_parts(int part, int other) const {
        return static_cast<std::size_t>(part) * parts_ + static_cast<std::size_t>(other);
    }
    std::size_t of_net(int net, int part) const {
        return static_cast<std::size_t>(net) * parts_ + static_cast<std::size_t>(part);
    }
    std::size_t of_nets(int net, int other) const {
        return static_cast<std::size_t>(net) * nets_ + static_cast<std::size_t>(other);
    }
    void price_all();
    void set(int part, Step at, int variant);
    void begin(const std::vector<Shift>& shifts);
    double price_before();
    bool price_after(const Limits& limits, double before);
    bool crowd(const Limits& limits, double& after);
    bool lay_nets(double most, double& after);
    bool clash_nets(double most, double& after);
    void keep();
    void take_back();
    void end();

    double overlap_area(int a, int b) const;
    double crowding(double area) const {
        return area > 0.0 ? prices_.overlap * area + prices_.overlap_once : 0.0;
    }
    bool beyond_its_zone(int part) const;
    void lay(int net, Net& out);
    double price_of_signs(const ModelNet& net) const;
    double unevenness(Rail rail) const;
    double part_price(int part) const;
    double order_price(int rim, int part) const;
    double hit_price(const Net& net, int part) const;
    Box extent() const;
    double extent_price(const Box& all) const {
        return prices_.extent * ((all.right - all.left) + 1.4 * (all.bottom - all.top));
    }

    const Model& model_;
    std::size_t parts_, nets_;
    std::vector<Step> aims_;
    Placement placement_;
    Prices prices_;
    Shapes shapes_;
    std::vector<int> rims_;    // sources and loads
    std::vector<int> rim_of_;  // per part: its index in rims_, or -1
    std::vector<Box> bounds_;
    std::vector<Net> net_;
    Box all_;
    // What is kept of prices: per part; per pair of parts, an area; per rim and part; per net and
    // part; per pair of nets; per shape.
    std::vector<double> part_price_, area_, order_, hit_, clash_, shape_price_;

    // The move that is being looked at.
    std::vector<int> movers_;
    std::vector<Shift> old_;
    std::vector<Box> old_bounds_;
    std::vector<char> part_marked_, net_marked_, shape_marked_;
    std::vector<int> touched_nets_, touched_shapes_;
    std::vector<Net> old_nets_;
    std::size_t laid_ = 0;  // of touched_nets_
    std::vector<double> new_part_price_, new_area_, new_order_, new_hit_of_part_, new_hit_of_net_,
        new_clash_, new_shape_;
    Box new_all_;
    double change_ = 0.0;
    std::vector<Pip> pips_;
};

}  // namespace etchback::drawing::detail
