#include "behaviour/detail/pattern.h"

#include <fmt/format.h>

namespace etchback::behaviour::detail {

Pattern* PatternCache::find(const PatternKey& key) {
    if (const auto found = patterns_.find(key); found != patterns_.end()) {
        return found->second.get();
    }
    if (static_cast<int>(patterns_.size()) >= most_) {
        why_ = fmt::format("more than {} different patterns of conducting parts", most_);
        return nullptr;
    }
    Equations equations;
    if (std::string why = space_.equations(key, equations); !why.empty()) {
        why_ = std::move(why);
        return nullptr;
    }
    if (!equations.f.allFinite() || !equations.g.allFinite()) {
        why_ = "the equations are not finite";
        return nullptr;
    }
    Modes modes = modes_of(equations.f, equations.g, space_.layout());
    if (!modes.inverse.allFinite() || !modes.forced.allFinite()) {
        why_ = "the equations have no usable solution";
        return nullptr;
    }
    auto pattern = std::make_unique<Pattern>(key, std::move(equations), std::move(modes));
    const auto curves = static_cast<Eigen::Index>(space_.curves().size());
    pattern->control_x = Matrix(curves, space_.states());
    pattern->control_s = Matrix(curves, space_.source_states());
    for (Eigen::Index i = 0; i < curves; ++i) {
        const auto row = space_.expression(pattern->equations, space_.control(static_cast<int>(i)));
        pattern->control_x.row(i) = row.x;
        pattern->control_s.row(i) = row.s;
    }
    pattern->neighbours.assign(static_cast<std::size_t>(2 * curves), nullptr);
    worst_condition_ = std::max(worst_condition_, pattern->modes.condition);
    Pattern* raw = pattern.get();
    patterns_.emplace(key, std::move(pattern));
    order_.push_back(raw);
    return raw;
}

// The state stays, so eta_to = eta_to(x(eta_from), s(eta_from)), column by column.
Hop& PatternCache::hop(Pattern& from, Pattern& to) {
    for (const auto& known : from.hops) {
        if (known->to == &to) {
            return *known;
        }
    }
    auto hop = std::make_unique<Hop>();
    hop->to = &to;
    const int n = from.modes.size();
    Matrix map(to.modes.size(), n);
    for (int c = 0; c < n; ++c) {
        const Vector unit = Vector::Unit(n, c);
        map.col(c) = to.modes.eta_of(from.modes.x_of(unit), from.modes.s_of(unit));
    }
    std::vector<RowVector> rows;
    for (Eigen::Index r = 0; r < map.rows(); ++r) {
        rows.push_back(map.row(r));
    }
    hop->map.assign(rows, n);
    from.hops.push_back(std::move(hop));
    return *from.hops.back();
}

void PatternCache::forget_habits() {
    for (Pattern* pattern : order_) {
        pattern->habits = {};
        for (const auto& hop : pattern->hops) {
            hop->habits = {};
        }
    }
}

}  // namespace etchback::behaviour::detail
