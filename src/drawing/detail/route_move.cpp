// Parts moved while wires lie: what is in the way is laid anew, and all stays as it was unless that
// is cheaper.
#include <algorithm>
#include <cmath>
#include <cstdlib>

#include "drawing/detail/route_router.h"

namespace etchback::drawing::detail {

namespace {

// Of nine moves in ten that turn out better the wires are found in this many steps of search.
constexpr long trying_work = 2048;

std::size_t at(int i) {
    return static_cast<std::size_t>(i);
}

}  // namespace

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
    for (const Neighbours& pair : model_.neighbours) {
        if (pair.part == part || pair.of == part) {
            const Misfit m = misfit(pair,
                                    moved(variant(pair.part).body, origin(pair.part)),
                                    moved(variant(pair.of).body, origin(pair.of)));
            sum += 100.0 * m.wrong + 10.0 * m.aside;
        }
    }
    return sum;
}

// The boxes that a part keeps wires and signs out of.
std::vector<Box> Router::closed_by(int part) const {
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
    return boxes;
}

// The parts' own nets, and those that run or have signs where they stand.
std::vector<int> Router::nets_in_the_way(const std::vector<Stand>& stands) {
    closing_.clear();
    std::vector<char> touched(model_.nets.size(), 0);
    for (const Stand& stand : stands) {
        for (const int net : model_.parts[at(stand.part)].nets) {
            touched[at(net)] = 1;
        }
        for (const Box& box : closed_by(stand.part)) {
            closing_.push_back(box);
            grid_.each_owner(box, [&](int net) { touched[at(net)] = 1; });
            for (int net = 0; net < static_cast<int>(tracks_.size()); ++net) {
                for (const SetSign& sign : tracks_[at(net)].signs) {
                    touched[at(net)] =
                        static_cast<char>(touched[at(net)] | sign_area(sign).overlaps(box));
                }
            }
        }
    }
    std::vector<int> nets;
    std::vector<int> many;  // laid last: they take longest
    for (const int net : order_) {
        if (touched[at(net)]) {
            (model_.nets[at(net)].pins.size() > 6 ? many : nets).push_back(net);
        }
    }
    nets.insert(nets.end(), many.begin(), many.end());
    return nets;
}

Router::Stand Router::stand_of(int part) const {
    return {part, placement_.at[at(part)], placement_.variant[at(part)]};
}

std::vector<Router::Stand> Router::shifted(const std::vector<int>& parts, Step by) const {
    std::vector<Stand> stands;
    for (const int part : parts) {
        stands.push_back(stand_of(part));
        stands.back().at.x += by.x;
        stands.back().at.y += by.y;
    }
    return stands;
}

void Router::stand(const std::vector<Stand>& stands) {
    for (const Stand& s : stands) {
        placement_.at[at(s.part)] = s.at;
        placement_.variant[at(s.part)] = s.variant;
    }
}

void Router::move_parts(const std::vector<Stand>& stands) {
    for (const Stand& s : stands) {
        block_part(s.part, -1);
    }
    release_escapes();
    stand(stands);
    for (const Stand& s : stands) {
        block_part(s.part, 1);
    }
    reserve_escapes();
}

// How all stands, in tenths of a step, like the wires' cost.
int Router::look() const {
    const Prices prices;
    double price = 2.0 * shape_price(model_, placement_, prices);
    Box all{1e9, 1e9, -1e9, -1e9};
    for (int part = 0; part < static_cast<int>(model_.parts.size()); ++part) {
        price += prices.taste * variant(part).taste;
        all = joined(all, moved(variant(part).bounds, origin(part)));
    }
    price += prices.extent * ((all.right - all.left) + 1.4 * (all.bottom - all.top));
    return static_cast<int>(std::lround(10.0 * price));
}

// What the wires of some nets cost as they lie; each crossing once.
int Router::price_of(const std::vector<int>& nets) const {
    const RoutePrices prices;
    std::vector<char> inside(model_.nets.size(), 0);
    int price = 0;
    for (const int net : nets) {
        inside[at(net)] = 1;
    }
    for (const int net : nets) {
        const Track& track = tracks_[at(net)];
        price += track.complete ? 0 : 100000;
        price += prices.step * static_cast<int>(track.edges.size()) +
                 prices.bend * bends_of(grid_, track.edges, net) *
                     (model_.nets[at(net)].rail != Rail::none ? 3 : 1) +
                 prices.junction * static_cast<int>(dots_of(grid_, track.edges, net).size());
        for (const SetSign& sign : track.signs) {
            price += sign.offer.price;
        }
        for (const auto& [node, d] : track.edges) {
            const int to = grid_.neighbour(node, d);
            price += grid_.soft(to);
            const bool upright = d == Direction::up || d == Direction::down;
            for (const Direction side : {upright ? Direction::left : Direction::up,
                                         upright ? Direction::right : Direction::down}) {
                const int beside = grid_.owner(node + grid_.stride(side), d);
                price += beside != no_net ? prices.beside / 2 : 0;
            }
        }
        for (const int other : crossed_by(net)) {
            price += inside[at(other)] && other < net ? 0 : prices.crossing;
        }
    }
    return price;
}

// Lifts of a net that is held together by signs the pieces on which the parts hang, and those that
// will be in their way; of any other net, all. The pins that are to be laid anew.
std::vector<PinOf> Router::lift_some(int net, const std::vector<Stand>& stands) {
    Track& track = tracks_[at(net)];
    const ModelNet& n = model_.nets[at(net)];
    if (styles_[at(net)] == NetStyle::wired || !track.complete || n.pins.size() < 4) {
        lift(net);
        tracks_[at(net)] = {};
        return n.pins;
    }
    std::vector<std::pair<int, int>> piece_of;  // by node
    for (std::size_t i = 0; i < track.pieces.size(); ++i) {
        for (const int node : track.pieces[i]) {
            piece_of.emplace_back(node, static_cast<int>(i));
        }
    }
    std::sort(piece_of.begin(), piece_of.end());
    const auto find = [&](int node) {
        const auto found =
            std::lower_bound(piece_of.begin(), piece_of.end(), std::pair<int, int>{node, -1});
        return found != piece_of.end() && found->first == node ? found->second : -1;
    };
    const auto piece_of_edge = [&](const std::pair<int, Direction>& edge) {
        const int piece = find(edge.first);
        return piece >= 0 ? piece : find(grid_.neighbour(edge.first, edge.second));
    };
    std::vector<char> touched(track.pieces.size() + 1, 0);  // the last: whatever has no piece
    touched.back() = 1;
    const auto touch = [&](int piece) { touched[piece < 0 ? track.pieces.size() : at(piece)] = 1; };
    for (const PinOf& pin : n.pins) {
        for (const Stand& s : stands) {
            if (s.part == pin.part) {
                touch(find(grid_.neighbour(pin_node(pin), facing(pin))));
            }
        }
    }
    for (const Box& box : closing_) {
        for (const auto& edge : track.edges) {
            const int to = grid_.neighbour(edge.first, edge.second);
            const Box run{static_cast<double>(std::min(grid_.x(edge.first), grid_.x(to))) - 0.01,
                          static_cast<double>(std::min(grid_.y(edge.first), grid_.y(to))) - 0.01,
                          static_cast<double>(std::max(grid_.x(edge.first), grid_.x(to))) + 0.01,
                          static_cast<double>(std::max(grid_.y(edge.first), grid_.y(to))) + 0.01};
            if (run.overlaps(box)) {
                touch(piece_of_edge(edge));
            }
        }
        for (const SetSign& sign : track.signs) {
            if (sign_area(sign).overlaps(box)) {
                touch(find(sign.node));
            }
        }
    }
    const auto is_touched = [&](int piece) {
        return touched[piece < 0 ? track.pieces.size() : at(piece)] != 0;
    };
    std::vector<PinOf> pins;
    for (const PinOf& pin : n.pins) {
        if (is_touched(find(grid_.neighbour(pin_node(pin), facing(pin))))) {
            pins.push_back(pin);
        }
    }
    Track kept;
    for (const auto& edge : track.edges) {
        if (is_touched(piece_of_edge(edge))) {
            grid_.own(edge.first, edge.second, no_net);
        } else {
            kept.edges.push_back(edge);
        }
    }
    for (const SetSign& sign : track.signs) {
        if (is_touched(find(sign.node))) {
            block_sign(sign, -1);
        } else {
            kept.signs.push_back(sign);
        }
    }
    for (std::size_t i = 0; i < track.pieces.size(); ++i) {
        if (!touched[i]) {
            kept.pieces.push_back(track.pieces[i]);
            kept.has_sign.push_back(track.has_sign[i]);
        }
    }
    track = std::move(kept);
    return pins;
}

void Router::lay_some(int net, const std::vector<PinOf>& pins) {
    if (pins.size() == model_.nets[at(net)].pins.size()) {
        lay(net);
        return;
    }
    add_pins(net, pins);
    lay_pieces(net);
}

// What a net's wires cost at least, wherever they run.
int Router::least_price(int net) const {
    const ModelNet& n = model_.nets[at(net)];
    if (styles_[at(net)] != NetStyle::wired || n.pins.size() < 2) {
        return 0;
    }
    std::vector<Pip> pips;
    int x0 = 1 << 29, x1 = -(1 << 29), y0 = 1 << 29, y1 = -(1 << 29);
    for (const PinOf& pin : n.pins) {
        const Step s = variant(pin.part).pins[at(pin.pin)].at;
        const Step p = placement_.at[at(pin.part)];
        const Direction way = facing(pin);
        const Step out = step_of(way);
        pips.push_back({s.x + p.x, s.y + p.y, way});
        x0 = std::min(x0, s.x + p.x + out.x);
        x1 = std::max(x1, s.x + p.x + out.x);
        y0 = std::min(y0, s.y + p.y + out.y);
        y1 = std::max(y1, s.y + p.y + out.y);
    }
    const RoutePrices prices;
    int price = prices.step * (x1 - x0 + y1 - y0 + static_cast<int>(pips.size()));
    if (pips.size() <= 3) {  // a trunk with legs is as good as any wire
        constexpr double turning_back = 8.0;
        Estimate wire;
        estimate_wire(pips, {prices.bend / 10.0, turning_back}, wire);
        price = std::max(price, static_cast<int>(10.0 * wire.cost) - prices.step);
    }
    return std::min(price, far_sign);
}

bool Router::may_stand(const std::vector<Stand>& stands) const {
    return std::all_of(stands.begin(), stands.end(), [&](const Stand& s) {
        const ModelPart& part = model_.parts[at(s.part)];
        if (part.fixed && s.at != placement_.at[at(s.part)]) {
            return false;
        }
        if (part.astride < 0) {
            return true;
        }
        const auto middle = [&](int variant_index, Step where) {
            const Box& body = part.variants[at(variant_index)].body;
            return 2.0 * where.x + body.left + body.right;
        };
        const Stand now = stand_of(s.part);
        return middle(s.variant, s.at) == middle(now.variant, now.at);
    });
}

// What is tied to what moves goes along; nothing if that is pulled two ways.
std::vector<Router::Stand> Router::with_ties(const std::vector<Stand>& asked) const {
    std::vector<Stand> stands = asked;
    const auto find = [&](int part) {
        return std::find_if(
            stands.begin(), stands.end(), [&](const Stand& s) { return s.part == part; });
    };
    for (const Stand& s : asked) {
        const int tie = model_.parts[at(s.part)].tie;
        if (tie < 0) {
            continue;
        }
        const Step now = placement_.at[at(s.part)];
        for (const TiedPart& t : model_.ties[at(tie)]) {
            Stand other = stand_of(t.part);
            other.at = {other.at.x + s.at.x - now.x, other.at.y + s.at.y - now.y};
            const auto found = find(t.part);
            if (found == stands.end()) {
                stands.push_back(other);
            } else if (found->at != other.at) {
                return {};
            }
        }
    }
    return stands;
}

bool Router::try_stands(const std::vector<Stand>& asked) {
    const std::vector<Stand> stands = model_.ties.empty() ? asked : with_ties(asked);
    if (stands.empty() || !may_stand(stands)) {
        return false;
    }
    std::vector<Stand> old;
    double disorder_before = 0.0;
    for (const Stand& s : stands) {
        old.push_back(stand_of(s.part));
        disorder_before += disorder(s.part);
    }
    const int look_before = look();
    stand(stands);
    double disorder_after = 0.0;
    bool free = true;
    for (const Stand& s : stands) {
        free = free && is_free_for(s.part);
        disorder_after += disorder(s.part);
    }
    free = free && disorder_after <= disorder_before;
    const std::vector<int> nets = free ? nets_in_the_way(stands) : std::vector<int>{};
    const int look_after = look();
    std::vector<int> least;
    int least_of_all = 0;
    for (const int net : nets) {
        least.push_back(least_price(net));
        least_of_all += least.back();
    }
    stand(old);
    const int before = free ? price_of(nets) + look_before : 0;
    if (!free || look_after + least_of_all >= before) {
        return false;
    }
    std::vector<Track> tracks;
    std::vector<std::vector<PinOf>> lifted;
    for (const int net : nets) {
        tracks.push_back(tracks_[at(net)]);
        lifted.push_back(lift_some(net, stands));
    }
    move_parts(stands);
    most_work_ = search_.work() + trying_work;
    std::size_t laid = 0;
    int so_far = look_after;
    while (laid < nets.size() && so_far + least_of_all < before) {
        least_of_all -= least[laid];
        const int net = nets[laid];
        most_cost_ = before - so_far - least_of_all;
        lay_some(net, lifted[laid++]);
        so_far += tracks_[at(net)].complete ? tracks_[at(net)].cost : before;
    }
    most_cost_ = 1 << 28;
    most_work_ = std::numeric_limits<long>::max();
    if (laid == nets.size() && so_far < before && look_after + price_of(nets) < before) {
        return true;
    }
    for (const int net : nets) {
        lift(net);
    }
    move_parts(old);
    for (std::size_t i = 0; i < nets.size(); ++i) {
        put_back(nets[i], tracks[i]);
    }
    return false;
}

// The part and all that hangs on it by straight wires: a column if `upright`, or a row.
std::vector<int> Router::group_of(int part, bool upright) const {
    std::vector<int> group{part};
    for (std::size_t i = 0; i < group.size(); ++i) {
        for (int k = 0; k < static_cast<int>(variant(group[i]).pins.size()); ++k) {
            const PinOf pin{group[i], k};
            const int net = variant(group[i]).pins[at(k)].net;
            const Direction d = facing(pin);
            if (net < 0 || (d == Direction::up || d == Direction::down) != upright) {
                continue;
            }
            int node = pin_node(pin);
            const int first = node;
            while (grid_.owner(node, d) == net) {
                node = grid_.neighbour(node, d);
            }
            for (const PinOf& other : model_.nets[at(net)].pins) {
                const bool there = node != first && pin_node(other) == node;
                if (there && std::find(group.begin(), group.end(), other.part) == group.end()) {
                    group.push_back(other.part);
                }
            }
        }
    }
    return group;
}

}  // namespace etchback::drawing::detail
