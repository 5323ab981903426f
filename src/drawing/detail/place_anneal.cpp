#include "drawing/detail/place_anneal.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <optional>

#include "drawing/detail/place_aims.h"
#include "drawing/detail/place_dice.h"

namespace etchback::drawing::detail {

namespace {

std::size_t at(int i) {
    return static_cast<std::size_t>(i);
}

constexpr double hopeless = 12.0;  // more crowding than any shorter wire makes up for

class Annealer {
public:
    Annealer(const Model& model, const Effort& effort, const Aims& aims, State& state)
        : model_(model), effort_(effort), aims_(aims), state_(state), dice_(effort.seed * 7919) {
        find_lines(true, columns_);
        find_lines(false, rows_);
        twins_.assign(model.parts.size(), {-1, -1});
        for (std::size_t s = 0; s < model.symmetries.size(); ++s) {
            for (const Twins& t : model.symmetries[s]) {
                twins_[at(t.left)] = {t.right, static_cast<int>(s)};
                twins_[at(t.right)] = {t.left, static_cast<int>(s)};
            }
        }
    }

    void run(double hot) {
        const int stages = 24;
        const double cold = 0.25;
        for (int stage = 0; stage < stages; ++stage) {
            const double done = static_cast<double>(stage) / (stages - 1);
            temperature_ = hot * std::pow(cold / hot, done);
            state_.set_overlap_prices(0.5 + 4.5 * done, 1.0 + 14.0 * done);
            for (int i = 0; i < effort_.moves / stages; ++i) {
                propose();
                try_moves(false);
            }
        }
    }

    // Pushes parts that overlap to the nearest place where they do not.
    void separate() {
        state_.set_overlap_prices(20.0, 60.0);
        temperature_ = 0.0;
        std::vector<int> order;
        for (int p = 0; p < static_cast<int>(model_.parts.size()); ++p) {
            order.push_back(p);
        }
        std::stable_sort(
            order.begin(), order.end(), [&](int a, int b) { return size_of(a) < size_of(b); });
        for (int round = 0; round < 20; ++round) {
            bool clean = true;
            for (const int part : order) {
                if (!model_.parts[at(part)].fixed && state_.overlaps(part)) {
                    clean = false;
                    move_to_free_place(part);
                }
            }
            if (clean) {
                return;
            }
        }
    }

    // Only improvements that overlap nothing.
    void polish(int moves) {
        temperature_ = 0.0;
        for (int i = 0; i < moves; ++i) {
            propose();
            try_moves(true);
        }
    }

private:
    double size_of(int part) const {
        const Box b = state_.bounds(part);
        return (b.right - b.left) * (b.bottom - b.top);
    }
    Step where(int part) const { return state_.placement().at[at(part)]; }
    int variant_of(int part) const { return state_.placement().variant[at(part)]; }

    void add(int part, Step to, int variant) {
        const ModelPart& p = model_.parts[at(part)];
        if (p.fixed) {
            if (variant != variant_of(part) && p.astride < 0) {
                shifts_.push_back({part, where(part), variant});
            }
            return;
        }
        if (p.tie >= 0) {
            add_tied(part, to, variant);
            return;
        }
        if (p.astride >= 0) {
            to.x = x_astride(model_, part, variant, state_.placement().lines[at(p.astride)]);
        }
        shifts_.push_back({part, to, variant});
    }

    // All that is tied to a part moves by as much; aside only if nothing of it stands astride.
    void add_tied(int part, Step to, int variant) {
        const Tied& tied = model_.ties[at(model_.parts[at(part)].tie)];
        Step by{to.x - where(part).x, to.y - where(part).y};
        for (const TiedPart& t : tied) {
            const ModelPart& p = model_.parts[at(t.part)];
            const bool moves_already = std::any_of(
                shifts_.begin(), shifts_.end(), [&](const Shift& s) { return s.part == t.part; });
            if (moves_already) {
                return;
            }
            if (p.astride >= 0) {
                const int v = t.part == part ? variant : variant_of(t.part);
                by.x = x_astride(model_, t.part, v, state_.placement().lines[at(p.astride)]) -
                       where(t.part).x;
            }
        }
        for (const TiedPart& t : tied) {
            shifts_.push_back({t.part,
                               {where(t.part).x + by.x, where(t.part).y + by.y},
                               t.part == part ? variant : variant_of(t.part)});
        }
    }

    // The parts in line with each other, by part; a part alone has an empty line.
    void find_lines(bool upright, std::vector<std::vector<int>>& lines) {
        lines.assign(model_.parts.size(), {});
        std::vector<std::vector<int>> next(model_.parts.size());
        for (const Link& link : model_.links) {
            if (link.upright == upright) {
                next[at(link.a)].push_back(link.b);
                next[at(link.b)].push_back(link.a);
            }
        }
        for (int part = 0; part < static_cast<int>(model_.parts.size()); ++part) {
            std::vector<int>& line = lines[at(part)];
            line.push_back(part);
            for (std::size_t i = 0; i < line.size(); ++i) {
                for (const int other : next[at(line[i])]) {
                    if (std::find(line.begin(), line.end(), other) == line.end()) {
                        line.push_back(other);
                    }
                }
            }
        }
    }

    // A move of one part often takes its line along, and its twin to the other side.
    void widen() {
        if (shifts_.size() != 1) {
            return;
        }
        const Shift first = shifts_[0];
        const Step by{first.at.x - where(first.part).x, first.at.y - where(first.part).y};
        const bool turned = first.variant != variant_of(first.part);
        if (!turned && dice_.chance(0.5)) {
            const auto& line = (dice_.chance(0.6) ? columns_ : rows_)[at(first.part)];
            for (const int other : line) {
                if (other != first.part) {
                    add(other, {where(other).x + by.x, where(other).y + by.y}, variant_of(other));
                }
            }
        }
        if (dice_.chance(0.6)) {
            mirror_shifts();
        }
    }

    void mirror_shifts() {
        const std::size_t count = shifts_.size();
        for (std::size_t i = 0; i < count; ++i) {
            const Shift s = shifts_[i];
            const auto [other, symmetry] = twins_[at(s.part)];
            const auto moved_too = std::any_of(
                shifts_.begin(), shifts_.end(), [&](const Shift& t) { return t.part == other; });
            if (other < 0 || moved_too) {
                continue;
            }
            int variant = variant_of(other);
            const ModelPart& mine = model_.parts[at(s.part)];
            const ModelPart& theirs = model_.parts[at(other)];
            const Variant& shape = mine.variants[at(s.variant)];
            if (!mirrors(shape, theirs.variants[at(variant)])) {
                for (std::size_t v = 0; v < theirs.variants.size(); ++v) {
                    if (mirrors(shape, theirs.variants[v])) {
                        variant = static_cast<int>(v);
                        break;
                    }
                }
            }
            const Symmetry& all = model_.symmetries[at(symmetry)];
            const int lead = all[0].left == s.part || all[0].right == s.part;
            const Box& mb = shape.body;
            const Box& tb = theirs.variants[at(variant)].body;
            if (lead) {  // keeps the axis where it is
                const double axis = state_.middle_of(all[0].left) + state_.middle_of(all[0].right);
                const double middle = axis - (2.0 * s.at.x + mb.left + mb.right);
                add(other,
                    {static_cast<int>(std::lround((middle - tb.left - tb.right) / 2.0)), s.at.y},
                    variant);
                continue;
            }
            double axis = 0.0;
            for (const int part : {all[0].left, all[0].right}) {
                const auto shifted = std::find_if(
                    shifts_.begin(), shifts_.end(), [&](const Shift& t) { return t.part == part; });
                const double by =
                    shifted == shifts_.end() ? 0.0 : 2.0 * (shifted->at.x - where(part).x);
                axis += state_.middle_of(part) + by;
            }
            const double middle = axis - (2.0 * s.at.x + mb.left + mb.right);
            add(other,
                {static_cast<int>(std::lround((middle - tb.left - tb.right) / 2.0)), s.at.y},
                variant);
        }
    }

    // Sets a part right behind the one that it is linked with.
    void propose_link() {
        if (model_.links.empty()) {
            return;
        }
        const Link& link = model_.links[at(dice_.below(static_cast<int>(model_.links.size())))];
        const bool second = dice_.chance(0.5);
        const int mover = second ? link.b : link.a;
        const int pin = second ? link.pin_b : link.pin_a;
        const Step target =
            state_.pin_at(second ? PinOf{link.a, link.pin_a} : PinOf{link.b, link.pin_b});
        const int variant = dice_.chance(0.6) ? variant_of(mover) : 0;
        const Step own = model_.parts[at(mover)].variants[at(variant)].pins[at(pin)].at;
        const int gap = dice_.between(1, 7) * (second ? 1 : -1);
        const Step to =
            link.upright ? Step{target.x, target.y + gap} : Step{target.x + gap, target.y};
        add(mover, {to.x - own.x, to.y - own.y}, variant);
    }

    // Sets a part of a copy, or all of it, as in the model.
    void propose_repeat() {
        shifts_.clear();
        const Repeat& repeat =
            model_.repeats[at(dice_.below(static_cast<int>(model_.repeats.size())))];
        const Twins& lead = repeat.front();
        const int only = dice_.chance(0.5) ? dice_.below(static_cast<int>(repeat.size())) : -1;
        for (int i = 1; i < static_cast<int>(repeat.size()); ++i) {
            const Twins& t = repeat[at(i)];
            if (only > 0 && i != only) {
                continue;
            }
            const auto& variants = model_.parts[at(t.right)].variants;
            const Orientation& like = state_.variant(t.left).orientation;
            const auto found =
                std::find_if(variants.begin(), variants.end(), [&](const Variant& v) {
                    return v.orientation == like;
                });
            const Step s = where(t.left);
            add(t.right,
                {s.x + where(lead.right).x - where(lead.left).x,
                 s.y + where(lead.right).y - where(lead.left).y},
                found == variants.end() ? variant_of(t.right)
                                        : static_cast<int>(found - variants.begin()));
        }
    }

    void propose() {
        if (!model_.repeats.empty() && dice_.chance(0.1)) {
            propose_repeat();
            return;
        }
        propose_core();
        widen();
    }

    void propose_core() {
        shifts_.clear();
        const int part = dice_.below(static_cast<int>(model_.parts.size()));
        if (dice_.chance(0.15)) {
            propose_link();
            return;
        }
        const double which = dice_.unit();
        if (which < 0.42) {
            propose_alignment(part, false);
        } else if (which < 0.54) {
            propose_alignment(part, true);
        } else if (which < 0.74) {
            const int reach = temperature_ > 3.0 ? 8 : 3;
            add(part,
                {where(part).x + dice_.between(-reach, reach),
                 where(part).y + dice_.between(-reach, reach)},
                variant_of(part));
        } else if (which < 0.82) {
            propose_swap(part);
        } else if (which < 0.94) {
            propose_turn(part);
        } else if (which < 0.985) {
            propose_cluster(part);
        } else {
            propose_slab(part);
        }
    }

    // Puts one pin of the part in line with another pin of its net; with the part's whole
    // neighbourhood if `together`.
    void propose_alignment(int part, bool together) {
        const int old = variant_of(part);
        const auto& variants = model_.parts[at(part)].variants;
        const int variant = together || dice_.chance(0.6) || variants.size() == 1
                                ? old
                                : dice_.below(static_cast<int>(variants.size()));
        const auto& pins = variants[at(variant)].pins;
        if (pins.empty()) {
            return;
        }
        const int pin = dice_.below(static_cast<int>(pins.size()));
        const int net = pins[at(pin)].net;
        if (net < 0) {
            return;
        }
        const ModelNet& n = model_.nets[at(net)];
        const PinOf other = n.pins[at(dice_.below(static_cast<int>(n.pins.size())))];
        if (other.part == part) {
            return;
        }
        const Step target = state_.pin_at(other);
        const Direction theirs = state_.pin_facing(other);
        const Step away = step_of(theirs);
        Step to = target;
        if (pins[at(pin)].facing == opposite(theirs)) {
            const int distance = dice_.between(2, 8);
            to = {target.x + away.x * distance, target.y + away.y * distance};
        } else if (pins[at(pin)].facing == theirs) {
            const int aside = dice_.between(3, 14) * (dice_.chance(0.5) ? 1 : -1);
            to = away.x != 0 ? Step{target.x, target.y + aside} : Step{target.x + aside, target.y};
        } else {
            const int out = dice_.between(1, 5);
            const Step mine = step_of(pins[at(pin)].facing);
            const int back = dice_.between(1, 6);
            to = {target.x + away.x * out - mine.x * back, target.y + away.y * out - mine.y * back};
        }
        const Step place{to.x - pins[at(pin)].at.x, to.y - pins[at(pin)].at.y};
        if (!together) {
            add(part, place, variant);
            return;
        }
        const Step by{place.x - where(part).x, place.y - where(part).y};
        add_cluster(part, other.part, by);
    }

    // The part and some of what hangs on it, without `spared`.
    void add_cluster(int part, int spared, Step by) {
        std::vector<int> cluster{part};
        const int most = dice_.between(2, 7);
        for (std::size_t i = 0; i < cluster.size() && static_cast<int>(cluster.size()) < most;
             ++i) {
            for (const int net : model_.parts[at(cluster[i])].nets) {
                const ModelNet& n = model_.nets[at(net)];
                if (n.style != NetStyle::wired || n.pins.size() > 4) {
                    continue;
                }
                for (const PinOf& pin : n.pins) {
                    const bool fresh =
                        std::find(cluster.begin(), cluster.end(), pin.part) == cluster.end();
                    if (fresh && pin.part != spared && static_cast<int>(cluster.size()) < most &&
                        dice_.chance(0.8)) {
                        cluster.push_back(pin.part);
                    }
                }
            }
        }
        for (const int member : cluster) {
            add(member, {where(member).x + by.x, where(member).y + by.y}, variant_of(member));
        }
    }

    void propose_cluster(int part) {
        const int reach = temperature_ > 3.0 ? 8 : 3;
        add_cluster(part, -1, {dice_.between(-reach, reach), dice_.between(-reach, reach)});
    }

    void propose_swap(int part) {
        const int other = dice_.below(static_cast<int>(model_.parts.size()));
        const ModelPart& a = model_.parts[at(part)];
        const ModelPart& b = model_.parts[at(other)];
        if (other == part || a.zone != b.zone || (a.astride >= 0) != (b.astride >= 0)) {
            return;
        }
        add(part, where(other), variant_of(part));
        add(other, where(part), variant_of(other));
    }

    void propose_turn(int part) {
        const auto& variants = model_.parts[at(part)].variants;
        if (variants.size() < 2) {
            return;
        }
        const int variant = dice_.below(static_cast<int>(variants.size()));
        const auto& now = state_.variant(part).pins;
        Step to = where(part);
        if (!now.empty() && dice_.chance(0.6)) {  // about one of its pins
            const auto pin = at(dice_.below(static_cast<int>(now.size())));
            const Step a = now[pin].at;
            const Step b = variants[at(variant)].pins[pin].at;
            to = {to.x + a.x - b.x, to.y + a.y - b.y};
        }
        add(part, to, variant);
    }

    // All parts beyond a line across the drawing, to make or take away room.
    void propose_slab(int part) {
        const bool upright = dice_.chance(0.5);
        const Step edge = where(part);
        int by = dice_.between(1, 3) * (dice_.chance(0.6) ? -1 : 1);
        const bool before = dice_.chance(0.5);
        for (int p = 0; p < static_cast<int>(model_.parts.size()); ++p) {
            const Step s = where(p);
            const bool inside = upright ? (before ? s.x <= edge.x : s.x >= edge.x)
                                        : (before ? s.y <= edge.y : s.y >= edge.y);
            if (inside) {
                const int d = before ? -by : by;
                add(p, upright ? Step{s.x + d, s.y} : Step{s.x, s.y + d}, variant_of(p));
            }
        }
    }

    // By how much dearer a move may be made at this temperature.
    double patience() {
        return temperature_ > 0.0 ? -temperature_ * std::log(std::max(1e-12, dice_.unit())) : 0.0;
    }

    void try_moves(bool strict) {
        if (!shifts_.empty()) {
            state_.move(shifts_, {patience(), hopeless + 12.0 * temperature_, strict});
        }
    }

    // The nearest place where nothing of a tied group overlaps anything.
    void move_tied_to_free_place(int part) {
        const Step home = where(part);
        for (int reach = 1; reach < 120; ++reach) {
            for (int dx = -reach; dx <= reach; ++dx) {
                const int dy = reach - std::abs(dx);
                for (const int sign : {-1, 1}) {
                    shifts_.clear();
                    add(part, {home.x + dx, home.y + sign * dy}, variant_of(part));
                    if (state_.move(shifts_, {1e300, 1e300, true})) {
                        return;
                    }
                }
            }
        }
    }

    void move_to_free_place(int part) {
        if (model_.parts[at(part)].tie >= 0) {
            move_tied_to_free_place(part);
            return;
        }
        const Step home = where(part);
        const int variant = variant_of(part);
        double best_price = 1e18;
        Step best = home;
        bool found = false;
        for (int reach = 1; reach < 120 && !(found && reach > best_reach_ + 3); ++reach) {
            for (int dx = -reach; dx <= reach; ++dx) {
                const int dy = reach - std::abs(dx);
                for (const int sign : {-1, 1}) {
                    shifts_.clear();
                    add(part, {home.x + dx, home.y + sign * dy}, variant);
                    const std::optional<double> price = state_.change_if_free(shifts_[0]);
                    if (price && *price < best_price) {
                        best_price = *price;
                        best = shifts_[0].at;
                        if (!found) {
                            best_reach_ = reach;
                        }
                        found = true;
                    }
                }
            }
        }
        shifts_.assign(1, {part, best, variant});
        state_.move(shifts_, State::no_limits);
    }

    const Model& model_;
    const Effort& effort_;
    const Aims& aims_;
    State& state_;
    Dice dice_;
    double temperature_ = 0.0;
    int best_reach_ = 0;
    std::vector<Shift> shifts_;
    std::vector<std::vector<int>> columns_, rows_;  // per part
    std::vector<std::pair<int, int>> twins_;        // per part: its twin and their symmetry, or -1
};

// The mean height of the other ends of the pin's net; returns below all, rails above.
double height_seen(const Model& model, const Placement& placement, int part, int pin) {
    const auto& pins = model.parts[at(part)].variants[at(placement.variant[at(part)])].pins;
    const int net = pins[at(pin)].net;
    const double own = -(placement.at[at(part)].y + pins[at(pin)].at.y);
    if (net < 0) {
        return own;
    }
    const ModelNet& n = model.nets[at(net)];
    if (n.style != NetStyle::wired) {
        return n.style == NetStyle::returns ? own - 40.0
               : n.style == NetStyle::rail  ? own + (n.rail == Rail::bottom ? -40.0 : 40.0)
                                            : own;
    }
    double sum = 0.0;
    int count = 0;
    for (const PinOf& other : n.pins) {
        if (other.part == part) {
            continue;
        }
        const Variant& v =
            model.parts[at(other.part)].variants[at(placement.variant[at(other.part)])];
        sum -= placement.at[at(other.part)].y + v.pins[at(other.pin)].at.y;
        ++count;
    }
    return count == 0 ? own : sum / count;
}

// Between what is fixed on its two sides.
void set_line(const Model& model, Placement& first, std::size_t line) {
    double left = -1e9, right = 1e9;
    for (std::size_t i = 0; i < model.parts.size(); ++i) {
        const ModelPart& p = model.parts[i];
        if (!p.fixed) {
            continue;
        }
        const Box& body = p.variants[at(first.variant[i])].body;
        const Box& bounds = p.variants[at(first.variant[i])].bounds;
        if (p.astride == static_cast<int>(line)) {
            first.lines[line] = std::round(first.at[i].x + (body.left + body.right) / 2.0);
            return;
        }
        if (p.astride < 0 && p.zone <= static_cast<int>(line)) {
            left = std::max(left, first.at[i].x + bounds.right + 1.0);
        } else if (p.astride < 0) {
            right = std::min(right, first.at[i].x + bounds.left - 1.0);
        }
    }
    double& x = first.lines[line];
    x = left > right ? std::round((left + right) / 2.0)
                     : std::clamp(x, std::ceil(left), std::max(std::ceil(left), std::floor(right)));
}

// Nudged places into the frame of the aims, where they fit best; isolation lines between what is
// nudged; tied parts together.
void settle_wishes(const Model& model, Placement& first) {
    std::vector<int> dx, dy;
    for (std::size_t i = 0; i < model.parts.size(); ++i) {
        if (model.parts[i].fixed) {
            dx.push_back(first.at[i].x - model.parts[i].at.x);
            dy.push_back(first.at[i].y - model.parts[i].at.y);
        }
    }
    if (!dx.empty()) {
        const auto middle = dx.size() / 2;
        std::sort(dx.begin(), dx.end());
        std::sort(dy.begin(), dy.end());
        for (std::size_t i = 0; i < model.parts.size(); ++i) {
            const ModelPart& p = model.parts[i];
            if (p.fixed) {
                first.at[i] = {p.at.x + dx[middle], p.at.y + dy[middle]};
            }
        }
        for (std::size_t line = 0; line < first.lines.size(); ++line) {
            set_line(model, first, line);
        }
        for (std::size_t i = 0; i < model.parts.size(); ++i) {
            const ModelPart& p = model.parts[i];
            if (!p.fixed && p.astride >= 0) {
                first.at[i].x = x_astride(
                    model, static_cast<int>(i), first.variant[i], first.lines[at(p.astride)]);
            }
        }
    }
    pull_neighbours(model, first);
    pull_ties(model, first);
    for (const Tied& tied : model.ties) {
        for (const TiedPart& t : tied) {
            const ModelPart& p = model.parts[at(t.part)];
            if (p.astride < 0 || p.fixed) {
                continue;
            }
            const int by =
                x_astride(model, t.part, first.variant[at(t.part)], first.lines[at(p.astride)]) -
                first.at[at(t.part)].x;
            for (const TiedPart& one : tied) {
                first.at[at(one.part)].x += by;
            }
        }
    }
}

}  // namespace

PinHeights heights_seen(const Model& model, const Placement& placement) {
    PinHeights heights;
    for (std::size_t p = 0; p < model.parts.size(); ++p) {
        const Variant& v = model.parts[p].variants[at(placement.variant[p])];
        // Variants list the pins as the symbol does; heights go by the part's own order.
        std::vector<double> own(v.pins.size(), 0.0);
        for (std::size_t k = 0; k < v.pins.size(); ++k) {
            const auto pin = at(v.symbol.pins[k].pin);
            if (own.size() <= pin) {
                own.resize(pin + 1, 0.0);
            }
            own[pin] = height_seen(model, placement, static_cast<int>(p), static_cast<int>(k));
        }
        heights.push_back(std::move(own));
    }
    return heights;
}

Placed place(const Model& model, const Effort& effort, const Placement* start) {
    constexpr double hot = 14.0;
    constexpr double warm = 7.0;
    const Aims aims = aims_of(model, effort.room);
    Placement first;
    if (start != nullptr) {
        first = *start;
    } else {
        first.at = aims.at;
        first.variant.assign(model.parts.size(), 0);
        first.lines = aims.lines;
    }
    if (model.parts.empty()) {
        return {first, 0.0};
    }
    if (start == nullptr) {
        settle_wishes(model, first);
    }
    Prices prices;
    prices.room = effort.room;
    prices.pull = effort.cool ? 1.0 : prices.pull;
    State state(model, effort.cool ? first.at : aims.at, first, prices);
    Annealer annealer(model, effort, aims, state);
    annealer.run(effort.cool ? 0.5 : start != nullptr ? warm : hot);
    annealer.separate();
    annealer.polish(effort.moves / 4);
    return {state.placement(), state.price()};
}

}  // namespace etchback::drawing::detail
