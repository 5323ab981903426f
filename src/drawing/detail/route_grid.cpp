#include "drawing/detail/route_grid.h"

#include <algorithm>
#include <cmath>

namespace etchback::drawing::detail {

Grid::Grid(int left, int top, int right, int bottom)
    : left_(left),
      top_(top),
      width_(right - left + 1),
      height_(bottom - top + 1),
      strides_{1, width_, -1, -width_} {
    const auto count = static_cast<std::size_t>(width_) * static_cast<std::size_t>(height_);
    const auto edges = 2 * (count + static_cast<std::size_t>(width_));
    edge_block_.assign(edges, 0);
    owner_.assign(edges, no_net);
    cells_.resize(count);
    for (int i = 0; i < width_ * height_; ++i) {
        Cell& cell = cells_[index(i)];
        cell.x = left_ + i % width_;
        cell.y = top_ + i / width_;
        const bool rim = i % width_ == 0 || i % width_ == width_ - 1 || i < width_ ||
                         i >= width_ * (height_ - 1);
        cell.blocks = rim ? 1 : 0;
    }
}

bool Grid::crossable(int node, Direction d, int net) const {
    const bool upright = d == Direction::up || d == Direction::down;
    const int a = owner(node, upright ? Direction::left : Direction::up);
    const int b = owner(node, upright ? Direction::right : Direction::down);
    const int c = owner(node, d);
    const int e = owner(node, opposite(d));
    return a == b && a != no_net && a != net && c == no_net && e == no_net;
}

void Grid::reserve(int node, int net) {
    int& who = cells_[index(node)].reserved;
    who = who == no_net || who == net ? net : nobody;
}

Grid::Range Grid::nodes_in(const Box& box) const {
    return {std::max(left_, static_cast<int>(std::ceil(box.left))),
            std::max(top_, static_cast<int>(std::ceil(box.top))),
            std::min(left_ + width_ - 1, static_cast<int>(std::floor(box.right))),
            std::min(top_ + height_ - 1, static_cast<int>(std::floor(box.bottom)))};
}

// Nodes whose right or lower edge may touch the box.
Grid::Range Grid::edges_near(const Box& box) const {
    return {std::max(left_, static_cast<int>(std::ceil(box.left)) - 1),
            std::max(top_, static_cast<int>(std::ceil(box.top)) - 1),
            std::min(left_ + width_ - 1, static_cast<int>(std::floor(box.right))),
            std::min(top_ + height_ - 1, static_cast<int>(std::floor(box.bottom)))};
}

void Grid::block(const Box& box, int times) {
    const auto add = [&](std::uint16_t& count) {
        count = static_cast<std::uint16_t>(count + times);
    };
    const Range in = nodes_in(box);
    for (int py = in.y0; py <= in.y1; ++py) {
        for (int px = in.x0; px <= in.x1; ++px) {
            add(cells_[index(node(px, py))].blocks);
        }
    }
    const Range near = edges_near(box);
    for (int py = near.y0; py <= near.y1; ++py) {
        for (int px = near.x0; px <= near.x1; ++px) {
            const auto at = edge(node(px, py), Direction::right);
            if (py >= box.top) {
                add(edge_block_[at]);
            }
            if (px >= box.left) {
                add(edge_block_[at + 1]);
            }
        }
    }
}

void Grid::make_unpleasant(const Box& box, int cost) {
    const Range in = nodes_in(box);
    for (int py = in.y0; py <= in.y1; ++py) {
        for (int px = in.x0; px <= in.x1; ++px) {
            std::int16_t& soft = cells_[index(node(px, py))].soft;
            soft = std::max(soft, static_cast<std::int16_t>(cost));
        }
    }
}

void Grid::hold(const Box& text, int times) {
    if (times > 0) {
        held_.push_back(text);
        return;
    }
    const auto found = std::find(held_.begin(), held_.end(), text);
    if (found != held_.end()) {
        *found = held_.back();
        held_.pop_back();
    }
}

bool Grid::fits(const Box& sign, int end, int net) const {
    const Box box = grown(sign, air);
    if (box.left < left_ + 1 || box.top < top_ + 1 || box.right > left_ + width_ - 2 ||
        box.bottom > top_ + height_ - 2) {
        return false;
    }
    const Range in = nodes_in(box);
    for (int py = in.y0; py <= in.y1; ++py) {
        for (int px = in.x0; px <= in.x1; ++px) {
            const int n = node(px, py);
            if (n == end) {
                continue;
            }
            const int who = reserved(n);
            if (blocked(n) || who != no_net || arms(n, no_net) != 4) {
                return false;
            }
        }
    }
    const Range near = edges_near(box);
    for (int py = near.y0; py <= near.y1; ++py) {
        for (int px = near.x0; px <= near.x1; ++px) {
            const int n = node(px, py);
            for (const Direction d : {Direction::right, Direction::down}) {
                const bool touches = d == Direction::right ? py >= box.top : px >= box.left;
                const int m = touches ? neighbour(n, d) : -1;
                if (m < 0) {
                    continue;
                }
                const int who = owner_[edge(n, d)];
                if ((n == end || m == end) && who == net) {
                    continue;  // the sign's own wire
                }
                if (edge_block_[edge(n, d)] > 0 || who != no_net) {
                    return false;
                }
            }
        }
    }
    return !foreign(end, net) && std::none_of(held_.begin(), held_.end(), [&](const Box& text) {
        return text.overlaps(sign);
    });
}

}  // namespace etchback::drawing::detail
