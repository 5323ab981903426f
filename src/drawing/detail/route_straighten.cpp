// Taking jogs out of wires that lie: a part is shifted by the jog's length, its nets are laid anew,
// and all stays as it was unless that is cheaper.
#include <algorithm>
#include <cmath>
#include <cstdlib>

#include "drawing/detail/route_router.h"

namespace etchback::drawing::detail {

namespace {

constexpr int longest_jog = 4;
constexpr long straightening_work = 300'000;

std::size_t at(int i) {
    return static_cast<std::size_t>(i);
}

// From a node along the net's straight wire; the node where it ends or bends.
int run_end(const Grid& grid, int node, Direction d, int net) {
    while (grid.owner(node, d) == net) {
        node = grid.neighbour(node, d);
    }
    return node;
}

}  // namespace

// A jog is a short piece between two bends. What may be shifted is a part whose pin ends the
// straight wire on either side of it.
std::vector<Router::Stand> Router::stands_without_jog() const {
    std::vector<Stand> stands;
    for (int part = 0; part < static_cast<int>(model_.parts.size()); ++part) {
        const Variant& v = variant(part);
        for (int k = 0; k < static_cast<int>(v.pins.size()); ++k) {
            const int net = v.pins[at(k)].net;
            if (net < 0 || model_.nets[at(net)].style == NetStyle::open) {
                continue;
            }
            const Direction out = facing({part, k});
            const int bend = run_end(grid_, pin_node({part, k}), out, net);
            if (grid_.arms(bend, net) != 2) {
                continue;
            }
            for (const int turn : {1, 3}) {
                const auto side = static_cast<Direction>((static_cast<int>(out) + turn) % 4);
                const int end = run_end(grid_, bend, side, net);
                const int length =
                    std::abs(grid_.x(end) - grid_.x(bend)) + std::abs(grid_.y(end) - grid_.y(bend));
                if (length == 0 || length > longest_jog) {
                    continue;
                }
                const Step s = step_of(side);
                Stand stand = stand_of(part);
                stand.at = {stand.at.x + s.x * length, stand.at.y + s.y * length};
                stands.push_back(stand);
            }
        }
    }
    return stands;
}

void Router::straighten() {
    int left = 120;  // tries
    const long enough = search_.work() + straightening_work;
    for (int round = 0; round < 3; ++round) {
        bool changed = false;
        for (const Stand& stand : stands_without_jog()) {
            if (left-- <= 0 || search_.work() > enough) {
                return;
            }
            const Step now = placement_.at[at(stand.part)];
            const Step by{stand.at.x - now.x, stand.at.y - now.y};
            changed = try_stands({stand}) ||
                      try_stands(shifted(group_of(stand.part, by.x != 0), by)) || changed;
        }
        if (!changed) {
            return;
        }
    }
}

}  // namespace etchback::drawing::detail
