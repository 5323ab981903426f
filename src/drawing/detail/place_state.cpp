#include "drawing/detail/place_state.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>

namespace etchback::drawing::detail {

namespace {

std::size_t at(int i) {
    return static_cast<std::size_t>(i);
}

constexpr Box nowhere{1e9, 1e9, -1e9, -1e9};

bool touch(const Box& a, const Box& b) {
    return a.left <= b.right && b.left <= a.right && a.top <= b.bottom && b.top <= a.bottom;
}

Box reach_of(const Estimate& wire) {
    if (wire.spans.empty()) {
        return nowhere;
    }
    return {static_cast<double>(wire.bounds.ax),
            static_cast<double>(wire.bounds.ay),
            static_cast<double>(wire.bounds.bx),
            static_cast<double>(wire.bounds.by)};
}

Box absolute(const Box& box, Step by) {
    return {box.left + by.x, box.top + by.y, box.right + by.x, box.bottom + by.y};
}

}  // namespace

double out_of_order(const Model& model, const Placement& placement, int a, int b) {
    constexpr double gap = 1.0;
    const ModelPart& pa = model.parts[at(a)];
    const ModelPart& pb = model.parts[at(b)];
    if (pa.rim == pb.rim || pa.zone != pb.zone || pa.astride >= 0 || pb.astride >= 0) {
        return 0.0;
    }
    const int first = pa.rim < pb.rim ? a : b;
    const int second = first == a ? b : a;
    const auto body = [&](int part) {
        return absolute(model.parts[at(part)].variants[at(placement.variant[at(part)])].body,
                        placement.at[at(part)]);
    };
    return std::max(0.0, body(first).right + gap - body(second).left);
}

bool mirrors(const Variant& a, const Variant& b) {
    const Orientation& oa = a.orientation;
    const Orientation& ob = b.orientation;
    if (a.pins.size() != 2) {
        return oa.quarter_turns == ob.quarter_turns && oa.mirrored != ob.mirrored;
    }
    const bool upright = oa.quarter_turns % 2 == 1;
    return upright ? oa == ob : ob.quarter_turns % 2 == 0 && oa.quarter_turns != ob.quarter_turns;
}

double middle_of(const Model& model, const Placement& placement, int part) {
    const Box& body = model.parts[at(part)].variants[at(placement.variant[at(part)])].body;
    return 2.0 * placement.at[at(part)].x + body.left + body.right;
}

double shape_price(const Model& model, const Placement& placement, const Prices& prices) {
    constexpr double far = 20.0;
    double price = 0.0;
    const auto variant = [&](int part) -> const Variant& {
        return model.parts[at(part)].variants[at(placement.variant[at(part)])];
    };
    const auto pin_at = [&](int part, int pin) {
        const Step s = variant(part).pins[at(pin)].at;
        return Step{s.x + placement.at[at(part)].x, s.y + placement.at[at(part)].y};
    };
    for (const std::vector<int>& group : model.together) {
        Box all = nowhere;
        double height = 0.0;
        for (const int part : group) {
            const Box box = absolute(variant(part).bounds, placement.at[at(part)]);
            all = joined(all, box);
            height += box.bottom - box.top;
        }
        price += prices.apart * ((all.right - all.left) + (all.bottom - all.top) - height);
    }
    for (const Link& link : model.links) {
        const Step a = pin_at(link.a, link.pin_a);
        const Step b = pin_at(link.b, link.pin_b);
        const int aside = std::abs(link.upright ? a.x - b.x : a.y - b.y);
        const int ahead = link.upright ? b.y - a.y : b.x - a.x;
        if (aside != 0 || ahead < 0) {
            const double away = std::min(far, static_cast<double>(aside + std::max(0, -ahead)));
            price += prices.off_line + prices.off_line_step * away;
        }
    }
    const auto off_axis = [&](double by) {
        return by == 0.0 ? 0.0 : prices.off_axis + prices.off_axis_step * std::min(far, by);
    };
    for (const Symmetry& symmetry : model.symmetries) {
        const double axis = middle_of(model, placement, symmetry[0].left) +
                            middle_of(model, placement, symmetry[0].right);
        for (const Twins& t : symmetry) {
            price += off_axis(std::abs(placement.at[at(t.left)].y - placement.at[at(t.right)].y));
            price += off_axis(std::abs(middle_of(model, placement, t.left) +
                                       middle_of(model, placement, t.right) - axis) /
                              2.0);
            price += mirrors(variant(t.left), variant(t.right)) ? 0.0 : 2.0 * prices.off_axis;
        }
    }
    return price;
}

State::State(const Model& model, std::vector<Step> aims, Placement placement, const Prices& prices)
    : model_(model),
      aims_(std::move(aims)),
      prices_(prices),
      bounds_(model.parts.size()),
      wires_(model.nets.size()),
      reach_(model.nets.size(), nowhere),
      net_marked_(model.nets.size(), 0),
      part_marked_(model.parts.size(), 0) {
    for (int p = 0; p < static_cast<int>(model_.parts.size()); ++p) {
        if (model_.parts[at(p)].rim != 0) {
            rims_.push_back(p);
        }
    }
    restore(std::move(placement));
}

void State::restore(Placement placement) {
    placement_ = std::move(placement);
    for (int p = 0; p < static_cast<int>(model_.parts.size()); ++p) {
        set(p, placement_.at[at(p)], placement_.variant[at(p)]);
    }
    for (int n = 0; n < static_cast<int>(model_.nets.size()); ++n) {
        refresh_net(n);
    }
}

void State::set_prices(const Prices& prices) {
    prices_ = prices;
    restore(Placement(placement_));
}

Step State::pin_at(PinOf pin) const {
    const Step s = variant(pin.part).pins[at(pin.pin)].at;
    const Step p = placement_.at[at(pin.part)];
    return {s.x + p.x, s.y + p.y};
}

Direction State::pin_facing(PinOf pin) const {
    return variant(pin.part).pins[at(pin.pin)].facing;
}

void State::set(int part, Step to, int variant_index) {
    placement_.at[at(part)] = to;
    placement_.variant[at(part)] = variant_index;
    bounds_[at(part)] = grown(absolute(variant(part).bounds, to), prices_.room);
}

void State::refresh_net(int net) {
    const ModelNet& n = model_.nets[at(net)];
    Estimate& wire = wires_[at(net)];
    pips_.clear();
    if (n.style == NetStyle::wired) {
        for (const PinOf& pin : n.pins) {
            const Step s = pin_at(pin);
            pips_.push_back({s.x, s.y, pin_facing(pin)});
        }
    }
    estimate_wire(pips_, prices_.wire, wire, n.rail);
    reach_[at(net)] = reach_of(wire);
    if (n.pins.size() < 2) {
        return;
    }
    if (n.style == NetStyle::wired) {
        if (n.rail != Rail::none) {
            wire.cost += prices_.rail * unevenness(n.rail);
        }
        return;
    }
    // Held together by signs: only what is near by may be near by.
    const double cap = n.style == NetStyle::returns ? 6.0 : 16.0;
    const double weight = n.style == NetStyle::returns ? 0.3 : 0.6;
    for (const PinOf& pin : n.pins) {
        const Step a = pin_at(pin);
        double nearest = cap;
        for (const PinOf& other : n.pins) {
            if (other.part == pin.part) {
                continue;
            }
            const Step b = pin_at(other);
            const double away = std::abs(a.x - b.x) + 2.0 * std::abs(a.y - b.y);
            nearest = std::min(nearest, away);
        }
        wire.cost += weight * nearest;
    }
}

// How far the pins stand from the outermost of them.
double State::unevenness(Rail rail) const {
    int outmost = pips_.front().y;
    for (const Pip& p : pips_) {
        outmost = rail == Rail::bottom ? std::max(outmost, p.y) : std::min(outmost, p.y);
    }
    double sum = 0.0;
    for (const Pip& p : pips_) {
        sum += std::abs(outmost - p.y);
    }
    return sum;
}

double State::net_price(int net) const {
    const ModelNet& n = model_.nets[at(net)];
    const Estimate& wire = wires_[at(net)];
    // A return is a rail below all that hangs on it.
    return n.low && n.style == NetStyle::wired ? 0.7 * wire.cost : wire.cost;
}

double State::overlap_area(int a, int b) const {
    if (!bounds_[at(a)].overlaps(bounds_[at(b)])) {
        return 0.0;
    }
    double area = 0.0;
    const double half = prices_.room;
    for (const Box& ra : variant(a).rooms) {
        const Box box_a = grown(absolute(ra, placement_.at[at(a)]), half);
        if (!box_a.overlaps(bounds_[at(b)])) {
            continue;
        }
        for (const Box& rb : variant(b).rooms) {
            const Box box_b = grown(absolute(rb, placement_.at[at(b)]), half);
            if (box_a.overlaps(box_b)) {
                area += (std::min(box_a.right, box_b.right) - std::max(box_a.left, box_b.left)) *
                        (std::min(box_a.bottom, box_b.bottom) - std::max(box_a.top, box_b.top));
            }
        }
    }
    return area;
}

bool State::overlaps(int part) const {
    for (int other = 0; other < static_cast<int>(model_.parts.size()); ++other) {
        if (other != part && overlap_area(part, other) > 0.0) {
            return true;
        }
    }
    const ModelPart& p = model_.parts[at(part)];
    const Box& b = bounds_[at(part)];
    if (p.astride >= 0) {
        return false;
    }
    const auto zone = at(p.zone);
    return (zone > 0 && b.left < placement_.lines[zone - 1] + 0.5) ||
           (zone < placement_.lines.size() && b.right > placement_.lines[zone] - 0.5);
}

double State::part_price(int part) const {
    const ModelPart& p = model_.parts[at(part)];
    const Step where = placement_.at[at(part)];
    const Step aim = aims_[at(part)];
    double price = prices_.taste * variant(part).taste +
                   prices_.pull * (std::abs(where.x - aim.x) + std::abs(where.y - aim.y)) +
                   prices_.rim * (p.rim < 0 ? std::max(0, where.x - aim.x)
                                            : p.rim * std::max(0, aim.x - where.x));
    if (p.astride < 0) {
        const Box& b = bounds_[at(part)];
        const auto zone = at(p.zone);
        if (zone > 0) {
            price += prices_.zone * std::max(0.0, placement_.lines[zone - 1] + 0.5 - b.left);
        }
        if (zone < placement_.lines.size()) {
            price += prices_.zone * std::max(0.0, b.right - placement_.lines[zone] + 0.5);
        }
    }
    return price;
}

// Against all that are not marked, and of the marked ones against those that come later.
double State::order_price(int part) const {
    double price = 0.0;
    const auto add = [&](int other) {
        if (other != part && !(part_marked_[at(other)] && other < part)) {
            const double wrong = out_of_order(model_, placement_, part, other);
            price += wrong > 0.0 ? prices_.order_once + prices_.order * wrong : 0.0;
        }
    };
    if (model_.parts[at(part)].rim == 0) {
        std::for_each(rims_.begin(), rims_.end(), add);
        return price;
    }
    for (int other = 0; other < static_cast<int>(model_.parts.size()); ++other) {
        add(other);
    }
    return price;
}

double State::extent_price() const {
    Box all = nowhere;
    for (const Box& box : bounds_) {
        all = joined(all, box);
    }
    return prices_.extent * ((all.right - all.left) + 1.4 * (all.bottom - all.top));
}

double State::middle_of(int part) const {
    return detail::middle_of(model_, placement_, part);
}

double State::shape_price() const {
    return detail::shape_price(model_, placement_, prices_);
}

double State::wire_against_part(int net, int part) const {
    const Estimate& wire = wires_[at(net)];
    const Variant& v = variant(part);
    const Step where = placement_.at[at(part)];
    double price = clash(wire, grown(absolute(v.body, where), -0.05), prices_.through_body);
    for (std::size_t i = 1; i < v.rooms.size(); ++i) {
        price += clash(wire, absolute(v.rooms[i], where), prices_.through_label);
    }
    return price;
}

void State::mark(const std::vector<int>& parts) {
    nets_.clear();
    for (const int part : parts) {
        for (const int net : model_.parts[at(part)].nets) {
            if (!net_marked_[at(net)]) {
                net_marked_[at(net)] = 1;
                nets_.push_back(net);
            }
        }
    }
    for (const int net : nets_) {
        net_marked_[at(net)] = 0;
    }
}

double State::price_around(const std::vector<int>& parts) {
    mark(parts);
    return price_marked(parts);
}

double State::price_moved(const std::vector<int>& parts) {
    before_.resize(std::max(before_.size(), nets_.size()));
    for (std::size_t i = 0; i < nets_.size(); ++i) {
        std::swap(before_[i], wires_[at(nets_[i])]);
        refresh_net(nets_[i]);
    }
    return price_marked(parts);
}

void State::take_back() {
    for (std::size_t i = 0; i < nets_.size(); ++i) {
        std::swap(before_[i], wires_[at(nets_[i])]);
        reach_[at(nets_[i])] = reach_of(wires_[at(nets_[i])]);
    }
}

double State::overlaps_of_marked(const std::vector<int>& parts) const {
    const int count = static_cast<int>(model_.parts.size());
    double price = 0.0;
    for (const int part : parts) {
        for (int other = 0; other < count; ++other) {
            if (!bounds_[at(part)].overlaps(bounds_[at(other)]) || other == part ||
                (part_marked_[at(other)] && other < part)) {
                continue;
            }
            const double area = overlap_area(part, other);
            price += area > 0.0 ? prices_.overlap * area + prices_.overlap_once : 0.0;
        }
    }
    return price;
}

double State::overlap_price(const std::vector<int>& parts) {
    for (const int part : parts) {
        part_marked_[at(part)] = 1;
    }
    const double price = overlaps_of_marked(parts);
    for (const int part : parts) {
        part_marked_[at(part)] = 0;
    }
    return price;
}

double State::price_marked(const std::vector<int>& parts) {
    for (const int part : parts) {
        part_marked_[at(part)] = 1;
    }
    for (const int net : nets_) {
        net_marked_[at(net)] = 1;
    }
    const int count = static_cast<int>(model_.parts.size());
    const int net_count = static_cast<int>(model_.nets.size());
    double price = extent_price() + shape_price();
    for (const int part : parts) {
        price += part_price(part) + order_price(part);
        for (int net = 0; net < net_count; ++net) {
            if (touch(bounds_[at(part)], reach_[at(net)]) && !net_marked_[at(net)]) {
                price += wire_against_part(net, part);
            }
        }
    }
    for (const int net : nets_) {
        price += net_price(net);
        if (wires_[at(net)].spans.empty()) {
            continue;
        }
        for (int part = 0; part < count; ++part) {
            if (touch(bounds_[at(part)], reach_[at(net)])) {
                price += wire_against_part(net, part);
            }
        }
        for (int other = 0; other < net_count; ++other) {
            if (!touch(reach_[at(net)], reach_[at(other)]) || other == net ||
                (net_marked_[at(other)] && other < net)) {
                continue;
            }
            price += clash(wires_[at(net)], wires_[at(other)]);
        }
    }
    for (const int part : parts) {
        part_marked_[at(part)] = 0;
    }
    for (const int net : nets_) {
        net_marked_[at(net)] = 0;
    }
    return price;
}

}  // namespace etchback::drawing::detail
