// The grid that wires run on: what is blocked, whose wire lies where.
#pragma once

#include <array>
#include <cstdint>
#include <vector>

#include "drawing/detail/place_model.h"

namespace etchback::drawing::detail {

constexpr int no_net = -1;
constexpr int nobody = -2;  // reserved by two nets at once: for neither

class Grid {
public:
    // Nodes from (left, top) to (right, bottom), both included.
    Grid(int left, int top, int right, int bottom);

    int nodes() const { return width_ * height_; }
    int node(int x, int y) const { return (y - top_) * width_ + (x - left_); }
    int x(int node) const { return cells_[index(node)].x; }
    int y(int node) const { return cells_[index(node)].y; }
    // To the neighbour in a direction; the nodes on the rim are always blocked, so that from any
    // other node all neighbours are there.
    int stride(Direction d) const { return strides_[static_cast<std::size_t>(d)]; }
    int left() const { return left_; }
    int right() const { return left_ + width_ - 1; }
    bool inside(int px, int py) const {
        return px >= left_ && py >= top_ && px < left_ + width_ && py < top_ + height_;
    }
    bool holds(const Box& box) const {
        return box.left > left_ && box.top > top_ && box.right < left_ + width_ - 1 &&
               box.bottom < top_ + height_ - 1;
    }
    // The neighbour in a direction, or -1 beyond the rim.
    int neighbour(int node, Direction d) const {
        switch (d) {
            case Direction::right:
                return x(node) < right() ? node + 1 : -1;
            case Direction::down:
                return node + width_ < nodes() ? node + width_ : -1;
            case Direction::left:
                return x(node) > left_ ? node - 1 : -1;
            default:
                return node >= width_ ? node - width_ : -1;
        }
    }

    bool blocked(int node) const { return cells_[index(node)].blocks > 0; }
    bool edge_blocked(int node, Direction d) const { return edge_block_[edge(node, d)] > 0; }
    // The net whose wire lies on the edge from `node` towards `d`.
    int owner(int node, Direction d) const { return owner_[edge(node, d)]; }
    void own(int node, Direction d, int net) {
        int& who = owner_[edge(node, d)];
        const int more = (net != no_net) - (who != no_net);
        who = net;
        cells_[index(node)].arms = static_cast<std::int16_t>(cells_[index(node)].arms + more);
        Cell& far = cells_[index(node + stride(d))];
        far.arms = static_cast<std::int16_t>(far.arms + more);
    }
    // How many arms of `net` meet in the node, and whether another net has any.
    int arms(int node, int net) const {
        const Owners w = owners(node);
        return (w.right == net) + (w.down == net) + (w.left == net) + (w.up == net);
    }
    bool foreign(int node, int net) const {
        if (cells_[index(node)].arms == 0) {
            return false;
        }
        const Owners w = owners(node);
        const auto is = [net](int who) { return who != no_net && who != net; };
        return is(w.right) || is(w.down) || is(w.left) || is(w.up);
    }
    // Any other net that has an arm in the node.
    int other(int node, int net) const {
        const Owners w = owners(node);
        for (const int who : {w.right, w.down, w.left, w.up}) {
            if (who != no_net && who != net) {
                return who;
            }
        }
        return no_net;
    }
    // Another net passes straight across the way `d`: it may be crossed.
    bool crossable(int node, Direction d, int net) const;

    int reserved(int node) const { return cells_[index(node)].reserved; }
    void reserve(int node, int net);
    void release(int node) { cells_[index(node)].reserved = no_net; }

    // Calls visit(net) for all wires that run through a box or along its rim; a net more than once.
    template <typename Visit>
    void each_owner(const Box& box, Visit visit) const {
        const Range near = edges_near(box);
        for (int py = near.y0; py <= near.y1; ++py) {
            for (int px = near.x0; px <= near.x1; ++px) {
                const Owners w = owners(node(px, py));
                if (w.right >= 0 && py >= box.top) {
                    visit(w.right);
                }
                if (w.down >= 0 && px >= box.left) {
                    visit(w.down);
                }
            }
        }
    }

    int soft(int node) const { return cells_[index(node)].soft; }

    // Nothing may run inside or on the rim of the box (taken back with -1).
    void block(const Box& box, int times = 1);
    // The same for a text: no sign overlaps it, not even between the lines of the grid.
    void hold(const Box& text, int times = 1);
    void make_unpleasant(const Box& box, int cost);

    // Whether a sign of `net` whose wire ends at `end` fits into the box, with a little air.
    static constexpr double air = 0.25;
    bool fits(const Box& sign, int end, int net) const;

private:
    static std::size_t index(int i) { return static_cast<std::size_t>(i); }
    // Edges are kept at their left or upper node, a row of them before the first node's. Those that
    // lead beyond the rim exist but are nobody's.
    std::size_t edge(int node, Direction d) const {
        const int first = d == Direction::left ? node - 1
                          : d == Direction::up ? node - width_
                                               : node;
        const bool upright = d == Direction::down || d == Direction::up;
        return 2 * index(first + width_) + (upright ? 1 : 0);
    }
    struct Range {
        int x0, y0, x1, y1;
    };
    struct Owners {
        int right, down, left, up;
    };
    Owners owners(int node) const {
        const auto own = 2 * index(node + width_);
        return {owner_[own], owner_[own + 1], owner_[own - 2], owner_[2 * index(node) + 1]};
    }
    Range nodes_in(const Box& box) const;
    Range edges_near(const Box& box) const;

    // What a search asks of every node lies together.
    struct Cell {
        int x = 0, y = 0;
        std::uint16_t blocks = 0;
        std::int16_t soft = 0;
        std::int16_t arms = 0;  // of all nets
        int reserved = no_net;
    };

    int left_, top_, width_, height_;
    std::array<int, 4> strides_;  // by direction
    std::vector<Cell> cells_;
    std::vector<std::uint16_t> edge_block_;
    std::vector<int> owner_;
    std::vector<Box> held_;  // in any order
};

}  // namespace etchback::drawing::detail
