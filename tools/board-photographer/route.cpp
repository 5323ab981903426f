#include "board-photographer/route.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <queue>

#include "board-photographer/shapes.h"

namespace etchback::photographer {
namespace {

constexpr int steps_x[8] = {1, 1, 0, -1, -1, -1, 0, 1};
constexpr int steps_y[8] = {0, 1, 1, 1, 0, -1, -1, -1};
constexpr float far_away = 1e9F;

// Cells of both layers in one row: layer 0 is the top.
struct Grid {
    double pitch = 0.25;
    Point origin;
    int width = 0;
    int height = 0;

    int layer_size() const { return width * height; }
    int size() const { return 2 * layer_size(); }
    int index(int layer, int x, int y) const { return layer * layer_size() + y * width + x; }
    Point point(int cell) const {
        const int flat = cell % layer_size();
        return {origin.x_mm + flat % width * pitch, origin.y_mm + flat / width * pitch};
    }
    // Calls visit(flat index, point) for cells within `radius` of `centre`.
    template <typename Visit>
    void around(Point centre, double radius, const Visit& visit) const {
        const auto clamp = [](double v, int top) {
            return std::clamp(static_cast<int>(std::floor(v)), 0, top);
        };
        const int x0 = clamp((centre.x_mm - radius - origin.x_mm) / pitch, width - 1);
        const int x1 = clamp((centre.x_mm + radius - origin.x_mm) / pitch + 1, width - 1);
        const int y0 = clamp((centre.y_mm - radius - origin.y_mm) / pitch, height - 1);
        const int y1 = clamp((centre.y_mm + radius - origin.y_mm) / pitch + 1, height - 1);
        for (int y = y0; y <= y1; ++y) {
            for (int x = x0; x <= x1; ++x) {
                visit(y * width + x, Point{origin.x_mm + x * pitch, origin.y_mm + y * pitch});
            }
        }
    }
};

Grid grid_for(const BoardShape& board, double pitch) {
    double x0 = 1e9, y0 = 1e9, x1 = -1e9, y1 = -1e9;
    for (const Point& p : board.outline) {
        x0 = std::min(x0, p.x_mm);
        y0 = std::min(y0, p.y_mm);
        x1 = std::max(x1, p.x_mm);
        y1 = std::max(y1, p.y_mm);
    }
    return {pitch,
            {x0, y0},
            static_cast<int>((x1 - x0) / pitch) + 1,
            static_cast<int>((y1 - y0) / pitch) + 1};
}

class Router {
public:
    Router(Layout& layout, const RouteRules& rules)
        : layout_(layout),
          rules_(rules),
          grid_(grid_for(layout.board, rules.grid_mm)),
          pads_(pads_of(layout)) {
        edge_room();
    }

    // Joins what it can of one net; returns the pieces beside the largest.
    std::vector<Island> join(const std::string& net);

private:
    struct Piece {
        std::vector<int> cells;
        std::vector<std::size_t> pads;
    };

    void edge_room();
    void find_room(const std::string& net, double want);
    std::vector<Piece> pieces_of(const std::string& net) const;
    std::vector<int> cells_of(const Shape& shape, double inset) const;
    std::vector<int> search(const Piece& from, const std::vector<int>& piece_at, int own) const;
    void lay(const std::string& net, const std::vector<int>& path, double want);
    Point anchor(const std::string& net, int cell) const;
    void mark_blocked_vias(const std::string& net);

    Layout& layout_;
    RouteRules rules_;
    Grid grid_;
    std::vector<Pad> pads_;
    std::vector<float> edge_;  // distance to the board's edge less the edge clearance
    std::vector<float> room_;  // half the width that a track may have at a cell
    std::vector<bool> no_via_;
    float want_half_ = 0.0F;
};

void Router::edge_room() {
    const BoardShape& board = layout_.board;
    edge_.assign(static_cast<std::size_t>(grid_.layer_size()), 0.0F);
    for (int cell = 0; cell < grid_.layer_size(); ++cell) {
        const Point p = grid_.point(cell);
        double room = depth_inside(board.outline, p);
        for (const Polyline& cut : board.cut_outs) {
            room = std::min(room, -depth_inside(cut, p));
        }
        for (const Slot& slot : board.slots) {
            for (std::size_t i = 0; i + 1 < slot.along.size(); ++i) {
                room = std::min(
                    room,
                    distance_to_segment(p, slot.along[i], slot.along[i + 1]) - slot.width_mm / 2.0);
            }
        }
        for (const BoardHole& hole : board.holes) {
            room = std::min(room, distance(p, hole.at) - hole.diameter_mm / 2.0);
        }
        edge_[cell] = static_cast<float>(room - rules_.edge_mm);
    }
}

void Router::find_room(const std::string& net, double want) {
    want_half_ = static_cast<float>(want / 2.0);
    room_.resize(static_cast<std::size_t>(grid_.size()));
    const float cap = std::max(want_half_, static_cast<float>(rules_.via_mm / 2.0));
    for (int cell = 0; cell < grid_.size(); ++cell) {
        room_[cell] = std::min(cap, edge_[cell % grid_.layer_size()]);
    }
    for (const Shape& shape : shapes_of(layout_)) {
        if (shape.net == net && !net.empty()) {
            continue;
        }
        const double clearance = clearance_between(layout_, net, shape.net) + 0.03;
        const double far = reach(shape) + clearance + cap;
        grid_.around(middle(shape), far, [&](int flat, Point p) {
            const auto room = static_cast<float>(distance(shape, p) - clearance);
            for (int layer = 0; layer < 2; ++layer) {
                if (layer == 0 ? shape.top : shape.bottom) {
                    float& at = room_[layer * grid_.layer_size() + flat];
                    at = std::min(at, room);
                }
            }
        });
    }
    mark_blocked_vias(net);
}

void Router::mark_blocked_vias(const std::string& net) {
    no_via_.assign(static_cast<std::size_t>(grid_.layer_size()), false);
    const double keep = rules_.via_mm / 2.0 + 0.2;
    for (const Pad& pad : pads_) {
        const Shape shape = shape_of(pad, layout_.board);
        grid_.around(pad.at, reach(shape) + keep, [&](int flat, Point p) {
            if (distance(shape, p) < keep) {
                no_via_[flat] = true;
            }
        });
    }
    for (const Via& via : layout_.vias) {
        grid_.around(via.at, via.diameter_mm + keep, [&](int flat, Point p) {
            if (via.net == net && distance(via.at, p) < via.diameter_mm / 2.0 + keep) {
                no_via_[flat] = true;
            }
        });
    }
}

std::vector<int> Router::cells_of(const Shape& shape, double inset) const {
    std::vector<int> cells;
    int nearest = -1;
    double least = 1e9;
    grid_.around(middle(shape), reach(shape) + grid_.pitch, [&](int flat, Point p) {
        const double d = distance(shape, p);
        if (d < least) {
            least = d;
            nearest = flat;
        }
        if (d <= -inset) {
            cells.push_back(flat);
        }
    });
    if (cells.empty() && nearest >= 0) {
        cells.push_back(nearest);
    }
    std::vector<int> both;
    for (const int flat : cells) {
        if (shape.top) {
            both.push_back(flat);
        }
        if (shape.bottom) {
            both.push_back(grid_.layer_size() + flat);
        }
    }
    return both;
}

// The net's shapes, joined where they share a cell.
std::vector<Router::Piece> Router::pieces_of(const std::string& net) const {
    std::vector<Piece> pieces;
    std::map<int, std::size_t> owner;
    const auto add = [&](const std::vector<int>& cells, std::optional<std::size_t> pad) {
        Piece merged;
        std::vector<std::size_t> touched;
        for (const int cell : cells) {
            if (const auto at = owner.find(cell); at != owner.end()) {
                touched.push_back(at->second);
            }
        }
        std::sort(touched.begin(), touched.end());
        touched.erase(std::unique(touched.begin(), touched.end()), touched.end());
        merged.cells = cells;
        if (pad) {
            merged.pads.push_back(*pad);
        }
        for (const std::size_t t : touched) {
            merged.cells.insert(merged.cells.end(), pieces[t].cells.begin(), pieces[t].cells.end());
            merged.pads.insert(merged.pads.end(), pieces[t].pads.begin(), pieces[t].pads.end());
            pieces[t] = {};
        }
        for (const int cell : merged.cells) {
            owner[cell] = pieces.size();
        }
        pieces.push_back(std::move(merged));
    };
    for (std::size_t i = 0; i < pads_.size(); ++i) {
        if (pads_[i].net == net) {
            const Shape shape = shape_of(pads_[i], layout_.board);
            const double least = std::min(pads_[i].width_mm, pads_[i].height_mm);
            add(cells_of(shape, least * 0.3), i);
        }
    }
    Layout drawn = layout_;
    drawn.parts.clear();
    drawn.test_points.clear();
    drawn.jumpers.clear();
    for (const Shape& shape : shapes_of(drawn)) {
        if (shape.net == net) {
            add(cells_of(shape, 0.0), std::nullopt);
        }
    }
    for (const Jumper& jumper : layout_.jumpers) {
        if (jumper.net == net) {
            std::vector<int> ends;
            for (const Point& end : {jumper.from, jumper.to}) {
                Shape shape;
                shape.a = shape.b = end;
                shape.radius_mm = 0.5;
                shape.bottom = true;
                const std::vector<int> cells = cells_of(shape, 0.0);
                ends.insert(ends.end(), cells.begin(), cells.end());
            }
            add(ends, std::nullopt);
        }
    }
    std::erase_if(pieces, [](const Piece& piece) { return piece.cells.empty(); });
    return pieces;
}

std::vector<int> Router::search(const Piece& from,
                                const std::vector<int>& piece_at,
                                int own) const {
    const int layers_from = layout_.board.sides == 2 ? 0 : 1;
    const float least = static_cast<float>(rules_.narrowest_mm / 2.0);
    const float via_room = static_cast<float>(rules_.via_mm / 2.0);
    std::vector<float> cost(static_cast<std::size_t>(grid_.size()), far_away);
    std::vector<int> parent(static_cast<std::size_t>(grid_.size()), -1);
    std::vector<signed char> came(static_cast<std::size_t>(grid_.size()), -1);
    using Entry = std::pair<float, int>;
    std::priority_queue<Entry, std::vector<Entry>, std::greater<>> open;
    for (const int cell : from.cells) {
        cost[cell] = 0.0F;
        open.emplace(0.0F, cell);
    }
    const auto reach_cell = [&](int cell, int next, float c, int direction) {
        if (c < cost[next]) {
            cost[next] = c;
            parent[next] = cell;
            came[next] = static_cast<signed char>(direction);
            open.emplace(c, next);
        }
    };
    while (!open.empty()) {
        const auto [c, cell] = open.top();
        open.pop();
        if (c > cost[cell]) {
            continue;
        }
        if (piece_at[cell] >= 0 && piece_at[cell] != own) {
            std::vector<int> path;
            for (int at = cell; at >= 0; at = parent[at]) {
                path.push_back(at);
            }
            return path;
        }
        const int layer = cell / grid_.layer_size();
        const int flat = cell % grid_.layer_size();
        const int x = flat % grid_.width;
        const int y = flat / grid_.width;
        for (int d = 0; d < 8; ++d) {
            const int nx = x + steps_x[d];
            const int ny = y + steps_y[d];
            if (nx < 0 || ny < 0 || nx >= grid_.width || ny >= grid_.height) {
                continue;
            }
            const int next = grid_.index(layer, nx, ny);
            if (room_[next] < least) {
                continue;
            }
            float step = d % 2 == 0 ? 1.0F : 1.4142F;
            step *= 1.0F + 1.5F * (1.0F - std::min(1.0F, room_[next] / want_half_));
            if (came[cell] >= 0) {
                const int turn = std::abs(came[cell] - d) % 8;
                step += 0.4F * static_cast<float>(std::min(turn, 8 - turn));
            }
            reach_cell(cell, next, c + step, d);
        }
        const int other = flat + (layer == 0 ? grid_.layer_size() : 0);
        if (layers_from == 0 && !no_via_[flat] && room_[cell] >= via_room &&
            room_[other] >= via_room) {
            reach_cell(cell, other, c + 12.0F, -1);
        }
    }
    return {};
}

// The middle of the pad that a path ends in, or the cell itself.
Point Router::anchor(const std::string& net, int cell) const {
    const Point p = grid_.point(cell);
    for (const Pad& pad : pads_) {
        const Shape shape = shape_of(pad, layout_.board);
        const bool here = cell < grid_.layer_size() ? shape.top : shape.bottom;
        if (pad.net == net && here && distance(shape, p) < 0.0) {
            return pad.at;
        }
    }
    return p;
}

void Router::lay(const std::string& net, const std::vector<int>& path, double want) {
    const auto width_at = [&](int cell) {
        const double room = std::clamp(2.0 * room_[cell], rules_.narrowest_mm, want);
        return room >= want ? want : std::max(rules_.narrowest_mm, std::floor(room * 10.0) / 10.0);
    };
    const auto layer = [&](int cell) { return cell / grid_.layer_size(); };
    std::size_t begin = 0;
    while (begin + 1 < path.size()) {
        if (layer(path[begin]) != layer(path[begin + 1])) {
            layout_.vias.push_back(
                {net, grid_.point(path[begin]), rules_.via_drill_mm, rules_.via_mm, false});
            ++begin;
            continue;
        }
        // As far as width and layer stay the same.
        const double width = std::min(width_at(path[begin]), width_at(path[begin + 1]));
        std::size_t end = begin + 1;
        while (end + 1 < path.size() && layer(path[end + 1]) == layer(path[begin]) &&
               std::min(width_at(path[end]), width_at(path[end + 1])) == width) {
            ++end;
        }
        Track track{net, layer(path[begin]) == 0 ? Side::top : Side::bottom, width, {}};
        if (begin == 0) {
            track.along.push_back(anchor(net, path[0]));
        }
        for (std::size_t i = begin; i <= end; ++i) {
            const bool corner =
                i == begin || i == end || path[i + 1] - path[i] != path[i] - path[i - 1];
            if (corner) {
                track.along.push_back(grid_.point(path[i]));
            }
        }
        if (end + 1 == path.size()) {
            track.along.push_back(anchor(net, path[end]));
        }
        track.along.erase(std::unique(track.along.begin(), track.along.end()), track.along.end());
        layout_.tracks.push_back(std::move(track));
        begin = end;
    }
}

std::vector<Island> Router::join(const std::string& net) {
    const auto rule = layout_.nets.find(net);
    const double want = rule == layout_.nets.end() ? 0.4 : rule->second.width_mm;
    std::vector<Island> islands;
    std::vector<Piece> pieces = pieces_of(net);
    while (pieces.size() > 1) {
        find_room(net, want);
        // The smallest piece looks for its nearest neighbour.
        std::stable_sort(pieces.begin(), pieces.end(), [](const Piece& a, const Piece& b) {
            return a.pads.size() < b.pads.size();
        });
        std::vector<int> piece_at(static_cast<std::size_t>(grid_.size()), -1);
        for (std::size_t i = 0; i < pieces.size(); ++i) {
            for (const int cell : pieces[i].cells) {
                piece_at[cell] = static_cast<int>(i);
            }
        }
        const std::vector<int> path = search(pieces.front(), piece_at, 0);
        if (path.empty()) {
            islands.push_back({net, pieces.front().pads});
            pieces.erase(pieces.begin());
            continue;
        }
        lay(net, path, want);
        Piece& met = pieces[static_cast<std::size_t>(piece_at[path.front()])];
        met.cells.insert(met.cells.end(), path.begin(), path.end());
        met.cells.insert(met.cells.end(), pieces.front().cells.begin(), pieces.front().cells.end());
        met.pads.insert(met.pads.end(), pieces.front().pads.begin(), pieces.front().pads.end());
        pieces.erase(pieces.begin());
    }
    std::erase_if(islands, [](const Island& island) { return island.pads.empty(); });
    return islands;
}

// Short nets first: they have the least choice.
std::vector<std::string> order_of_nets(const Layout& layout) {
    struct Box {
        double x0 = 1e9, y0 = 1e9, x1 = -1e9, y1 = -1e9;
    };
    std::map<std::string, Box> boxes;
    for (const Pad& pad : pads_of(layout)) {
        if (!pad.net.empty()) {
            Box& box = boxes[pad.net];
            box.x0 = std::min(box.x0, pad.at.x_mm);
            box.y0 = std::min(box.y0, pad.at.y_mm);
            box.x1 = std::max(box.x1, pad.at.x_mm);
            box.y1 = std::max(box.y1, pad.at.y_mm);
        }
    }
    std::vector<std::pair<double, std::string>> lengths;
    for (const auto& [net, box] : boxes) {
        lengths.emplace_back(box.x1 - box.x0 + box.y1 - box.y0, net);
    }
    std::sort(lengths.begin(), lengths.end());
    std::vector<std::string> order;
    for (const auto& [length, net] : lengths) {
        order.push_back(net);
    }
    return order;
}

std::size_t missing_pads(const std::vector<Island>& islands) {
    std::size_t count = 0;
    for (const Island& island : islands) {
        count += island.pads.size();
    }
    return count;
}

}  // namespace

std::vector<Island> route(Layout& layout, const RouteRules& rules) {
    std::vector<std::string> order = order_of_nets(layout);
    // Solder comes last: a blob that joins two nets must not keep them apart here.
    const std::vector<Blob> blobs = std::move(layout.blobs);
    layout.blobs.clear();
    Layout best;
    std::vector<Island> least;
    for (int attempt = 0; attempt < std::max(1, rules.attempts); ++attempt) {
        Layout trial = layout;
        Router router(trial, rules);
        std::vector<Island> islands;
        std::vector<std::string> failed;
        for (const std::string& net : order) {
            const std::vector<Island> left = router.join(net);
            islands.insert(islands.end(), left.begin(), left.end());
            if (!left.empty()) {
                failed.push_back(net);
            }
        }
        if (attempt == 0 || missing_pads(islands) < missing_pads(least)) {
            best = trial;
            least = islands;
        }
        if (failed.empty()) {
            break;
        }
        // Whoever found no way goes first next time.
        std::stable_partition(order.begin(), order.end(), [&](const std::string& net) {
            return std::find(failed.begin(), failed.end(), net) != failed.end();
        });
    }
    layout = std::move(best);
    layout.blobs = blobs;
    return least;
}

}  // namespace etchback::photographer
