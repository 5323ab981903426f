#include "drawing/detail/route_router.h"

#include <algorithm>
#include <cmath>
#include <set>

namespace etchback::drawing::detail {

namespace {

std::size_t at(int i) {
    return static_cast<std::size_t>(i);
}

// Steps of search after which a tangled circuit is as good as it gets.
constexpr long laying_work = 6'000'000;
constexpr long improving_work = 700'000;

Grid make_grid(const Model& model, const Placement& placement, const Placement* also) {
    Box all{1e9, 1e9, -1e9, -1e9};
    double widest = 4.0;
    for (std::size_t i = 0; i < model.parts.size(); ++i) {
        const Variant& v = model.parts[i].variants[at(placement.variant[i])];
        const Step p = placement.at[i];
        all = joined(all, moved(v.bounds, {static_cast<double>(p.x), static_cast<double>(p.y)}));
        if (also != nullptr) {
            const Step q = also->at[i];
            all =
                joined(all, moved(v.bounds, {static_cast<double>(q.x), static_cast<double>(q.y)}));
        }
    }
    for (const ModelNet& net : model.nets) {
        widest = std::max(widest, text_width(net.name, net_label_size));
    }
    if (model.parts.empty()) {
        all = {0, 0, 1, 1};
    }
    const int wide = static_cast<int>(std::ceil(widest)) + 6;
    return Grid(static_cast<int>(std::floor(all.left)) - wide,
                static_cast<int>(std::floor(all.top)) - 8,
                static_cast<int>(std::ceil(all.right)) + wide,
                static_cast<int>(std::ceil(all.bottom)) + 8);
}

}  // namespace

Router::Router(const Model& model, Placement placement, const Placement* also)
    : model_(model),
      placement_(std::move(placement)),
      grid_(make_grid(model, placement_, also)),
      search_(grid_, RoutePrices{}),
      tracks_(model.nets.size()),
      offers_(model.nets.size(), {NetStyle::open, {}}) {
    for (int p = 0; p < static_cast<int>(model_.parts.size()); ++p) {
        block_part(p, 1);
    }
    reserve_escapes();
    order_ = order_of_nets();
    for (const ModelNet& net : model_.nets) {
        styles_.push_back(net.style);
    }
}

void Router::lay_all() {
    constexpr int attempts = 6;
    for (int attempt = 1; attempt <= attempts; ++attempt) {
        for (const int net : order_) {
            lay(net);
        }
        const auto blocked = std::stable_partition(
            order_.begin(), order_.end(), [&](int net) { return !tracks_[at(net)].complete; });
        if (blocked == order_.begin() || attempt == attempts || search_.work() > laying_work) {
            return;
        }
        for (const int net : order_) {
            lift(net);
        }
    }
}

void Router::improve_all() {
    const long enough = search_.work() + improving_work;
    for (int round = 0; round < 3; ++round) {
        bool changed = false;
        for (const int net : order_) {
            changed = (search_.work() < enough && improve(net)) || changed;
        }
        if (!changed) {
            return;
        }
    }
}

const Variant& Router::variant(int part) const {
    return model_.parts[at(part)].variants[at(placement_.variant[at(part)])];
}
Point Router::origin(int part) const {
    return {static_cast<double>(placement_.at[at(part)].x),
            static_cast<double>(placement_.at[at(part)].y)};
}
int Router::pin_node(PinOf pin) const {
    const Step s = variant(pin.part).pins[at(pin.pin)].at;
    const Step p = placement_.at[at(pin.part)];
    return grid_.node(p.x + s.x, p.y + s.y);
}
Direction Router::facing(PinOf pin) const {
    return variant(pin.part).pins[at(pin.pin)].facing;
}

void Router::block_part(int part, int times) {
    const Variant& v = variant(part);
    const Box body = moved(v.body, origin(part));
    grid_.block(grown(body, 0.3), times);
    grid_.make_unpleasant(grown(body, 1.1), 4);
    for (const LabelRoom& label : v.labels) {
        const Box box = moved(label.box, origin(part));
        grid_.block(grown(box, 0.3), times);
        grid_.hold(box, times);
        grid_.make_unpleasant(grown(box, 0.7), 2);
    }
}

void Router::reserve_escapes() {
    for (int p = 0; p < static_cast<int>(model_.parts.size()); ++p) {
        const Variant& v = variant(p);
        for (int k = 0; k < static_cast<int>(v.pins.size()); ++k) {
            const int net = v.pins[at(k)].net;
            const int escape = grid_.neighbour(pin_node({p, k}), facing({p, k}));
            const bool drawn = net >= 0 && model_.nets[at(net)].style != NetStyle::open;
            grid_.reserve(escape, drawn ? net : nobody);
        }
    }
}

void Router::release_escapes() {
    for (int p = 0; p < static_cast<int>(model_.parts.size()); ++p) {
        for (int k = 0; k < static_cast<int>(variant(p).pins.size()); ++k) {
            grid_.release(grid_.neighbour(pin_node({p, k}), facing({p, k})));
        }
    }
}

double Router::span_of(int net) const {
    const ModelNet& n = model_.nets[at(net)];
    int x0 = 1 << 29, x1 = -(1 << 29), y0 = 1 << 29, y1 = -(1 << 29);
    for (const PinOf& pin : n.pins) {
        const int node = pin_node(pin);
        x0 = std::min(x0, grid_.x(node));
        x1 = std::max(x1, grid_.x(node));
        y0 = std::min(y0, grid_.y(node));
        y1 = std::max(y1, grid_.y(node));
    }
    return (x1 - x0) + (y1 - y0);
}

std::vector<int> Router::order_of_nets() const {
    std::vector<std::pair<double, int>> keyed;
    for (int n = 0; n < static_cast<int>(model_.nets.size()); ++n) {
        const NetStyle style = model_.nets[at(n)].style;
        if (style == NetStyle::open) {
            continue;
        }
        keyed.emplace_back(style == NetStyle::wired ? 10.0 + span_of(n) : 0.0, n);
    }
    std::sort(keyed.begin(), keyed.end());
    std::vector<int> order;
    for (const auto& [key, net] : keyed) {
        order.push_back(net);
    }
    return order;
}

const std::vector<SignOffer>& Router::offers_for(int net) {
    const ModelNet& n = model_.nets[at(net)];
    auto& [style, offers] = offers_[at(net)];
    if (style == styles_[at(net)]) {
        return offers;
    }
    style = styles_[at(net)];
    offers.clear();
    const auto add = [&](NetSign::Kind kind, Direction d, int price) {
        offers.push_back({kind, d, sign_box(kind, d, n.low ? n.sign_text : n.name), price});
    };
    if (n.low) {
        add(n.sign, Direction::down, styles_[at(net)] == NetStyle::returns ? return_sign : 900);
        return offers;
    }
    if (styles_[at(net)] == NetStyle::rail) {
        add(NetSign::Kind::rail, n.rail == Rail::bottom ? Direction::down : Direction::up, 180);
        const int sideways = n.rail == Rail::none ? 200 : 280;
        add(NetSign::Kind::rail, Direction::right, sideways);
        add(NetSign::Kind::rail, Direction::left, sideways);
        return offers;
    }
    const int price = styles_[at(net)] == NetStyle::flagged ? 0 : far_sign;
    add(NetSign::Kind::flag, Direction::right, price);
    add(NetSign::Kind::flag, Direction::left, price);
    return offers;
}

void Router::own(int net, int node, Direction d) {
    grid_.own(node, d, net);
    tracks_[at(net)].edges.emplace_back(node, d);
}

void Router::start_track(int net) {
    tracks_[at(net)] = {};
    add_pins(net, model_.nets[at(net)].pins);
}

void Router::add_pins(int net, const std::vector<PinOf>& pins) {
    Track& track = tracks_[at(net)];
    for (const PinOf& pin : pins) {
        const int node = pin_node(pin);
        const int escape = grid_.neighbour(node, facing(pin));
        if (grid_.reserved(escape) != net || grid_.blocked(escape)) {
            track.complete = false;
            continue;
        }
        own(net, node, facing(pin));
        const auto same = std::find_if(
            track.pieces.begin(), track.pieces.end(), [&](const std::vector<int>& piece) {
                return piece.front() == escape;
            });
        if (same == track.pieces.end()) {
            track.pieces.push_back({escape});
            track.has_sign.push_back(0);
        }
    }
}

// The piece to go on from: of a wired net the one that holds the most, else the first that
// still needs something.
int Router::next_piece(int net) const {
    const Track& track = tracks_[at(net)];
    const bool signs = styles_[at(net)] != NetStyle::wired || !track.signs.empty();
    int best = -1;
    for (int i = 0; i < static_cast<int>(track.pieces.size()); ++i) {
        const bool open = signs ? !track.has_sign[at(i)] : track.pieces.size() > 1;
        if (open && (best < 0 || track.pieces[at(i)].size() > track.pieces[at(best)].size())) {
            best = i;
        }
    }
    return best;
}

// A net stays on its side of the isolation, unless a part that stands astride has a pin of it
// on the other side (an auxiliary winding).
void Router::keep_to_zone(int net, Search::Job& job) const {
    const ModelNet& n = model_.nets[at(net)];
    const auto zone = at(n.zone);
    if (zone > 0) {
        job.left_limit = placement_.lines[zone - 1];
    }
    if (zone < placement_.lines.size()) {
        job.right_limit = placement_.lines[zone];
    }
    for (const PinOf& pin : n.pins) {
        const int x = grid_.x(grid_.neighbour(pin_node(pin), facing(pin)));
        job.left_limit = x <= job.left_limit ? -1e9 : job.left_limit;
        job.right_limit = x >= job.right_limit ? 1e9 : job.right_limit;
    }
}

// A rail is tried twice: from a straight trunk, and grown piece by piece like any other net.
void Router::lay(int net) {
    start_track(net);
    const bool trunk = lay_trunk(net);
    lay_pieces(net);
    if (!trunk) {
        return;
    }
    trim(net);
    const Track straight = tracks_[at(net)];
    lift(net);
    start_track(net);
    lay_pieces(net);
    const Track& grown = tracks_[at(net)];
    if (straight.complete && (!grown.complete || straight.cost <= grown.cost)) {
        lift(net);
        put_back(net, straight);
    }
}

// What a level trunk from x0 to x1 costs; -1 where there is something in its way.
int Router::trunk_price(int net, int y, int x0, int x1) const {
    const RoutePrices prices;
    int price = 0;
    for (int x = x0; x <= x1; ++x) {
        if (!grid_.inside(x, y)) {
            return -1;
        }
        const int node = grid_.node(x, y);
        const int who = grid_.reserved(node);
        if (grid_.blocked(node) || (who != no_net && who != net)) {
            return -1;
        }
        price += prices.step + grid_.soft(node);
        if (grid_.foreign(node, net)) {
            if (x == x0 || x == x1 || !grid_.crossable(node, Direction::right, net)) {
                return -1;
            }
            price += prices.crossing;
        }
        const bool above = grid_.owner(node, Direction::up) == net;
        const bool below = grid_.owner(node, Direction::down) == net;
        const bool level =
            grid_.owner(node, Direction::left) == net || grid_.owner(node, Direction::right) == net;
        if ((above && below) || (level && x != x0 && x != x1) ||
            (x < x1 && (grid_.edge_blocked(node, Direction::right) ||
                        (grid_.owner(node, Direction::right) != no_net)))) {
            return -1;
        }
    }
    return price;
}

// A rail's straight piece, a step or more beyond all its pins.
bool Router::lay_trunk(int net) {
    const ModelNet& n = model_.nets[at(net)];
    Track& track = tracks_[at(net)];
    if (n.rail == Rail::none || styles_[at(net)] != NetStyle::wired || track.pieces.size() < 3) {
        return false;
    }
    int x0 = 1 << 29, x1 = -(1 << 29), y0 = 1 << 29, y1 = -(1 << 29);
    for (const auto& piece : track.pieces) {
        x0 = std::min(x0, grid_.x(piece.front()));
        x1 = std::max(x1, grid_.x(piece.front()));
        y0 = std::min(y0, grid_.y(piece.front()));
        y1 = std::max(y1, grid_.y(piece.front()));
    }
    const int out = n.rail == Rail::bottom ? 1 : -1;
    const int edge = n.rail == Rail::bottom ? y1 : y0;
    int best_y = 0;
    int best_price = -1;
    for (int away = -3; away <= 3; ++away) {
        const int y = edge + out * away;
        const int price = trunk_price(net, y, x0, x1);
        const int total = price + 15 * static_cast<int>(track.pieces.size()) * std::abs(away);
        if (price >= 0 && (best_price < 0 || total < best_price)) {
            best_price = total;
            best_y = y;
        }
    }
    if (best_price < 0 || x0 == x1) {
        return false;
    }
    track.cost += trunk_price(net, best_y, x0, x1);
    std::vector<int> trunk;
    for (int x = x0; x <= x1; ++x) {
        trunk.push_back(grid_.node(x, best_y));
        if (x < x1) {
            own(net, trunk.back(), Direction::right);
        }
    }
    for (std::size_t i = 0; i < track.pieces.size();) {
        if (grid_.y(track.pieces[i].front()) == best_y) {
            track.pieces.erase(track.pieces.begin() + static_cast<std::ptrdiff_t>(i));
            track.has_sign.erase(track.has_sign.begin() + static_cast<std::ptrdiff_t>(i));
        } else {
            ++i;
        }
    }
    track.pieces.push_back(std::move(trunk));
    track.has_sign.push_back(0);
    return true;
}

// Takes away ends that lead to nothing.
void Router::trim(int net) {
    Track& track = tracks_[at(net)];
    std::set<int> kept;
    for (const PinOf& pin : model_.nets[at(net)].pins) {
        kept.insert(pin_node(pin));
    }
    for (const SetSign& sign : track.signs) {
        kept.insert(sign.node);
    }
    for (bool changed = true; changed;) {
        changed = false;
        for (std::size_t i = 0; i < track.edges.size(); ++i) {
            const auto [node, d] = track.edges[i];
            for (const int end : {node, grid_.neighbour(node, d)}) {
                if (kept.count(end) == 0 && grid_.arms(end, net) == 1) {
                    grid_.own(node, d, no_net);
                    track.edges.erase(track.edges.begin() + static_cast<std::ptrdiff_t>(i));
                    track.cost -= RoutePrices{}.step;
                    changed = true;
                    break;
                }
            }
            if (changed) {
                break;
            }
        }
    }
}

void Router::lay_pieces(int net) {
    Track& track = tracks_[at(net)];
    const std::vector<SignOffer>& offers = offers_for(net);
    for (int piece = next_piece(net); piece >= 0; piece = next_piece(net)) {
        Search::Job job;
        job.net = net;
        job.from = &track.pieces[at(piece)];
        job.pieces = &track.pieces;
        job.signs = &offers;
        job.bend *= model_.nets[at(net)].rail != Rail::none ? 3 : 1;
        job.cost_limit = std::max(0, most_cost_ - track.cost);
        job.work_limit = most_work_;
        keep_to_zone(net, job);
        const std::optional<Way> way = search_.find(job, piece);
        if (!way || !commit(net, piece, *way)) {
            track.complete = false;
            track.has_sign[at(piece)] = 1;
            track.cost += 100000;
            if (styles_[at(net)] == NetStyle::wired && track.signs.empty()) {
                return;
            }
        }
    }
}

bool Router::commit(int net, int piece, const Way& way) {
    std::set<int> unique(way.nodes.begin(), way.nodes.end());
    if (unique.size() != way.nodes.size()) {
        return false;
    }
    Track& track = tracks_[at(net)];
    track.cost += way.cost;
    for (std::size_t i = 1; i < way.nodes.size(); ++i) {
        own(net, way.nodes[i - 1], direction_between(grid_, way.nodes[i - 1], way.nodes[i]));
    }
    std::vector<int>& mine = track.pieces[at(piece)];
    mine.insert(mine.end(), way.nodes.begin() + 1, way.nodes.end());
    if (way.sign) {
        track.signs.push_back({way.nodes.back(), *way.sign});
        track.has_sign[at(piece)] = 1;
        block_sign(track.signs.back(), 1);
        return true;
    }
    std::vector<int>& other = track.pieces[at(way.reached)];
    mine.pop_back();  // the node that belongs to the other piece
    mine.insert(mine.end(), other.begin(), other.end());
    track.has_sign[at(piece)] =
        static_cast<char>(track.has_sign[at(piece)] | track.has_sign[at(way.reached)]);
    track.pieces.erase(track.pieces.begin() + way.reached);
    track.has_sign.erase(track.has_sign.begin() + way.reached);
    return true;
}

Box Router::sign_box_of(const SetSign& sign) const {
    const Point end{static_cast<double>(grid_.x(sign.node)),
                    static_cast<double>(grid_.y(sign.node))};
    return moved(sign.offer.box, end);
}

Box Router::sign_area(const SetSign& sign) const {
    return grown(sign_box_of(sign), 0.2);
}

void Router::block_sign(const SetSign& sign, int times) {
    grid_.block(sign_area(sign), times);
    grid_.hold(sign_box_of(sign), times);
}

bool Router::crosses(int net) const {
    const auto& edges = tracks_[at(net)].edges;
    return std::any_of(edges.begin(), edges.end(), [&](const auto& edge) {
        return grid_.foreign(edge.first, net);
    });
}

void Router::lift(int net) {
    for (const auto& [node, d] : tracks_[at(net)].edges) {
        grid_.own(node, d, no_net);
    }
    for (const SetSign& sign : tracks_[at(net)].signs) {
        block_sign(sign, -1);
    }
}

void Router::put_back(int net, const Track& track) {
    for (const auto& [node, d] : track.edges) {
        grid_.own(node, d, net);
    }
    for (const SetSign& sign : track.signs) {
        block_sign(sign, 1);
    }
    tracks_[at(net)] = track;
}

// Lays a net anew now that the others lie; keeps the better.
bool Router::improve(int net) {
    if (tracks_[at(net)].complete && tracks_[at(net)].signs.empty() &&
        bends_of(grid_, tracks_[at(net)].edges, net) == 0 && !crosses(net)) {
        return false;
    }
    const Track old = tracks_[at(net)];
    lift(net);
    lay(net);
    if (tracks_[at(net)].cost < old.cost) {
        return true;
    }
    lift(net);
    put_back(net, old);
    return false;
}

Routing Router::harvest() const {
    Routing routing;
    routing.nets.resize(model_.nets.size());
    for (int net = 0; net < static_cast<int>(model_.nets.size()); ++net) {
        const Track& track = tracks_[at(net)];
        const ModelNet& n = model_.nets[at(net)];
        RoutedNet& out = routing.nets[at(net)];
        routing.complete = routing.complete && track.complete;
        out.segments = segments_of(grid_, track.edges, net);
        out.dots = dots_of(grid_, track.edges, net);
        for (const SetSign& s : track.signs) {
            const Point end{static_cast<double>(grid_.x(s.node)),
                            static_cast<double>(grid_.y(s.node))};
            out.signs.push_back({circuit::NetId{net},
                                 s.offer.kind,
                                 end,
                                 s.offer.facing,
                                 moved(s.offer.box, end),
                                 n.low ? n.sign_text : n.name});
            ++routing.signs;
            routing.flags += styles_[at(net)] == NetStyle::wired;
        }
        routing.bends += bends_of(grid_, track.edges, net);
        routing.crossings += crossings_of(grid_, track.edges, net);
        for (const Segment& s : out.segments) {
            routing.length += std::abs(s.a.x - s.b.x) + std::abs(s.a.y - s.b.y);
        }
    }
    return routing;
}

}  // namespace etchback::drawing::detail
