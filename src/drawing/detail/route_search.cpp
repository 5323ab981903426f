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

// The bends that a wire needs at least that runs along `d` and is to arrive along `heading`, at a
// place so far to the right and down.
int bends_to_end(Direction d, Direction heading, int right, int down) {
    const Step s = step_of(d);
    const int ahead = right * s.x + down * s.y;
    const int aside = down * s.x - right * s.y;  // to the right hand
    switch ((static_cast<int>(heading) - static_cast<int>(d)) & 3) {
        case 0:
            return ahead < 0 ? 4 : aside == 0 ? 0 : 2;
        case 1:
            return ahead >= 0 && aside >= 0 ? 1 : 3;
        case 2:
            return aside == 0 ? 4 : 2;
        default:
            return ahead >= 0 && aside <= 0 ? 1 : 3;
    }
}

// The same for a place within a box, whatever the wire arrives along; `to`: how far the box begins
// to the right, below, to the left and above.
int bends_to_box(Direction d, const std::array<int, 4>& to, int dx, int dy) {
    const bool level = d == Direction::right || d == Direction::left;
    const bool behind = to[static_cast<std::size_t>(opposite(d))] > 0;
    return behind ? 2 : (level ? dy : dx) > 0 ? 1 : 0;
}

}  // namespace

Search::Search(const Grid& grid, const RoutePrices& prices) : grid_(grid), prices_(prices) {
    const auto n = static_cast<std::size_t>(grid.nodes());
    arrivals_.resize(n);
    marks_.resize(n);
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
    self_ = self;
    for (std::size_t piece = 0; piece < job.pieces->size(); ++piece) {
        for (const int node : (*job.pieces)[piece]) {
            marks_[at(node)] = {stamp_, static_cast<int>(piece)};
        }
    }
    find_targets(job, self);
    least_sign_ = 1 << 29;
    for (const SignOffer& sign : *job.signs) {
        least_sign_ = std::min(least_sign_, sign.price);
    }
}

void Search::find_targets(const Job& job, int self) {
    constexpr std::size_t most = 5;  // pieces: with more, looking at each costs more than it saves
    const bool each = job.pieces->size() <= most;
    targets_.clear();
    for (std::size_t piece = 0; piece < job.pieces->size(); ++piece) {
        if (static_cast<int>(piece) == self) {
            continue;
        }
        if (each || targets_.empty()) {
            targets_.emplace_back();
        }
        Target& target = targets_.back();
        for (const int node : (*job.pieces)[piece]) {
            target.x0 = std::min(target.x0, grid_.x(node));
            target.x1 = std::max(target.x1, grid_.x(node));
            target.y0 = std::min(target.y0, grid_.y(node));
            target.y1 = std::max(target.y1, grid_.y(node));
        }
        const int first = (*job.pieces)[piece].front();
        if (each && (*job.pieces)[piece].size() == 1 && grid_.arms(first, job.net) == 1) {
            target.heading =
                *std::find_if(all_directions.begin(), all_directions.end(), [&](Direction d) {
                    return grid_.owner(first, d) == job.net;
                });
        }
    }
}

// Never more than what is still to pay: the nearest way to a target, with the bends that it needs
// where nothing is in the way.
inline int Search::guess(int node, Direction d, const Job& job) const {
    int least = job.signs->empty() ? 1 << 28 : least_sign_;
    const int x = grid_.x(node);
    const int y = grid_.y(node);
    for (const Target& t : targets_) {
        // To the target, where it lies to the right; and so on.
        const int right = t.x0 - x;
        const int left = x - t.x1;
        const int down = t.y0 - y;
        const int up = y - t.y1;
        const int dx = std::max({0, right, left});
        const int dy = std::max({0, down, up});
        const int to_target =
            prices_.step * (dx + dy) +
            job.bend * (t.heading ? bends_to_end(d, *t.heading, right, down)
                                  : bends_to_box(d, {right, down, left, up}, dx, dy));
        least = std::min(least, to_target);
    }
    return least;
}

inline void Search::push(int node, Direction d, int cost, int parent, const Job& job) {
    const int state = state_of(node, d);
    State& best = known(state);
    if (best.stamp == stamp_ && best.cost <= cost) {
        return;
    }
    const int rank = cost + guess(node, d, job);
    if (rank >= best_cost_) {
        return;
    }
    best = {stamp_, cost, parent, rank};
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
        best_piece_ = marks_[at(node)].piece;
        best_sign_.reset();
    }
}

inline void Search::offer_signs(const Job& job, int state) {
    if (known(state).cost + least_sign_ >= best_cost_) {
        return;
    }
    const int node = state / 4;
    const Direction d = way_of(state);
    if (grid_.foreign(node, job.net) || grid_.arms(node, job.net) > 1) {
        return;
    }
    for (const SignOffer& sign : *job.signs) {
        int total = known(state).cost + sign.price;
        if (sign.facing == opposite(d)) {
            continue;
        }
        total += sign.facing != d ? prices_.sign_bend : 0;
        if (total >= best_cost_) {
            continue;
        }
        const Point end{static_cast<double>(grid_.x(node)), static_cast<double>(grid_.y(node))};
        const Box box = grown(moved(sign.box, end), Grid::air);
        const bool on_its_side = box.left > job.left_limit && box.right < job.right_limit;
        if (on_its_side && grid_.fits(moved(sign.box, end), node, job.net) &&
            !way_touches(state, box)) {
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
    for (int s = known(state).parent; s >= 0; s = known(s).parent) {
        const int x = grid_.x(s / 4);
        const int y = grid_.y(s / 4);
        if (known(state).parent == s && (x <= box.left || x >= box.right || y <= box.top + 0.3)) {
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
    const int so_far = known(state).cost;
    const bool first = known(state).parent < 0;
    const bool branch = first && grid_.arms(node, job.net) == 2;
    const bool straight_only = !first && grid_.foreign(node, job.net);
    for (const Direction d : all_directions) {
        if (d == opposite(came) || ((straight_only || branch) && d != came)) {
            continue;
        }
        const int next = node + grid_.stride(d);
        if (grid_.edge_blocked(node, d) || grid_.owner(node, d) != no_net || !allowed(job, next)) {
            continue;
        }
        const bool of_net = marks_[at(next)].stamp == stamp_;
        if (of_net && marks_[at(next)].piece == self_) {
            continue;
        }
        int cost = so_far + prices_.step + grid_.soft(next) + beside(node, d);
        cost += d != came ? job.bend : 0;
        if (of_net) {
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
        if (rank > known(state).rank) {
            continue;  // a cheaper way to this state was found later
        }
        if (++work_ > job.work_limit) {
            return std::nullopt;
        }
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
    for (int s = best_state_; s >= 0; s = known(s).parent) {
        way.nodes.push_back(s / 4);
    }
    std::reverse(way.nodes.begin(), way.nodes.end());
    return way;
}

}  // namespace etchback::drawing::detail
