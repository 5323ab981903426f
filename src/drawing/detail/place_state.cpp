#include "drawing/detail/place_state.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <numeric>

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

bool on_the_rim(const Box& box, const Box& all) {
    return box.left <= all.left || box.top <= all.top || box.right >= all.right ||
           box.bottom >= all.bottom;
}

}  // namespace

State::State(const Model& model, std::vector<Step> aims, Placement placement, const Prices& prices)
    : model_(model),
      parts_(model.parts.size()),
      nets_(model.nets.size()),
      aims_(std::move(aims)),
      placement_(std::move(placement)),
      prices_(prices),
      shapes_(model),
      rim_of_(parts_, -1),
      bounds_(parts_),
      net_(nets_),
      all_(nowhere),
      part_price_(parts_, 0.0),
      area_(parts_ * parts_, 0.0),
      hit_(nets_ * parts_, 0.0),
      clash_(nets_ * nets_, 0.0),
      shape_price_(at(shapes_.count()), 0.0),
      part_marked_(parts_, 0),
      net_marked_(nets_, 0),
      shape_marked_(at(shapes_.count()), 0),
      new_all_(nowhere) {
    for (int p = 0; p < static_cast<int>(parts_); ++p) {
        if (model_.parts[at(p)].rim != 0) {
            rim_of_[at(p)] = static_cast<int>(rims_.size());
            rims_.push_back(p);
        }
    }
    order_.assign(rims_.size() * parts_, 0.0);
    price_all();
}

void State::price_all() {
    const int parts = static_cast<int>(parts_);
    const int nets = static_cast<int>(nets_);
    for (int p = 0; p < parts; ++p) {
        set(p, placement_.at[at(p)], placement_.variant[at(p)]);
    }
    all_ = extent();
    for (int n = 0; n < nets; ++n) {
        lay(n, net_[at(n)]);
    }
    for (int p = 0; p < parts; ++p) {
        part_price_[at(p)] = part_price(p);
        for (int q = 0; q < p; ++q) {
            area_[of_parts(p, q)] = area_[of_parts(q, p)] = overlap_area(p, q);
        }
    }
    for (std::size_t r = 0; r < rims_.size(); ++r) {
        for (int p = 0; p < parts; ++p) {
            order_[r * parts_ + at(p)] = order_price(static_cast<int>(r), p);
        }
    }
    for (int n = 0; n < nets; ++n) {
        for (int p = 0; p < parts; ++p) {
            hit_[of_net(n, p)] = hit_price(net_[at(n)], p);
        }
        for (int m = 0; m < n; ++m) {
            clash_[of_nets(n, m)] = clash_[of_nets(m, n)] =
                clash(net_[at(n)].wire, net_[at(m)].wire);
        }
    }
    for (int s = 0; s < shapes_.count(); ++s) {
        shape_price_[at(s)] = shapes_.price(placement_, prices_, s);
    }
}

double State::price() const {
    double sum = extent_price(all_);
    for (const std::vector<double>* each : {&part_price_, &order_, &hit_, &shape_price_}) {
        sum = std::accumulate(each->begin(), each->end(), sum);
    }
    for (const Net& net : net_) {
        sum += net.price;
    }
    double twice = std::accumulate(clash_.begin(), clash_.end(), 0.0);
    for (const double area : area_) {
        twice += crowding(area);
    }
    return sum + twice / 2.0;
}

void State::set_overlap_prices(double per_square_step, double once) {
    prices_.overlap = per_square_step;
    prices_.overlap_once = once;
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

// ---- prices of single things -------------------------------------------------------------------

void State::lay(int net, Net& out) {
    const ModelNet& n = model_.nets[at(net)];
    pips_.clear();
    if (n.style == NetStyle::wired) {
        for (const PinOf& pin : n.pins) {
            const Step s = pin_at(pin);
            pips_.push_back({s.x, s.y, pin_facing(pin)});
        }
    }
    estimate_wire(pips_, prices_.wire, out.wire, n.rail);
    out.reach = reach_of(out.wire);
    out.price = out.wire.cost;
    if (n.pins.size() < 2) {
        return;
    }
    if (n.style != NetStyle::wired) {
        out.price += price_of_signs(n);
        return;
    }
    if (n.rail != Rail::none) {
        out.price += prices_.rail * unevenness(n.rail);
    }
    // A return is a rail below all that hangs on it.
    out.price *= n.low ? 0.7 : 1.0;
}

// Held together by signs: only what is near by may be near by.
double State::price_of_signs(const ModelNet& net) const {
    const double cap = net.style == NetStyle::returns ? 6.0 : 16.0;
    const double weight = net.style == NetStyle::returns ? 0.3 : 0.6;
    double price = 0.0;
    for (const PinOf& pin : net.pins) {
        const Step a = pin_at(pin);
        double nearest = cap;
        for (const PinOf& other : net.pins) {
            if (other.part == pin.part) {
                continue;
            }
            const Step b = pin_at(other);
            const double away = std::abs(a.x - b.x) + 2.0 * std::abs(a.y - b.y);
            nearest = std::min(nearest, away);
        }
        price += weight * nearest;
    }
    return price;
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

bool State::beyond_its_zone(int part) const {
    const ModelPart& p = model_.parts[at(part)];
    const Box& b = bounds_[at(part)];
    const auto zone = at(p.zone);
    return p.astride < 0 &&
           ((zone > 0 && b.left < placement_.lines[zone - 1] + 0.5) ||
            (zone < placement_.lines.size() && b.right > placement_.lines[zone] - 0.5));
}

bool State::overlaps(int part) const {
    const auto row = area_.begin() + static_cast<std::ptrdiff_t>(of_parts(part, 0));
    return std::any_of(row,
                       row + static_cast<std::ptrdiff_t>(parts_),
                       [](double area) { return area > 0.0; }) ||
           beyond_its_zone(part);
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

// Of two terminals the pair is priced once.
double State::order_price(int rim, int part) const {
    if (rim_of_[at(part)] >= 0 && rim_of_[at(part)] <= rim) {
        return 0.0;
    }
    const double wrong = out_of_order(model_, placement_, rims_[at(rim)], part);
    return wrong > 0.0 ? prices_.order_once + prices_.order * wrong : 0.0;
}

double State::hit_price(const Net& net, int part) const {
    if (!touch(bounds_[at(part)], net.reach)) {
        return 0.0;
    }
    const Variant& v = variant(part);
    const Step where = placement_.at[at(part)];
    double price = clash(net.wire, grown(absolute(v.body, where), -0.05), prices_.through_body);
    for (std::size_t i = 1; i < v.rooms.size(); ++i) {
        price += clash(net.wire, absolute(v.rooms[i], where), prices_.through_label);
    }
    return price;
}

Box State::extent() const {
    Box all = nowhere;
    for (const Box& box : bounds_) {
        all = joined(all, box);
    }
    return all;
}

// ---- moves -------------------------------------------------------------------------------------

void State::begin(const std::vector<Shift>& shifts) {
    movers_.clear();
    old_.clear();
    old_bounds_.clear();
    touched_nets_.clear();
    touched_shapes_.clear();
    laid_ = 0;
    for (const Shift& shift : shifts) {
        const int part = shift.part;
        movers_.push_back(part);
        old_.push_back({part, placement_.at[at(part)], placement_.variant[at(part)]});
        old_bounds_.push_back(bounds_[at(part)]);
        part_marked_[at(part)] = 1;
        for (const int net : model_.parts[at(part)].nets) {
            if (!net_marked_[at(net)]) {
                net_marked_[at(net)] = 1;
                touched_nets_.push_back(net);
            }
        }
        for (const int shape : shapes_.of(part)) {
            if (!shape_marked_[at(shape)]) {
                shape_marked_[at(shape)] = 1;
                touched_shapes_.push_back(shape);
            }
        }
    }
}

// Of all that the movers take part in; overlaps apart.
double State::price_before() {
    double price = extent_price(all_);
    for (const int part : movers_) {
        price += part_price_[at(part)];
    }
    for (std::size_t r = 0; r < rims_.size(); ++r) {
        const double* row = &order_[r * parts_];
        if (part_marked_[at(rims_[r])]) {
            for (std::size_t p = 0; p < parts_; ++p) {
                price += row[p];
            }
            continue;
        }
        for (const int part : movers_) {
            price += row[at(part)];
        }
    }
    for (const int shape : touched_shapes_) {
        price += shape_price_[at(shape)];
    }
    for (std::size_t n = 0; n < nets_; ++n) {
        if (!net_marked_[n]) {
            for (const int part : movers_) {
                price += hit_[n * parts_ + at(part)];
            }
        }
    }
    double twice = 0.0;
    for (const int net : touched_nets_) {
        price += net_[at(net)].price;
        const double* hits = &hit_[of_net(net, 0)];
        for (std::size_t p = 0; p < parts_; ++p) {
            price += hits[p];
        }
        const double* clashes = &clash_[of_nets(net, 0)];
        for (std::size_t m = 0; m < nets_; ++m) {
            price += clashes[m];
        }
        for (const int other : touched_nets_) {
            twice += clashes[other];
        }
    }
    return price - twice / 2.0;
}

// The overlaps of the movers as they stand now; `after` grows by what they are dearer than before.
bool State::crowd(const Limits& limits, double& after) {
    new_area_.assign(movers_.size() * parts_, 0.0);
    double change = 0.0;
    for (std::size_t i = 0; i < movers_.size(); ++i) {
        const int part = movers_[i];
        const Box& bounds = bounds_[at(part)];
        for (int other = 0; other < static_cast<int>(parts_); ++other) {
            const double old = area_[of_parts(part, other)];
            const bool near = other != part && bounds.overlaps(bounds_[at(other)]);
            if (old == 0.0 && !near) {
                continue;
            }
            const double area = near ? overlap_area(part, other) : 0.0;
            new_area_[i * parts_ + at(other)] = area;
            if (!(part_marked_[at(other)] && other < part)) {
                change += crowding(area) - crowding(old);
            }
            if (limits.strict && area > 0.0) {
                return false;
            }
        }
        if (limits.strict && beyond_its_zone(part)) {
            return false;
        }
    }
    after += change;
    return change <= limits.crowding;
}

bool State::lay_nets(double most, double& after) {
    old_nets_.resize(std::max(old_nets_.size(), touched_nets_.size()));
    while (laid_ < touched_nets_.size()) {
        const int net = touched_nets_[laid_];
        std::swap(old_nets_[laid_], net_[at(net)]);
        ++laid_;
        lay(net, net_[at(net)]);
        after += net_[at(net)].price;
        if (after > most) {
            return false;
        }
    }
    return true;
}

bool State::clash_nets(double most, double& after) {
    new_clash_.assign(touched_nets_.size() * nets_, 0.0);
    new_hit_of_net_.assign(touched_nets_.size() * parts_, 0.0);
    new_hit_of_part_.assign(movers_.size() * nets_, 0.0);
    for (std::size_t i = 0; i < touched_nets_.size(); ++i) {
        const int net = touched_nets_[i];
        const Net& mine = net_[at(net)];
        if (mine.wire.spans.empty()) {
            continue;
        }
        for (int other = 0; other < static_cast<int>(nets_); ++other) {
            const Net& theirs = net_[at(other)];
            if (!touch(mine.reach, theirs.reach) || other == net ||
                (net_marked_[at(other)] && other < net)) {
                continue;
            }
            const double price = clash(mine.wire, theirs.wire);
            new_clash_[i * nets_ + at(other)] = price;
            after += price;
        }
        if (after > most) {
            return false;
        }
        for (int part = 0; part < static_cast<int>(parts_); ++part) {
            if (touch(bounds_[at(part)], mine.reach)) {
                const double price = hit_price(mine, part);
                new_hit_of_net_[i * parts_ + at(part)] = price;
                after += price;
            }
        }
        if (after > most) {
            return false;
        }
    }
    for (std::size_t i = 0; i < movers_.size(); ++i) {
        for (int net = 0; net < static_cast<int>(nets_); ++net) {
            if (!net_marked_[at(net)] && touch(bounds_[at(movers_[i])], net_[at(net)].reach)) {
                const double price = hit_price(net_[at(net)], movers_[i]);
                new_hit_of_part_[i * nets_ + at(net)] = price;
                after += price;
            }
        }
    }
    return after <= most;
}

// The cheap prices first; false as soon as it is clear that the move is too dear.
bool State::price_after(const Limits& limits, double before) {
    const double most = before + limits.change;
    double after = 0.0;
    if (!crowd(limits, after)) {
        return false;
    }
    const bool on_rim = std::any_of(old_bounds_.begin(), old_bounds_.end(), [&](const Box& box) {
        return on_the_rim(box, all_);
    });
    new_all_ = on_rim ? extent() : all_;
    new_part_price_.clear();
    for (const int part : movers_) {
        new_all_ = joined(new_all_, bounds_[at(part)]);
        new_part_price_.push_back(part_price(part));
        after += new_part_price_.back();
    }
    after += extent_price(new_all_);
    new_shape_.clear();
    for (const int shape : touched_shapes_) {
        new_shape_.push_back(shapes_.price(placement_, prices_, shape));
        after += new_shape_.back();
    }
    if (after > most) {
        return false;
    }
    new_order_.clear();
    for (std::size_t r = 0; r < rims_.size(); ++r) {
        const bool moved_rim = part_marked_[at(rims_[r])];
        const std::size_t count = moved_rim ? parts_ : movers_.size();
        for (std::size_t i = 0; i < count; ++i) {
            const int part = moved_rim ? static_cast<int>(i) : movers_[i];
            new_order_.push_back(order_price(static_cast<int>(r), part));
            after += new_order_.back();
        }
    }
    if (!lay_nets(most, after) || !clash_nets(most, after)) {
        return false;
    }
    change_ = after - before;
    return true;
}

void State::keep() {
    all_ = new_all_;
    for (std::size_t i = 0; i < movers_.size(); ++i) {
        const int part = movers_[i];
        part_price_[at(part)] = new_part_price_[i];
        for (int other = 0; other < static_cast<int>(parts_); ++other) {
            area_[of_parts(part, other)] = area_[of_parts(other, part)] =
                new_area_[i * parts_ + at(other)];
        }
        for (int net = 0; net < static_cast<int>(nets_); ++net) {
            if (!net_marked_[at(net)]) {
                hit_[of_net(net, part)] = new_hit_of_part_[i * nets_ + at(net)];
            }
        }
    }
    std::size_t next = 0;
    for (std::size_t r = 0; r < rims_.size(); ++r) {
        const bool moved_rim = part_marked_[at(rims_[r])];
        const std::size_t count = moved_rim ? parts_ : movers_.size();
        for (std::size_t i = 0; i < count; ++i) {
            const auto part = moved_rim ? i : at(movers_[i]);
            order_[r * parts_ + part] = new_order_[next++];
        }
    }
    for (std::size_t i = 0; i < touched_shapes_.size(); ++i) {
        shape_price_[at(touched_shapes_[i])] = new_shape_[i];
    }
    for (std::size_t i = 0; i < touched_nets_.size(); ++i) {
        const int net = touched_nets_[i];
        std::copy_n(new_hit_of_net_.begin() + static_cast<std::ptrdiff_t>(i * parts_),
                    parts_,
                    hit_.begin() + static_cast<std::ptrdiff_t>(of_net(net, 0)));
        for (int other = 0; other < static_cast<int>(nets_); ++other) {
            if (!(net_marked_[at(other)] && other < net)) {
                clash_[of_nets(net, other)] = clash_[of_nets(other, net)] =
                    new_clash_[i * nets_ + at(other)];
            }
        }
    }
}

void State::take_back() {
    for (std::size_t i = 0; i < movers_.size(); ++i) {
        placement_.at[at(movers_[i])] = old_[i].at;
        placement_.variant[at(movers_[i])] = old_[i].variant;
        bounds_[at(movers_[i])] = old_bounds_[i];
    }
    for (std::size_t i = 0; i < laid_; ++i) {
        std::swap(old_nets_[i], net_[at(touched_nets_[i])]);
    }
}

void State::end() {
    for (const int part : movers_) {
        part_marked_[at(part)] = 0;
    }
    for (const int net : touched_nets_) {
        net_marked_[at(net)] = 0;
    }
    for (const int shape : touched_shapes_) {
        shape_marked_[at(shape)] = 0;
    }
}

bool State::move(const std::vector<Shift>& shifts, const Limits& limits) {
    begin(shifts);
    const double before = price_before();
    for (const Shift& shift : shifts) {
        set(shift.part, shift.at, shift.variant);
    }
    const bool good = price_after(limits, before);
    if (good) {
        keep();
    } else {
        take_back();
    }
    end();
    return good;
}

std::optional<double> State::change_if_free(const Shift& shift) {
    begin({shift});
    const double before = price_before();
    set(shift.part, shift.at, shift.variant);
    Limits limits = no_limits;
    limits.strict = true;
    const bool good = price_after(limits, before);
    take_back();
    end();
    return good ? std::optional<double>(change_) : std::nullopt;
}

}  // namespace etchback::drawing::detail
