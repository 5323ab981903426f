// All that belongs to one pattern of segments and switches; made once, kept for the whole run.
#pragma once

#include <algorithm>
#include <cmath>
#include <memory>
#include <unordered_map>
#include <vector>

#include "behaviour/detail/kernel.h"
#include "behaviour/detail/moments.h"
#include "behaviour/detail/state_space.h"

namespace etchback::behaviour::detail {

// A set of rows that is evaluated together; compiled anew in a pattern when `version` has moved on.
struct CompiledRows {
    int version = -1;
    JetBlock block;
    RowBlock amounts;  // how much each row can change while an amplitude fades or turns
    // By row, padded: one over the change that matters; for record and measure.
    std::vector<double> need;
    // By row of measure and by line of the recorder: the widest bounds of a stay that was looked
    // at, and in which cell. A stay of the same pattern within them goes the same ways.
    struct Seen {
        double low = 1e300, high = -1e300;
        std::size_t cell = static_cast<std::size_t>(-1);
    };
    std::vector<Seen> seen;
};

struct Pattern;

// What the last stay came to that began in the same way: stays are much alike.
struct Habits {
    struct Step {
        std::vector<int> dropped;  // modes that were not followed
        Ticks step = 0;
        int stays = 0;  // since it was found out
    };
    std::vector<Step> steps;  // the first few
    Ticks exit = 0;           // when a crossing ended it, from its beginning; 0: none did
};

// The way from one pattern to another at one instant, over eta.
struct Hop {
    Pattern* to = nullptr;
    RowBlock map;
    Habits habits;
};

struct Pattern {
    PatternKey key;
    Equations equations;
    Modes modes;
    Propagator propagator;
    // Controls of the curves over (x, s), for finding the segments that agree with a state.
    Matrix control_x, control_s;
    std::vector<double> low, high;  // by curve: the ends of its segment
    std::vector<double> scale;      // by curve: a change of its control that matters
    CompiledRows guards, record, measure;
    Moments moments;
    int moments_epoch = -1;
    // Integral of z z^T, z = (x, s), where the modes are too nearly alike for Moments.
    Matrix plain;
    bool ill() const { return modes.condition > 1e6; }
    std::vector<std::unique_ptr<Hop>> hops;
    std::vector<Hop*> neighbours;      // by 2 * curve + (1: one segment up, 0: down)
    std::vector<RowVector> probe_row;  // by probe over eta, empty until asked
    Habits habits;                     // of stays that no hop began
    double kirchhoff_checked = 0.0;

    Pattern(PatternKey k, Equations e, Modes m)
        : key(std::move(k)), equations(std::move(e)), modes(std::move(m)), propagator(modes) {}
};

// How far beyond a corner a control of this scale may be and still count as on it.
inline double on_corner(double scale, double u) {
    return std::max(1e-6 * scale, 1e-12 * std::abs(u));
}

class PatternCache {
public:
    PatternCache(const StateSpace& space, int most) : space_(space), most_(most) {}
    // Null where the pattern has no solution or there are too many; why() tells.
    Pattern* find(const PatternKey& key);
    const std::string& why() const { return why_; }
    std::size_t size() const { return patterns_.size(); }
    double worst_condition() const { return worst_condition_; }
    // In the order of their making.
    const std::vector<Pattern*>& all() const { return order_; }
    // Made when first asked for, kept with `from`.
    Hop& hop(Pattern& from, Pattern& to);
    // What comes after does not depend on what was run before.
    void forget_habits();

private:
    struct Hash {
        std::size_t operator()(const PatternKey& key) const {
            std::size_t h = 1469598103934665603ull;
            for (const std::uint8_t b : key) {
                h = (h ^ b) * 1099511628211ull;
            }
            return h;
        }
    };
    const StateSpace& space_;
    int most_;
    std::unordered_map<PatternKey, std::unique_ptr<Pattern>, Hash> patterns_;
    std::vector<Pattern*> order_;
    std::string why_;
    double worst_condition_ = 0.0;
};

}  // namespace etchback::behaviour::detail
