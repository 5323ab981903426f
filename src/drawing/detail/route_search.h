// The cheapest way from one piece of a net to another piece of it, or to a place for a sign.
#pragma once

#include <array>
#include <cstdint>
#include <limits>
#include <optional>
#include <vector>

#include "drawing/detail/route_grid.h"

namespace etchback::drawing::detail {

// Prices in tenths of a step.
struct RoutePrices {
    int step = 10;
    int bend = 45;
    int junction = 12;
    int crossing = 300;
    int beside = 5;      // a step right next to another wire
    int sign_bend = 30;  // a sign that does not continue its wire
};

struct SignOffer {
    NetSign::Kind kind;
    Direction facing;
    Box box;  // for a wire that ends at (0, 0)
    int price = 0;
};

struct Way {
    std::vector<int> nodes;  // from the piece outwards; one node: a sign right there
    int cost = 0;
    int reached = -1;  // piece that was reached, or -1: a sign
    std::optional<SignOffer> sign;
};

class Search {
public:
    Search(const Grid& grid, const RoutePrices& prices);

    struct Job {
        int net = no_net;
        const std::vector<int>* from = nullptr;                 // nodes of the piece
        const std::vector<std::vector<int>>* pieces = nullptr;  // all pieces of the net
        const std::vector<SignOffer>* signs = nullptr;
        double left_limit = -1e9, right_limit = 1e9;  // isolation lines
        int cost_limit = 1 << 29;
        long work_limit = std::numeric_limits<long>::max();  // of work() below: then it is given up
        int bend = RoutePrices{}.bend;
    };
    std::optional<Way> find(const Job& job, int self);
    // Steps taken in all searches so far: a clock that runs the same everywhere.
    long work() const { return work_; }

private:
    // The best known way to a node by a direction, valid if stamped by the present search.
    struct State {
        std::uint32_t stamp = 0;
        int cost = 0;
        int parent = -1;
        int rank = 0;  // its cost and a guess of what is still to pay
    };
    State& known(int state) {
        return arrivals_[static_cast<std::size_t>(state) / 4]
            .by[static_cast<std::size_t>(state) % 4];
    }
    const State& known(int state) const {
        return arrivals_[static_cast<std::size_t>(state) / 4]
            .by[static_cast<std::size_t>(state) % 4];
    }
    void prepare(const Job& job, int self);
    void start(const Job& job);
    void expand(const Job& job, int state);
    void reach(const Job& job, int state, int node, Direction d, int cost);
    void offer_signs(const Job& job, int state);
    bool way_touches(int state, const Box& box) const;
    void find_targets(const Job& job, int self);
    int guess(int node, Direction d, const Job& job) const;
    void push(int node, Direction d, int cost, int parent, const Job& job);
    int beside(int node, Direction d) const;
    bool allowed(const Job& job, int node) const;

    const Grid& grid_;
    RoutePrices prices_;
    long work_ = 0;
    std::uint32_t stamp_ = 0;
    struct alignas(64) Arrivals {  // one line of the cache
        std::array<State, 4> by;
    };
    std::vector<Arrivals> arrivals_;  // by node
    // Which piece of the net a node belongs to.
    struct Mark {
        std::uint32_t stamp = 0;
        int piece = -1;
    };
    std::vector<Mark> marks_;
    int self_ = -1;                       // the piece that the way starts from
    std::vector<std::vector<int>> open_;  // states to go on from, by rank
    int least_rank_ = 0, most_rank_ = -1;
    int best_cost_ = 0;
    int best_state_ = -1;
    int best_end_ = -1;
    int best_piece_ = -1;
    std::optional<SignOffer> best_sign_;
    // Where the search may end: a box around a piece, or around all of many.
    struct Target {
        int x0 = 1 << 29, y0 = 1 << 29, x1 = -(1 << 29), y1 = -(1 << 29);
        std::optional<Direction> heading;  // of a lone end: a wire that comes so goes straight on
    };
    std::vector<Target> targets_;
    int least_sign_ = 0;
};

}  // namespace etchback::drawing::detail
