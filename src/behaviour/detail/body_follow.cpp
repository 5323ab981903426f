// Which modes a step follows, and how long it may be. A mode that only fades need not be followed
// where its fading cannot bring a guard to its threshold; it is then left out of the guards' jets
// and stands as an interval.
#include <algorithm>
#include <cmath>

#include "behaviour/detail/body.h"

namespace etchback::behaviour::detail {

namespace {

constexpr double kInfinity = std::numeric_limits<double>::infinity();
// A share of the allowed error that no unresolved amplitude may pass: of all of them together, no
// more than half is used up.
constexpr double kNegligible = 0.25;
// A step may leave this share of a guard's distance to its threshold open.
constexpr double kOpenShare = 0.5;
// At most so many modes are left unfollowed in a step; none that fades or turns by less than this
// (powers of e, radians) over it.
constexpr std::size_t kMostDropped = 4;
constexpr double kFollowable = 2.0;
// Of so many steps of a stay it is remembered what was dropped.
constexpr std::size_t kHabits = 12;
// After so many stays it is tried anew what can be dropped.
constexpr int kStaysOfHabit = 32;

}  // namespace

// How far each guard in force may rise and fall before something happens.
void Body::find_rooms() {
    const Pattern& p = *pattern_;
    const auto rows = static_cast<std::size_t>(p.guards.block.stride());
    room_up_.assign(rows, kInfinity);
    room_down_.assign(rows, kInfinity);
    for (std::size_t c = 0; c < static_cast<std::size_t>(curves_); ++c) {
        room_up_[c] = std::abs(p.high[c] - here_.f[c]);
        room_down_[c] = std::abs(here_.f[c] - p.low[c]);
    }
    for (const Armed* w : live()) {
        const auto r = static_cast<std::size_t>(w->row);
        const double value = watch_value(*w, here_, seconds(now_ - w->at));
        // One that is beyond its edge already must first come back.
        const bool up = (w->how.edge == Edge::rising) == (value < 0.0);
        double& room = up ? room_up_[r] : room_down_[r];
        room = std::min(room, std::abs(value));
    }
}

// Tries to leave a mode that only fades out of the jets: its guards then have the rooms that they
// have without it, less what it may add while it fades. False, and nothing is changed, where a
// guard's end without it lies beyond its threshold.
bool Body::drop(int mode) {
    const Pattern& p = *pattern_;
    const auto stride = static_cast<std::size_t>(p.guards.block.stride());
    const double* row = p.guards.block.column(mode);
    try_up_ = room_up_;
    try_down_ = room_down_;
    const double eta = here_.eta[static_cast<std::size_t>(mode)];
    if (is_pair(mode)) {
        const double* turned = p.guards.block.column(mode + 1);
        const double im = here_.eta[static_cast<std::size_t>(mode + 1)];
        const double size = std::sqrt(eta * eta + im * im);
        const double* amount = p.guards.amounts.column(mode);
        for (std::size_t r = 0; r < stride; ++r) {
            const double now = row[r] * eta + turned[r] * im, most = amount[r] * size;
            try_up_[r] += now - most;
            try_down_[r] -= now + most;
        }
    } else {
        for (std::size_t r = 0; r < stride; ++r) {
            const double now = row[r] * eta;
            try_up_[r] += std::min(now, 0.0);
            try_down_[r] -= std::max(now, 0.0);
        }
    }
    for (std::size_t r = 0; r < p.scale.size(); ++r) {
        if (std::min(try_up_[r], try_down_[r]) < 0.0) {
            return false;
        }
    }
    return true;
}

// The longest step that follows all modes but those that are dropped, as finely as the rooms allow.
// `mode` is the one that holds it so short, -1 where none does; `rest` the step without that.
Ticks Body::followed_step(int& mode, Ticks& rest) {
    const Pattern& p = *pattern_;
    const Modes& m = p.modes;
    const int n = m.size();
    for (std::size_t r = 0; r < p.scale.size(); ++r) {
        const double room = std::min(room_up_[r], room_down_[r]);
        need_[r] = 1.0 / std::max(options_.tolerance * p.scale[r], kOpenShare * room);
    }
    sixth_derivatives(p.guards.amounts.column(0),
                      p.guards.block.stride(),
                      n,
                      need_.data(),
                      here_.eta.data(),
                      p.propagator.sixth_power().data(),
                      kNegligible / n,
                      shares_.data());
    for (const int gone : dropped_) {
        shares_[static_cast<std::size_t>(gone)] = 0.0;
        if (is_pair(gone)) {
            shares_[static_cast<std::size_t>(gone + 1)] = 0.0;
        }
    }
    double sum = 0.0, largest = 0.0;
    mode = -1;
    for (int i = 0; i < n; ++i) {
        const double share = shares_[static_cast<std::size_t>(i)];
        sum += share;
        if (share > largest) {
            largest = share;
            mode = i;
        }
    }
    rest = 0;
    if (mode >= 0) {
        if (is_pair(mode)) {
            mode &= ~1;
        }
        sum = std::max(sum, 0.0);
        double others = sum - shares_[static_cast<std::size_t>(mode)];
        if (is_pair(mode)) {
            others -= shares_[static_cast<std::size_t>(mode + 1)];
        }
        rest = step_for(others);
    }
    return step_for(sum);
}

// Whether a mode is a complex one; it stands for its real part's position, the other follows.
bool Body::is_pair(int mode) const {
    return mode < pattern_->modes.real(0);
}

bool Body::fades(int mode) const {
    const Modes& m = pattern_->modes;
    return is_pair(mode) ? m.pair_rate[static_cast<std::size_t>(mode / 2)].real() < 0.0
                         : m.rate[static_cast<std::size_t>(mode - m.real(0))] < 0.0;
}

// The step that the last stay took here, and what it dropped. 0 where there was none, or it is time
// to look again.
Ticks Body::usual_step() {
    habits_->steps.resize(kHabits);
    Habits::Step& habit = habits_->steps[std::min(steps_in_stay_, kHabits - 1)];
    if (habit.step == 0 || ++habit.stays >= kStaysOfHabit) {
        return 0;
    }
    dropped_ = habit.dropped;
    return habit.step;
}

// Longest step whose interpolation meets the tolerance at every guard in force. A guard that is far
// from its threshold may be met as coarsely as a share of its distance. Modes that fade fast are
// dropped one after the other, the one that holds the step shortest first, while that is worth it.
Ticks Body::largest_step(Ticks most) {
    find_rooms();
    dropped_.clear();
    need_.assign(static_cast<std::size_t>(pattern_->guards.block.stride()), 0.0);
    shares_.resize(static_cast<std::size_t>(pattern_->modes.size()));
    int mode = -1;
    Ticks rest = 0;
    Ticks step = followed_step(mode, rest);
    while (!all_followed_ && step < most && mode >= 0 && rest >= 2 * step &&
           dropped_.size() < kMostDropped && fades(mode) && drop(mode)) {
        dropped_.push_back(mode);
        std::swap(room_up_, try_up_);
        std::swap(room_down_, try_down_);
        const Ticks longer = followed_step(mode, rest);
        if (longer < step + step / 2) {
            dropped_.pop_back();  // not worth it
            break;
        }
        step = longer;
    }
    habits_->steps.resize(kHabits);
    habits_->steps[std::min(steps_in_stay_, kHabits - 1)] = {
        .dropped = dropped_, .step = step, .stays = 0};
    return step;
}

// Settles which modes are not followed over a step of h: what fades slowly enough for so short a
// step is. Takes the others out of the guards at both ends, and bounds what is left unknown.
void Body::follow(double h, bool first) {
    const Pattern& p = *pattern_;
    const auto& speed = p.propagator.speed();
    const bool fewer =
        !dropped_.empty() && std::erase_if(dropped_, [&](int mode) {
                                 return speed[static_cast<std::size_t>(mode)] * h < kFollowable;
                             }) > 0;
    if (first || fewer) {
        const auto stride = static_cast<std::size_t>(p.guards.block.stride());
        strays_.resize(stride);
        stray_weight_.resize(speed.size());
        // Zeros are kept while nothing is dropped.
        if (lift_.size() != stride || faded_) {
            lift_.assign(stride, 0.0);
            sink_.assign(stride, 0.0);
        }
        faded_ = !dropped_.empty();
        for (const int mode : dropped_) {
            add_fade(mode);
        }
        calm(here_, calm_here_);
    }
    calm(there_, calm_there_);
    stray_weights(here_.eta.data(), speed.data(), h, p.propagator.padded(), stray_weight_.data());
    for (const int mode : dropped_) {
        stray_weight_[static_cast<std::size_t>(mode)] = 0.0;
        if (is_pair(mode)) {
            stray_weight_[static_cast<std::size_t>(mode + 1)] = 0.0;
        }
    }
    p.guards.amounts.values(stray_weight_.data(), strays_.data());
}

// By how much a mode that is not followed may lift or sink each guard while it fades.
void Body::add_fade(int mode) {
    const Pattern& p = *pattern_;
    const int stride = p.guards.block.stride();
    const double eta = here_.eta[static_cast<std::size_t>(mode)];
    if (is_pair(mode)) {
        const double other = here_.eta[static_cast<std::size_t>(mode + 1)];
        add_ringing(p.guards.amounts.column(mode),
                    stride,
                    std::sqrt(eta * eta + other * other),
                    lift_.data(),
                    sink_.data());
    } else {
        add_fading(p.guards.block.column(mode), stride, eta, lift_.data(), sink_.data());
    }
}

// The guards' jets without the modes that are not followed.
void Body::calm(const Sample& sample, std::vector<double>& to) const {
    if (dropped_.empty()) {
        return;
    }
    const JetBlock& block = pattern_->guards.block;
    const int rows = 3 * block.stride();
    const double* from = sample.f.data();
    to.resize(sample.f.size());
    const auto take = [&](int column) {
        take_column(block.column(column),
                    rows,
                    sample.eta[static_cast<std::size_t>(column)],
                    from,
                    to.data());
        from = to.data();
    };
    for (const int mode : dropped_) {
        take(mode);
        if (is_pair(mode)) {
            take(mode + 1);
        }
    }
}

}  // namespace etchback::behaviour::detail
