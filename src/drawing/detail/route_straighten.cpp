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

double Router::disorder(int part) const {
    double sum = 0.0;
    for (int other = 0; other < static_cast<int>(model_.parts.size()); ++other) {
        sum += other != part ? out_of_order(model_, placement_, part, other) : 0.0;
    }
    return sum;
}

// The part's own nets, and those that run or have signs where it stands.
std::vector<int> Router::nets_in_the_way(int part) const {
    const Variant& v = variant(part);
    std::vector<Box> boxes{grown(moved(v.body, origin(part)), 0.3)};
    for (const LabelRoom& label : v.labels) {
        boxes.push_back(grown(moved(label.box, origin(part)), 0.3));
    }
    for (int k = 0; k < static_cast<int>(v.pins.size()); ++k) {
        const int escape = grid_.neighbour(pin_node({part, k}), facing({part, k}));
        const Point p{static_cast<double>(grid_.x(escape)), static_cast<double>(grid_.y(escape))};
        boxes.push_back({p.x - 0.1, p.y - 0.1, p.x + 0.1, p.y + 0.1});
    }
    std::vector<int> nets;
    std::vector<int> many;  // laid last: they take longest
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
            (model_.nets[at(net)].pins.size() > 6 ? many : nets).push_back(net);
        }
    }
    nets.insert(nets.end(), many.begin(), many.end());
    return nets;
}

Router::Stand Router::stand_of(int part) const {
    return {part, placement_.at[at(part)], placement_.variant[at(part)]};
}

void Router::move_part(const Stand& stand) {
    block_part(stand.part, -1);
    placement_.at[at(stand.part)] = stand.at;
    placement_.variant[at(stand.part)] = stand.variant;
    block_part(stand.part, 1);
    grid_.clear_reservations();
    reserve_escapes();
}

bool Router::try_stand(const Stand& stand) {
    const int part = stand.part;
    if (model_.parts[at(part)].fixed) {
        return false;
    }
    const Stand old = stand_of(part);
    const auto look = [&] {  // in tenths of a step, like the wires' cost
        return static_cast<int>(20.0 * variant(part).taste +
                                10.0 * shape_price(model_, placement_, Prices{}));
    };
    const int look_before = look();
    const double disorder_before = disorder(part);
    placement_.at[at(part)] = stand.at;
    placement_.variant[at(part)] = stand.variant;
    const bool is_free = is_free_for(part) && disorder(part) <= disorder_before;
    const std::vector<int> nets = is_free ? nets_in_the_way(part) : std::vector<int>{};
    int cost = look() - look_before;
    placement_.at[at(part)] = old.at;
    placement_.variant[at(part)] = old.variant;
    if (!is_free) {
        return false;
    }
    std::vector<Track> before;
    int cost_before = 0;
    for (const int net : nets) {
        before.push_back(tracks_[at(net)]);
        cost_before += tracks_[at(net)].cost;
        lift(net);
    }
    move_part(stand);
    std::size_t laid = 0;
    while (laid < nets.size() && cost < cost_before) {
        const int net = nets[laid++];
        lay(net);
        cost += tracks_[at(net)].complete ? tracks_[at(net)].cost : cost_before + 1;
    }
    if (cost < cost_before) {
        return true;
    }
    for (std::size_t i = 0; i < laid; ++i) {
        lift(nets[i]);
    }
    move_part(old);
    for (std::size_t i = 0; i < nets.size(); ++i) {
        put_back(nets[i], before[i]);
    }
    return false;
}

void Router::straighten() {
    int left = 60;  // tries
    const long enough = search_.work() + straightening_work;
    for (int round = 0; round < 3; ++round) {
        bool changed = false;
        for (const Stand& stand : stands_without_jog()) {
            if (left-- <= 0 || search_.work() > enough) {
                return;
            }
            changed = try_stand(stand) || changed;
        }
        if (!changed) {
            return;
        }
    }
}

}  // namespace etchback::drawing::detail
