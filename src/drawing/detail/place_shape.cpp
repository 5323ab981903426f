#include "drawing/detail/place_shape.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <limits>

namespace etchback::drawing::detail {

namespace {

constexpr double far = 20.0;

std::size_t at(int i) {
    return static_cast<std::size_t>(i);
}

const Variant& variant_of(const Model& model, const Placement& placement, int part) {
    return model.parts[at(part)].variants[at(placement.variant[at(part)])];
}

Box absolute(const Box& box, Step by) {
    return {box.left + by.x, box.top + by.y, box.right + by.x, box.bottom + by.y};
}

double price_of_group(const Model& model,
                      const Placement& placement,
                      const Prices& prices,
                      const std::vector<int>& group) {
    Box all{1e9, 1e9, -1e9, -1e9};
    double height = 0.0;
    for (const int part : group) {
        const Box box = absolute(variant_of(model, placement, part).bounds, placement.at[at(part)]);
        all = joined(all, box);
        height += box.bottom - box.top;
    }
    const double size = (all.right - all.left) + (all.bottom - all.top) - height;
    constexpr double loose = 10.0;  // steps more than side by side
    return prices.apart * size +
           (size > loose * static_cast<double>(group.size() - 1) ? 60.0 : 0.0);
}

double price_of_neighbours(const Model& model,
                           const Placement& placement,
                           const Prices& prices,
                           const Neighbours& pair) {
    const auto body = [&](int part) {
        return absolute(variant_of(model, placement, part).body, placement.at[at(part)]);
    };
    const Misfit m = misfit(pair, body(pair.part), body(pair.of));
    return (m.wrong > 0.0 ? prices.beside + prices.beside_step * m.wrong : 0.0) +
           (m.aside > 0.0 ? prices.not_level + prices.not_level_step * m.aside : 0.0) +
           prices.beside_apart * m.apart;
}

double price_of_link(const Model& model,
                     const Placement& placement,
                     const Prices& prices,
                     const Link& link) {
    const auto pin_at = [&](int part, int pin) {
        const Step s = variant_of(model, placement, part).pins[at(pin)].at;
        return Step{s.x + placement.at[at(part)].x, s.y + placement.at[at(part)].y};
    };
    const Step a = pin_at(link.a, link.pin_a);
    const Step b = pin_at(link.b, link.pin_b);
    const int aside = std::abs(link.upright ? a.x - b.x : a.y - b.y);
    const int ahead = link.upright ? b.y - a.y : b.x - a.x;
    if (aside == 0 && ahead >= 0) {
        return 0.0;
    }
    const double away = std::min(far, static_cast<double>(aside + std::max(0, -ahead)));
    return prices.off_line + prices.off_line_step * away;
}

double price_of_symmetry(const Model& model,
                         const Placement& placement,
                         const Prices& prices,
                         const Symmetry& symmetry) {
    const auto off_axis = [&](double by) {
        return by == 0.0 ? 0.0 : prices.off_axis + prices.off_axis_step * std::min(far, by);
    };
    const double axis = middle_of(model, placement, symmetry[0].left) +
                        middle_of(model, placement, symmetry[0].right);
    double price = 0.0;
    for (const Twins& t : symmetry) {
        price += off_axis(std::abs(placement.at[at(t.left)].y - placement.at[at(t.right)].y));
        price += off_axis(std::abs(middle_of(model, placement, t.left) +
                                   middle_of(model, placement, t.right) - axis) /
                          2.0);
        price +=
            mirrors(variant_of(model, placement, t.left), variant_of(model, placement, t.right))
                ? 0.0
                : 2.0 * prices.off_axis;
    }
    return price;
}

double price_of_joining(const Model& model,
                        const Placement& placement,
                        const Prices& prices,
                        const Joining& joining) {
    const Twins& lead = model.symmetries[at(joining.symmetry)].front();
    const double axis =
        (middle_of(model, placement, lead.left) + middle_of(model, placement, lead.right)) / 2.0;
    const double by = std::abs(middle_of(model, placement, joining.part) - axis) / 2.0;
    const Variant& v = variant_of(model, placement, joining.part);
    const bool lies = v.pins[0].at.y == v.pins[1].at.y;
    return (by < 0.75 ? 0.0 : prices.off_axis + prices.off_axis_step * std::min(far, by)) +
           (lies ? 0.0 : 2.0 * prices.off_axis);
}

double price_of_repeat(const Model& model,
                       const Placement& placement,
                       const Prices& prices,
                       const Repeat& repeat) {
    const auto offset = [&](const Twins& t) {
        const Step a = placement.at[at(t.left)];
        const Step b = placement.at[at(t.right)];
        return Step{b.x - a.x, b.y - a.y};
    };
    const Step lead = offset(repeat.front());
    double price = 0.0;
    for (const Twins& t : repeat) {
        const Step own = offset(t);
        const double by = std::abs(own.x - lead.x) + std::abs(own.y - lead.y);
        price += by == 0.0 ? 0.0 : prices.unlike + prices.unlike_step * std::min(far, by);
        price += variant_of(model, placement, t.left).orientation ==
                         variant_of(model, placement, t.right).orientation
                     ? 0.0
                     : prices.unlike;
    }
    return price;
}

// How far the net's wires reach to the left of the leftmost pin that they come from.
double price_of_lead(const Model& model,
                     const Placement& placement,
                     const Prices& prices,
                     const Lead& lead) {
    const auto x_of = [&](const PinOf& pin) {
        return placement.at[at(pin.part)].x +
               variant_of(model, placement, pin.part).pins[at(pin.pin)].at.x;
    };
    int from = std::numeric_limits<int>::max();
    for (const PinOf& pin : lead.from) {
        from = std::min(from, x_of(pin));
    }
    int leftmost = from;
    for (const PinOf& pin : model.nets[at(lead.net)].pins) {
        leftmost = std::min(leftmost, x_of(pin));
    }
    return prices.against * (from - leftmost);
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
    const Box& left = variant_of(model, placement, first).body;
    const Box& right = variant_of(model, placement, second).body;
    return std::max(
        0.0,
        placement.at[at(first)].x + left.right + gap - (placement.at[at(second)].x + right.left));
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
    const Box& body = variant_of(model, placement, part).body;
    return 2.0 * placement.at[at(part)].x + body.left + body.right;
}

// Links first, then symmetries, groups, neighbours, joinings, leads, repeats.
Shapes::Shapes(const Model& model)
    : model_(model),
      count_(static_cast<int>(model.links.size() + model.symmetries.size() + model.together.size() +
                              model.neighbours.size() + model.joinings.size() + model.leads.size() +
                              model.repeats.size())),
      of_(model.parts.size()) {
    int shape = 0;
    const auto note = [&](int part) {
        std::vector<int>& all = of_[at(part)];
        if (all.empty() || all.back() != shape) {
            all.push_back(shape);
        }
    };
    for (const Link& link : model.links) {
        note(link.a);
        note(link.b);
        ++shape;
    }
    for (const Symmetry& symmetry : model.symmetries) {
        for (const Twins& t : symmetry) {
            note(t.left);
            note(t.right);
        }
        ++shape;
    }
    for (const std::vector<int>& group : model.together) {
        std::for_each(group.begin(), group.end(), note);
        ++shape;
    }
    for (const Neighbours& pair : model.neighbours) {
        note(pair.part);
        note(pair.of);
        ++shape;
    }
    for (const Joining& joining : model.joinings) {
        const Twins& lead = model.symmetries[at(joining.symmetry)].front();
        note(joining.part);
        note(lead.left);
        note(lead.right);
        ++shape;
    }
    for (const Lead& lead : model.leads) {
        for (const PinOf& pin : model.nets[at(lead.net)].pins) {
            note(pin.part);
        }
        ++shape;
    }
    for (const Repeat& repeat : model.repeats) {
        for (const Twins& t : repeat) {
            note(t.left);
            note(t.right);
        }
        ++shape;
    }
}

double Shapes::price(const Placement& placement, const Prices& prices, int shape) const {
    auto index = at(shape);
    if (index < model_.links.size()) {
        return price_of_link(model_, placement, prices, model_.links[index]);
    }
    index -= model_.links.size();
    if (index < model_.symmetries.size()) {
        return price_of_symmetry(model_, placement, prices, model_.symmetries[index]);
    }
    index -= model_.symmetries.size();
    if (index < model_.together.size()) {
        return price_of_group(model_, placement, prices, model_.together[index]);
    }
    index -= model_.together.size();
    if (index < model_.neighbours.size()) {
        return price_of_neighbours(model_, placement, prices, model_.neighbours[index]);
    }
    index -= model_.neighbours.size();
    if (index < model_.joinings.size()) {
        return price_of_joining(model_, placement, prices, model_.joinings[index]);
    }
    index -= model_.joinings.size();
    if (index < model_.leads.size()) {
        return price_of_lead(model_, placement, prices, model_.leads[index]);
    }
    return price_of_repeat(model_, placement, prices, model_.repeats[index - model_.leads.size()]);
}

double shape_price(const Model& model, const Placement& placement, const Prices& prices) {
    double price = 0.0;
    for (const std::vector<int>& group : model.together) {
        price += price_of_group(model, placement, prices, group);
    }
    for (const Neighbours& pair : model.neighbours) {
        price += price_of_neighbours(model, placement, prices, pair);
    }
    for (const Link& link : model.links) {
        price += price_of_link(model, placement, prices, link);
    }
    for (const Symmetry& symmetry : model.symmetries) {
        price += price_of_symmetry(model, placement, prices, symmetry);
    }
    for (const Joining& joining : model.joinings) {
        price += price_of_joining(model, placement, prices, joining);
    }
    for (const Lead& lead : model.leads) {
        price += price_of_lead(model, placement, prices, lead);
    }
    for (const Repeat& repeat : model.repeats) {
        price += price_of_repeat(model, placement, prices, repeat);
    }
    return price;
}

}  // namespace etchback::drawing::detail
