#include "drawing/detail/place_estimate.h"

#include <algorithm>
#include <cstdlib>
#include <limits>

namespace etchback::drawing::detail {

namespace {

// The pins as seen with x and y exchanged, so that one piece of code serves both kinds of trunk.
struct View {
    bool turned;
    int along(const Pip& p) const { return turned ? p.y : p.x; }
    int across(const Pip& p) const { return turned ? p.x : p.y; }
    // -1, 0, 1: the way the pin faces along and across the trunk.
    int faces_along(const Pip& p) const {
        const Step s = step_of(p.facing);
        return turned ? s.y : s.x;
    }
    int faces_across(const Pip& p) const {
        const Step s = step_of(p.facing);
        return turned ? s.x : s.y;
    }
    Span span(int along_a, int across_a, int along_b, int across_b) const {
        const auto [x0, x1] = std::minmax(turned ? across_a : along_a, turned ? across_b : along_b);
        const auto [y0, y1] = std::minmax(turned ? along_a : across_a, turned ? along_b : across_b);
        return {x0, y0, x1, y1};
    }
};

// Where the pin's leg meets the trunk: a wire leaves its pin by one step before it turns.
int foot_of(const View& view, const Pip& p) {
    return view.along(p) + view.faces_along(p);
}

struct Pins {
    const Seen* first;
    const Seen* last;
    int low, high;  // of all feet
};

// Stops at `most`.
double trunk_cost(const Pins& pins, int trunk, const WirePrices& prices, double most) {
    const int low = pins.low;
    const int high = pins.high;
    double cost = high - low;
    bool corner_low = false;
    bool corner_high = false;
    for (const Seen* p = pins.first; p != pins.last && cost < most; ++p) {
        const int rise = trunk - p->across;
        const int foot = p->foot;
        const int facing = p->facing_across;
        cost += std::abs(rise);
        if (facing != 0) {
            if (rise * facing <= 0) {
                cost += rise == 0 ? prices.bend : prices.wrong_way;
            } else {
                corner_low = corner_low || (foot == low && high > low);
                corner_high = corner_high || (foot == high && high > low);
            }
            continue;
        }
        if (rise == 0) {
            const bool through_body = p->facing_along > 0 ? low < foot : high > foot;
            cost += 1.0 + (through_body ? prices.wrong_way : 0.0);
        } else {
            cost += 1.0 + prices.bend;
            if (foot == low) {
                corner_low = corner_low || high > low;
            }
            if (foot == high) {
                corner_high = corner_high || high > low;
            }
        }
    }
    return cost + (corner_low ? prices.bend : 0.0) + (corner_high ? prices.bend : 0.0);
}

void add_spans(const View& view, const std::vector<Pip>& pins, int trunk, Estimate& out) {
    int low = std::numeric_limits<int>::max();
    int high = std::numeric_limits<int>::min();
    for (const Pip& p : pins) {
        const int foot = foot_of(view, p);
        low = std::min(low, foot);
        high = std::max(high, foot);
        if (view.faces_along(p) != 0) {
            out.spans.push_back(view.span(view.along(p), view.across(p), foot, view.across(p)));
        }
        if (view.across(p) != trunk) {
            out.spans.push_back(view.span(foot, view.across(p), foot, trunk));
        }
    }
    if (high > low) {
        out.spans.push_back(view.span(low, trunk, high, trunk));
    }
}

struct Choice {
    double cost = std::numeric_limits<double>::infinity();
    int trunk = 0;
    bool turned = false;
};

void consider(const View& view,
              const std::vector<Pip>& pins,
              const WirePrices& prices,
              std::vector<Seen>& seen,
              Choice& best) {
    constexpr int most_trunks = 12;
    int tried[most_trunks];
    int count = 0;
    const auto note = [&](int trunk) {
        if (count < most_trunks && std::find(tried, tried + count, trunk) == tried + count) {
            tried[count++] = trunk;
        }
    };
    seen.clear();
    int low = std::numeric_limits<int>::max();
    int high = std::numeric_limits<int>::min();
    // Above all that face up, below all that face down.
    int least = std::numeric_limits<int>::max();
    int most = std::numeric_limits<int>::min();
    for (const Pip& p : pins) {
        const Seen s{view.across(p), foot_of(view, p), view.faces_across(p), view.faces_along(p)};
        seen.push_back(s);
        low = std::min(low, s.foot);
        high = std::max(high, s.foot);
        if (s.facing_across < 0) {
            least = std::min(least, s.across - 1);
        } else if (s.facing_across > 0) {
            most = std::max(most, s.across + 1);
        } else {
            note(s.across);
        }
    }
    if (least != std::numeric_limits<int>::max()) {
        note(least);
    }
    if (most != std::numeric_limits<int>::min()) {
        note(most);
    }
    const Pins all{seen.data(), seen.data() + seen.size(), low, high};
    for (int i = 0; i < count; ++i) {
        const double cost = trunk_cost(all, tried[i], prices, best.cost);
        if (cost < best.cost) {
            best = {cost, tried[i], view.turned};
        }
    }
}

constexpr double crossing = 12.0;

double meet(const Span& a, const Span& b) {
    if (a.horizontal() != b.horizontal()) {
        const Span& h = a.horizontal() ? a : b;
        const Span& v = a.horizontal() ? b : a;
        const bool touches = h.ax <= v.ax && v.ax <= h.bx && v.ay <= h.ay && h.ay <= v.by;
        if (!touches) {
            return 0.0;
        }
        return crossing;
    }
    const bool same_line = a.horizontal() ? a.ay == b.ay : a.ax == b.ax;
    if (!same_line) {
        return 0.0;
    }
    const int from = a.horizontal() ? std::max(a.ax, b.ax) : std::max(a.ay, b.ay);
    const int to = a.horizontal() ? std::min(a.bx, b.bx) : std::min(a.by, b.by);
    return to < from ? 0.0 : 5.0 + (to - from);
}

}  // namespace

void estimate_wire(const std::vector<Pip>& pins,
                   const WirePrices& prices,
                   Estimate& out,
                   Rail rail) {
    out.spans.clear();
    out.cost = 0.0;
    out.bounds = {0, 0, -1, -1};
    if (pins.size() < 2) {
        return;
    }
    Choice best;
    consider({false}, pins, prices, out.seen, best);
    if (rail == Rail::none) {
        consider({true}, pins, prices, out.seen, best);
    }
    out.cost = best.cost;
    add_spans({best.turned}, pins, best.trunk, out);
    if (out.spans.empty()) {
        return;
    }
    out.bounds = out.spans.front();
    for (const Span& s : out.spans) {
        out.bounds = {std::min(out.bounds.ax, s.ax),
                      std::min(out.bounds.ay, s.ay),
                      std::max(out.bounds.bx, s.bx),
                      std::max(out.bounds.by, s.by)};
    }
}

double clash(const Estimate& a, const Estimate& b) {
    if (a.bounds.bx < b.bounds.ax || b.bounds.bx < a.bounds.ax || a.bounds.by < b.bounds.ay ||
        b.bounds.by < a.bounds.ay) {
        return 0.0;
    }
    double cost = 0.0;
    for (const Span& s : a.spans) {
        if (s.bx < b.bounds.ax || b.bounds.bx < s.ax || s.by < b.bounds.ay || b.bounds.by < s.ay) {
            continue;
        }
        for (const Span& t : b.spans) {
            cost += meet(s, t);
        }
    }
    return cost;
}

double clash(const Estimate& wire, const Box& box, double price) {
    if (wire.bounds.bx <= box.left || wire.bounds.ax >= box.right || wire.bounds.by <= box.top ||
        wire.bounds.ay >= box.bottom) {
        return 0.0;
    }
    double cost = 0.0;
    for (const Span& s : wire.spans) {
        if (s.bx > box.left && s.ax < box.right && s.by > box.top && s.ay < box.bottom) {
            const double inside =
                s.horizontal()
                    ? std::min<double>(s.bx, box.right) - std::max<double>(s.ax, box.left)
                    : std::min<double>(s.by, box.bottom) - std::max<double>(s.ay, box.top);
            cost += price + 0.5 * inside;
        }
    }
    return cost;
}

}  // namespace etchback::drawing::detail
