// Taking jogs out of wires that lie: a part is shifted by the jog's length, its nets are laid anew,
// and all stays as it was unless that is cheaper.
#include <algorithm>
#include <cmath>
#include <cstdlib>

#include "drawing/detail/route_router.h"

namespace etchback::drawing::detail {

namespace {

constexpr int longest_jog = 4;

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
std::vector<Router::Shift> Router::shifts_worth_a_try() const {
    std::vector<Shift> shifts;
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
                shifts.push_back({part, {s.x * length, s.y * length}});
            }
        }
    }
    return shifts;
}

bool Router::is_free_for(int part) const {
    const auto room_at = [&](int p, std::size_t i) {
        return moved(variant(p).rooms[i], origin(p));
    };
    const Box mine = moved(variant(part).bounds, origin(part));
    for (int other = 0; other < static_cast<int>(model_.parts.size()); ++other) {
        if (other == part || !mine.overlaps(moved(variant(other).bounds, origin(other)))) {
            continue;
        }
        for (std::size_t i = 0; i < variant(part).rooms.size(); ++i) {
            for (std::size_t j = 0; j < variant(other).rooms.size(); ++j) {
                if (room_at(part, i).overlaps(room_at(other, j))) {
                    return false;
                }
            }
        }
    }
    if (!grid_.holds(grown(mine, 3.0))) {
        return false;
    }
    const ModelPart& p = model_.parts[at(part)];
    const auto zone = at(p.zone);
    return p.astride >= 0 ||
           ((zone == 0 || mine.left >= placement_.lines[zone - 1] + 0.5) &&
            (zone >= placement_.lines.size() || mine.right <= placement_.lines[zone] - 0.5));
}

// The part's own nets, and those that run or have signs where it stands.
std::vector<int> Router::nets_in_the_way(int part) const {
    const Variant& v = variant(part);
    std::vector<Box> boxes{grown(moved(v.body, origin(part)), 0.3)};
    for (const LabelRoom& label : v.labels) {
        boxes.push_back(grown(moved(label.box, origin(part)), 0.15));
    }
    for (int k = 0; k < static_cast<int>(v.pins.size()); ++k) {
        const int escape = grid_.neighbour(pin_node({part, k}), facing({part, k}));
        const Point p{static_cast<double>(grid_.x(escape)), static_cast<double>(grid_.y(escape))};
        boxes.push_back({p.x - 0.1, p.y - 0.1, p.x + 0.1, p.y + 0.1});
    }
    std::vector<int> nets;
    for (const int net : order_) {
        const Track& track = tracks_[at(net)];
        const auto& own = model_.parts[at(part)].nets;
        bool touched = std::find(own.begin(), own.end(), net) != own.end();
        for (const Box& box : boxes) {
            for (const auto& [node, d] : track.edges) {
                const int to = grid_.neighbour(node, d);
                const Box edge{static_cast<double>(std::min(grid_.x(node), grid_.x(to))) - 0.01,
                               static_cast<double>(std::min(grid_.y(node), grid_.y(to))) - 0.01,
                               static_cast<double>(std::max(grid_.x(node), grid_.x(to))) + 0.01,
                               static_cast<double>(std::max(grid_.y(node), grid_.y(to))) + 0.01};
                touched = touched || edge.overlaps(box);
            }
            for (const SetSign& sign : track.signs) {
                touched = touched || sign_area(sign).overlaps(box);
            }
        }
        if (touched) {
            nets.push_back(net);
        }
    }
    return nets;
}

void Router::move_part(int part, Step to) {
    block_part(part, -1);
    placement_.at[at(part)] = to;
    block_part(part, 1);
    grid_.clear_reservations();
    reserve_escapes();
}

bool Router::try_shift(const Shift& shift) {
    const Step old = placement_.at[at(shift.part)];
    const Step to{old.x + shift.by.x, old.y + shift.by.y};
    if (model_.parts[at(shift.part)].astride >= 0 && shift.by.x != 0) {
        return false;
    }
    placement_.at[at(shift.part)] = to;
    const bool is_free = is_free_for(shift.part);
    const std::vector<int> nets = is_free ? nets_in_the_way(shift.part) : std::vector<int>{};
    placement_.at[at(shift.part)] = old;
    if (!is_free) {
        return false;
    }
    std::vector<Track> before;
    int cost_before = 0;
    int cost = 0;
    bool complete = true;
    for (const int net : nets) {
        before.push_back(tracks_[at(net)]);
        cost_before += tracks_[at(net)].cost;
        lift(net);
    }
    move_part(shift.part, to);
    for (const int net : nets) {
        lay(net);
        cost += tracks_[at(net)].cost;
        complete = complete && tracks_[at(net)].complete;
    }
    if (complete && cost < cost_before) {
        return true;
    }
    for (const int net : nets) {
        lift(net);
    }
    move_part(shift.part, old);
    for (std::size_t i = 0; i < nets.size(); ++i) {
        put_back(nets[i], before[i]);
    }
    return false;
}

void Router::straighten() {
    int left = 60;  // tries
    for (int round = 0; round < 3; ++round) {
        bool changed = false;
        for (const Shift& shift : shifts_worth_a_try()) {
            if (left-- <= 0) {
                return;
            }
            changed = try_shift(shift) || changed;
        }
        if (!changed) {
            return;
        }
    }
}

}  // namespace etchback::drawing::detail
