#include "drawing/detail/route_search.h"

#include <algorithm>
#include <array>
#include <cstdlib>

namespace etchback::drawing::detail {

namespace {

constexpr std::array<Direction, 4> all_directions{
    Direction::right, Direction::down, Direction::left, Direction::up};

std::size_t at(int i) {
    return static_cast<std::size_t>(i);
}
int state_of(int node, Direction d) {
    return node * 4 + static_cast<int>(d);
}
Direction way_of(int state) {
    return static_cast<Direction>(state % 4);
}

}  // namespace

Search::Search(const Grid& grid, const RoutePrices& prices) : grid_(grid), prices_(prices) {
    const auto n = static_cast<std::size_t>(grid.nodes());
    states_.assign(4 * n, {});
    own_.assign(n, 0);
    target_.assign(n, 0);
    target_piece_.assign(n, -1);
}

void Search::prepare(const Job& job, int self) {
    ++stamp_;
    for (int rank = least_rank_; rank <= most_rank_; ++rank) {
        open_[at(rank)].clear();
    }
    least_rank_ = 1 << 29;
    most_rank_ = -1;
    best_cost_ = job.cost_limit;
    best_state_ = best_end_ = best_piece_ = -1;
    best_sign_.reset();
    any_target_ = false;
    box_x0_ = box_y0_ = 1 << 29;
    box_x1_ = box_y1_ = -(1 << 29);
    for (std::size_t piece = 0; piece < job.pieces->size(); ++piece) {
        for (const int node : (*job.pieces)[piece]) {
            if (static_cast<int>(piece) == self) {
                own_[at(node)] = stamp_;
                continue;
            }
            target_[at(node)] = stamp_;
            target_piece_[at(node)] = static_cast<int>(piece);
            any_target_ = true;
            box_x0_ = std::min(box_x0_, grid_.x(node));
            box_x1_ = std::max(box_x1_, grid_.x(node));
            box_y0_ = std::min(box_y0_, grid_.y(node));
            box_y1_ = std::max(box_y1_, grid_.y(node));
        }
    }
    least_sign_ = 1 << 29;
    for (const SignOffer& sign : *job.signs) {
        least_sign_ = std::min(least_sign_, sign.price);
    }
}

// Never more than what is still to pay: the way to the box around all targets, with the bends that
// it needs.
inline int Search::guess(int node, Direction d, const Job& job) const {
    int to_target = 1 << 28;
    if (any_target_) {
        const int x = grid_.x(node);
        const int y = grid_.y(node);
        const int right = box_x0_ - x;  // to the box, where it lies to the right; and so on
        const int left = x - box_x1_;
        const int down = box_y0_ - y;
        const int up = y - box_y1_;
        const int dx = std::max({0, right, left});
        const int dy = std::max({0, down, up});
        const bool level = d == Direction::right || d == Direction::left;
        const int behind = d == Direction::right  ? left
                           : d == Direction::left ? right
                           : d == Direction::down ? up
                                                  : down;
        const int bends = behind > 0 ? 2 : (level ? dy : dx) > 0 ? 1 : 0;
        to_target = prices_.step * (dx + dy) + job.bend * bends;
    }
    return job.signs->empty() ? to_target : std::min(to_target, least_sign_);
}

inline void Search::push(int node, Direction d, int cost, int parent, const Job& job) {
    const int state = state_of(node, d);
    State& known = states_[at(state)];
    if (known.stamp == stamp_ && known.cost <= cost) {
        return;
    }
    const int rank = cost + guess(node, d, job);
    if (rank >= best_cost_) {
        return;
    }
    known = {stamp_, cost, parent, rank};
    if (rank >= static_cast<int>(open_.size())) {
        open_.resize(at(rank + 256));
    }
    open_[at(rank)].push_back(state);
    least_rank_ = std::min(least_rank_, rank);
    most_rank_ = std::max(most_rank_, rank);
}

// From an end of the piece straight on, from anywhere else by a new branch. A node with three arms
// gets no fourth.
void Search::start(const Job& job) {
    for (const int node : *job.from) {
        if (grid_.foreign(node, job.net)) {
            continue;
        }
        const int arms = grid_.arms(node, job.net);
        for (const Direction d : all_directions) {
            if (arms == 1 && grid_.owner(node, opposite(d)) == job.net) {
                push(node, d, 0, -1, job);
            } else if (arms == 2 && grid_.owner(node, d) == no_net) {
                push(node, d, prices_.junction, -1, job);
            }
        }
    }
}

inline bool Search::allowed(const Job& job, int node) const {
    const int who = grid_.reserved(node);
    const int x = grid_.x(node);
    return !grid_.blocked(node) && (who == no_net || who == job.net) && x > job.left_limit &&
           x < job.right_limit;
}

inline int Search::beside(int node, Direction d) const {
    int cost = 0;
    const bool upright = d == Direction::up || d == Direction::down;
    for (const Direction side : {upright ? Direction::left : Direction::up,
                                 upright ? Direction::right : Direction::down}) {
        if (grid_.owner(node + grid_.stride(side), d) != no_net) {
            cost += prices_.beside;
        }
    }
    return cost;
}

void Search::reach(const Job& job, int state, int node, Direction d, int cost) {
    if (grid_.foreign(node, job.net)) {
        return;
    }
    const int arms = grid_.arms(node, job.net);
    if (arms > 2) {
        return;
    }
    int total = cost;
    if (arms == 2) {
        total += prices_.junction;
    } else if (grid_.owner(node, d) != job.net) {
        total += job.bend;
    }
    if (total < best_cost_) {
        best_cost_ = total;
        best_state_ = state;
        best_end_ = node;
        best_piece_ = target_piece_[at(node)];
        best_sign_.reset();
    }
}

inline void Search::offer_signs(const Job& job, int state) {
    if (states_[at(state)].cost + least_sign_ >= best_cost_) {
        return;
    }
    const int node = state / 4;
    const Direction d = way_of(state);
    if (grid_.foreign(node, job.net) || grid_.arms(node, job.net) > 1) {
        return;
    }
    for (const SignOffer& sign : *job.signs) {
        int total = states_[at(state)].cost + sign.price;
        if (sign.facing == opposite(d)) {
            continue;
        }
        total += sign.facing != d ? prices_.sign_bend : 0;
        if (total >= best_cost_) {
            continue;
        }
        const Point end{static_cast<double>(grid_.x(node)), static_cast<double>(grid_.y(node))};
        const Box box = grown(moved(sign.box, end), 0.25);
        const bool on_its_side = box.left > job.left_limit && box.right < job.right_limit;
        if (on_its_side && grid_.fits(box, node, job.net) && !way_touches(state, box)) {
            best_cost_ = total;
            best_state_ = state;
            best_end_ = -1;
            best_piece_ = -1;
            best_sign_ = sign;
        }
    }
}

// Whether the way to a state runs through the box before it ends there.
bool Search::way_touches(int state, const Box& box) const {
    for (int s = states_[at(state)].parent; s >= 0; s = states_[at(s)].parent) {
        const int x = grid_.x(s / 4);
        const int y = grid_.y(s / 4);
        if (states_[at(state)].parent == s &&
            (x <= box.left || x >= box.right || y <= box.top + 0.3)) {
            continue;  // the last step leads to the sign
        }
        if (x >= box.left && x <= box.right && y >= box.top && y <= box.bottom) {
            return true;
        }
    }
    return false;
}

inline void Search::expand(const Job& job, int state) {
    const int node = state / 4;
    const Direction came = way_of(state);
    const bool first = states_[at(state)].parent < 0;
    const bool branch = first && grid_.arms(node, job.net) == 2;
    const bool straight_only = !first && grid_.foreign(node, job.net);
    for (const Direction d : all_directions) {
        if (d == opposite(came) || ((straight_only || branch) && d != came)) {
            continue;
        }
        const int next = node + grid_.stride(d);
        if (grid_.edge_blocked(node, d) || grid_.owner(node, d) != no_net ||
            own_[at(next)] == stamp_ || !allowed(job, next)) {
            continue;
        }
        int cost = states_[at(state)].cost + prices_.step + grid_.soft(next) + beside(node, d);
        cost += d != came ? job.bend : 0;
        if (target_[at(next)] == stamp_) {
            reach(job, state, next, d, cost);
            continue;
        }
        if (grid_.foreign(next, job.net)) {
            if (!grid_.crossable(next, d, job.net)) {
                continue;
            }
            cost += prices_.crossing;
        }
        push(next, d, cost, state, job);
    }
}

std::optional<Way> Search::find(const Job& job, int self) {
    prepare(job, self);
    start(job);
    for (int rank = least_rank_; rank <= most_rank_ && rank < best_cost_;) {
        std::vector<int>& open = open_[at(rank)];
        if (open.empty()) {
            ++rank;
            continue;
        }
        const int state = open.back();
        open.pop_back();
        if (rank > states_[at(state)].rank) {
            continue;  // a cheaper way to this state was found later
        }
        ++work_;
        offer_signs(job, state);
        expand(job, state);
    }
    if (best_state_ < 0) {
        return std::nullopt;
    }
    Way way;
    way.cost = best_cost_;
    way.reached = best_piece_;
    way.sign = best_sign_;
    if (best_end_ >= 0) {
        way.nodes.push_back(best_end_);
    }
    for (int s = best_state_; s >= 0; s = states_[at(s)].parent) {
        way.nodes.push_back(s / 4);
    }
    std::reverse(way.nodes.begin(), way.nodes.end());
    return way;
}

}  // namespace etchback::drawing::detail
