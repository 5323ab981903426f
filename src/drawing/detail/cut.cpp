#include "drawing/detail/cut.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <map>
#include <queue>
#include <set>

#include "drawing/detail/label_room.h"
#include "drawing/detail/taken.h"
#include "drawing/detail/wires.h"

namespace etchback::drawing::detail {

namespace {

struct Cell {
    int x = 0;
    int y = 0;
    auto operator<=>(const Cell&) const = default;
};

// A step of a wire from one grid point to the next, to the right or down.
struct Edge {
    Cell from;
    bool down = false;
    auto operator<=>(const Edge&) const = default;
};

Cell end_of(const Edge& e) {
    return e.down ? Cell{e.from.x, e.from.y + 1} : Cell{e.from.x + 1, e.from.y};
}

std::vector<Edge> edges_of(const Segment& s) {
    std::vector<Edge> edges;
    const Box b = box_of(s);
    const bool down = s.a.x == s.b.x;
    const int count = static_cast<int>(std::lround(down ? b.bottom - b.top : b.right - b.left));
    const Cell first{static_cast<int>(std::lround(b.left)), static_cast<int>(std::lround(b.top))};
    for (int i = 0; i < count; ++i) {
        edges.push_back({{first.x + (down ? 0 : i), first.y + (down ? i : 0)}, down});
    }
    return edges;
}

// A drawing on its grid. A cut runs through the squares between grid points, from square to square;
// each step of it crosses one edge of the grid. In a drawing that is to be cut into an upper and a
// lower part x and y are exchanged.
class Board {
public:
    Board(const Drawing& drawing, bool across) : across_(across) {
        for (const PlacedPart& part : drawing.parts) {
            close(grown(moved(part.symbol.box, part.at), 0.4));
        }
        for (const Label& label : drawing.labels) {
            close(label.box);
        }
        for (const NetSign& sign : drawing.signs) {
            close(grown(sign.box, 0.2));
        }
        for (const Wire& wire : drawing.wires) {
            for (const Segment& s : wire.segments) {
                for (const Edge& e : edges_of(s)) {
                    wires_[turned(e)] = 1;
                }
            }
        }
        const Box all = turned(extent_of(drawing));
        top_ = static_cast<int>(std::floor(all.top)) - 1;
        bottom_ = static_cast<int>(std::ceil(all.bottom)) + 1;
    }

    struct Path {
        std::vector<int> square;  // for each row that in which the cut runs down into the next
        double price = 1e18;
    };
    // The cheapest that stays between `low` and `high`.
    Path cut(int low, int high) const {
        const int width = high - low + 1;
        const int rows = bottom_ - top_ + 1;
        const auto index = [&](int x, int y) {
            return static_cast<std::size_t>((y - top_) * width + x - low);
        };
        const double middle = (low + high) / 2.0;
        std::vector<double> cost(static_cast<std::size_t>(width * rows), 1e18);
        std::vector<int> from(cost.size(), -1);
        using Step = std::pair<double, int>;
        std::priority_queue<Step, std::vector<Step>, std::greater<>> open;
        for (int x = low; x <= high; ++x) {
            cost[index(x, top_)] = 0.02 * std::abs(x - middle);
            open.emplace(cost[index(x, top_)], static_cast<int>(index(x, top_)));
        }
        int end = -1;
        while (!open.empty()) {
            const auto [so_far, at] = open.top();
            open.pop();
            if (so_far > cost[static_cast<std::size_t>(at)]) {
                continue;
            }
            const int x = at % width + low;
            const int y = at / width + top_;
            if (y == bottom_) {
                end = at;
                break;
            }
            const auto step = [&](int nx, int ny, const Edge& crossed, double least) {
                const double next = so_far + least + price(crossed);
                if (nx >= low && nx <= high && next < cost[index(nx, ny)]) {
                    cost[index(nx, ny)] = next;
                    from[index(nx, ny)] = at;
                    open.emplace(next, static_cast<int>(index(nx, ny)));
                }
            };
            // Down crosses the level edge below the square, aside an upright one.
            step(x, y + 1, {{x, y + 1}, false}, 0.01);
            step(x + 1, y, {{x + 1, y}, true}, 0.3);
            step(x - 1, y, {{x, y}, true}, 0.3);
        }
        Path path{std::vector<int>(static_cast<std::size_t>(rows), 0),
                  end < 0 ? 1e18 : cost[static_cast<std::size_t>(end)]};
        for (int at = end; at >= 0; at = from[static_cast<std::size_t>(at)]) {
            const int row = at / width;
            const int before = from[static_cast<std::size_t>(at)];
            if (before < 0 || before / width != row) {
                path.square[static_cast<std::size_t>(row)] = at % width + low;
            }
        }
        return path;
    }

    int top() const { return top_; }

private:
    Edge turned(const Edge& e) const { return across_ ? e : Edge{{e.from.y, e.from.x}, !e.down}; }
    Box turned(const Box& b) const { return across_ ? b : Box{b.top, b.left, b.bottom, b.right}; }

    void close(const Box& absolute) {
        const Box b = turned(absolute);
        for (int x = static_cast<int>(std::floor(b.left)); x <= std::ceil(b.right); ++x) {
            for (int y = static_cast<int>(std::floor(b.top)); y <= std::ceil(b.bottom); ++y) {
                const bool beside_x = x + 1 > b.left && x < b.right;
                const bool beside_y = y + 1 > b.top && y < b.bottom;
                if (beside_x && y >= b.top && y <= b.bottom) {
                    closed_.insert({{x, y}, false});
                }
                if (beside_y && x >= b.left && x <= b.right) {
                    closed_.insert({{x, y}, true});
                }
            }
        }
    }

    double price(const Edge& e) const {
        return (wires_.count(e) != 0 ? 4.0 : 0.0) + (closed_.count(e) != 0 ? 60.0 : 0.0);
    }

    bool across_;
    int top_ = 0, bottom_ = 0;
    std::map<Edge, int> wires_;
    std::set<Edge> closed_;
};

// A border between two sides, as found by a Board.
struct Border {
    bool across = true;  // between left and right
    int first = 0;
    std::vector<int> square;  // by row

    // Whether a point lies on the second side.
    bool beyond(Point p) const {
        const double along = across ? p.y : p.x;
        const double aside = across ? p.x : p.y;
        const int row = static_cast<int>(std::floor(along)) - first;
        const int last = static_cast<int>(square.size()) - 1;
        return aside > square[static_cast<std::size_t>(std::clamp(row, 0, last))] + 0.5;
    }
    bool beyond(const Box& b) const {
        return beyond(Point{(b.left + b.right) / 2.0, (b.top + b.bottom) / 2.0});
    }
};

struct Open {  // an end of a wire that was cut
    int net;
    Point at;
    Direction facing;
    int cut;  // the same number on both sides
};

struct Piece {
    Drawing drawing;
    std::vector<Open> ends;
};

void add_edge(std::map<int, std::vector<Segment>>& segments, int net, const Edge& e) {
    const Cell to = end_of(e);
    segments[net].push_back({{static_cast<double>(e.from.x), static_cast<double>(e.from.y)},
                             {static_cast<double>(to.x), static_cast<double>(to.y)}});
}

class Cutter {
public:
    Cutter(const Drawing& drawing, double width, double height) : width_(width), height_(height) {
        cut({drawing, {}}, 0);
    }
    std::vector<Piece> take() { return std::move(done_); }

private:
    void cut(Piece whole, int depth) {
        const Box all = extent_of(whole.drawing);
        const double across = (all.right - all.left) / width_;
        const double down = (all.bottom - all.top) / height_;
        if (std::max(across, down) <= 1.0 || depth > 5 || whole.drawing.parts.size() < 2) {
            done_.push_back(std::move(whole));
            return;
        }
        const Border border = border_of(whole.drawing, all, across >= down);
        auto [first, second] = split(whole, border);
        if (first.drawing.parts.empty() || second.drawing.parts.empty()) {
            done_.push_back(std::move(whole));
            return;
        }
        cut(std::move(first), depth + 1);
        cut(std::move(second), depth + 1);
    }

    // Anywhere where both sides still fit as many sheets as the whole needs: where it crosses the
    // fewest wires, which is between stages, and the parts are shared as the sheets are. A tenth
    // of the parts on the wrong side weighs as much as two wires and a half.
    Border border_of(const Drawing& drawing, const Box& all, bool across) const {
        constexpr double price_of_share = 100.0;
        const double low = across ? all.left : all.top;
        const double high = across ? all.right : all.bottom;
        const double sheet = across ? width_ : height_;
        const int sheets = static_cast<int>(std::ceil((high - low) / sheet - 0.001));
        const int first = sheets / 2;
        const double least = std::max(low + 3.0, high - (sheets - first) * sheet);
        const double most = std::min(high - 3.0, low + first * sheet);
        const double step = std::max(2.0, (most - least) / 16.0);
        const Board board(drawing, across);
        Border border;
        border.across = across;
        border.first = board.top();
        double best = 1e18;
        for (double at = std::min(least, most); at <= std::max(least, most) + 0.5 * step;
             at += step) {
            const Board::Path path = board.cut(static_cast<int>(std::floor(at - step)),
                                               static_cast<int>(std::ceil(at + step)));
            const Border here{across, board.top(), path.square};
            const double uneven =
                std::abs(share_before(drawing, here) - static_cast<double>(first) / sheets);
            const double price = path.price + price_of_share * uneven;
            if (price < best) {
                best = price;
                border = here;
            }
        }
        return border;
    }

    static double share_before(const Drawing& drawing, const Border& border) {
        const auto before =
            std::count_if(drawing.parts.begin(), drawing.parts.end(), [&](const PlacedPart& part) {
                return !border.beyond(moved(part.symbol.box, part.at));
            });
        return static_cast<double>(before) /
               static_cast<double>(std::max<std::size_t>(1, drawing.parts.size()));
    }

    std::pair<Piece, Piece> split(const Piece& whole, const Border& border) {
        Piece sides[2];
        for (Piece& side : sides) {
            side.drawing.width = whole.drawing.width;
            side.drawing.height = whole.drawing.height;
        }
        std::map<int, int> side_of;  // by part
        for (const PlacedPart& part : whole.drawing.parts) {
            const int side = border.beyond(moved(part.symbol.box, part.at));
            side_of[part.part.index] = side;
            sides[side].drawing.parts.push_back(part);
        }
        for (const Label& label : whole.drawing.labels) {
            const bool of_part =
                label.of == Label::Of::part_name || label.of == Label::Of::part_value;
            sides[of_part ? side_of[label.index] : border.beyond(label.box)]
                .drawing.labels.push_back(label);
        }
        for (const NetSign& sign : whole.drawing.signs) {
            sides[border.beyond(sign.at)].drawing.signs.push_back(sign);
        }
        for (const Open& end : whole.ends) {
            sides[border.beyond(end.at)].ends.push_back(end);
        }
        split_wires(whole.drawing, border, sides);
        split_isolation(whole.drawing, sides);
        return {std::move(sides[0]), std::move(sides[1])};
    }

    void split_wires(const Drawing& whole, const Border& border, Piece* sides) {
        std::map<int, std::vector<Segment>> segments[2];
        for (const Wire& wire : whole.wires) {
            for (const Segment& s : wire.segments) {
                for (const Edge& e : edges_of(s)) {
                    const Cell to = end_of(e);
                    const Point a{static_cast<double>(e.from.x), static_cast<double>(e.from.y)};
                    const Point b{static_cast<double>(to.x), static_cast<double>(to.y)};
                    const bool side_a = border.beyond(a);
                    const bool side_b = border.beyond(b);
                    if (side_a == side_b) {
                        add_edge(segments[side_a], wire.net.index, e);
                        continue;
                    }
                    ++cuts_;
                    sides[side_a].ends.push_back(
                        {wire.net.index, a, e.down ? Direction::down : Direction::right, cuts_});
                    sides[side_b].ends.push_back(
                        {wire.net.index, b, e.down ? Direction::up : Direction::left, cuts_});
                }
            }
        }
        for (int side = 0; side < 2; ++side) {
            for (const Wire& wire : whole.wires) {
                Wire mine{wire.net, merged(segments[side][wire.net.index]), {}};
                for (const Point& dot : wire.dots) {
                    if (border.beyond(dot) == (side == 1)) {
                        mine.dots.push_back(dot);
                    }
                }
                sides[side].drawing.wires.push_back(std::move(mine));
            }
        }
    }

    // Where it lies within what is left.
    static void split_isolation(const Drawing& whole, Piece* sides) {
        for (int side = 0; side < 2; ++side) {
            const Box all = extent_of(sides[side].drawing);
            for (const IsolationLine& line : whole.isolation) {
                const double x = line.points.front().x;
                if (x > all.left && x < all.right) {
                    sides[side].drawing.isolation.push_back(
                        {{{x, all.top - 1.0}, {x, all.bottom + 1.0}}, line.text});
                }
            }
        }
    }

    double width_, height_;
    int cuts_ = 0;
    std::vector<Piece> done_;
};

NetSign reference(const circuit::Circuit& circuit, const Open& end, std::size_t sheet) {
    NetSign sign;
    sign.net = circuit::NetId{end.net};
    sign.kind = NetSign::Kind::flag;
    sign.at = end.at;
    sign.facing = end.facing;
    sign.text = fmt::format("{} \u2192 {}", circuit[sign.net].name, sheet + 1);
    sign.box = moved(symbol_of_sign(sign.kind, sign.facing, sign.text).box, sign.at);
    return sign;
}

bool is_free(const Drawing& drawing, const Box& box, int net) {
    const auto hits = [&](const Box& other) { return other.overlaps(box); };
    for (const PlacedPart& part : drawing.parts) {
        if (hits(moved(part.symbol.box, part.at))) {
            return false;
        }
    }
    for (const Label& label : drawing.labels) {
        if (hits(label.box)) {
            return false;
        }
    }
    for (const NetSign& sign : drawing.signs) {
        if (hits(sign.box)) {
            return false;
        }
    }
    for (const Wire& wire : drawing.wires) {
        for (const Segment& s : wire.segments) {
            if (wire.net.index != net && hits(grown(box_of(s), 0.1))) {
                return false;
            }
        }
    }
    return true;
}

double step_x(Direction d) {
    return d == Direction::right ? 1.0 : d == Direction::left ? -1.0 : 0.0;
}
double step_y(Direction d) {
    return d == Direction::down ? 1.0 : d == Direction::up ? -1.0 : 0.0;
}

// The wire goes on straight until there is room for a flag that faces `facing`.
bool place_reference(const circuit::Circuit& circuit,
                     const Open& end,
                     Direction facing,
                     std::size_t sheet,
                     Drawing& drawing) {
    constexpr int farthest = 40;
    Wire& wire = drawing.wires[static_cast<std::size_t>(end.net)];
    for (int i = 0; i <= farthest; ++i) {
        const Point at{end.at.x + i * step_x(end.facing), end.at.y + i * step_y(end.facing)};
        const NetSign sign = reference(circuit, {end.net, at, facing, end.cut}, sheet);
        const Point after{end.at.x + 0.2 * step_x(end.facing), end.at.y + 0.2 * step_y(end.facing)};
        const Box stub = grown(box_of(Segment{after, at}), 0.1);
        if (i > 0 && !is_free(drawing, stub, end.net)) {
            return false;
        }
        if (is_free(drawing, grown(sign.box, 0.2), end.net)) {
            if (i > 0) {
                wire.segments.push_back({end.at, at});
                wire.segments = merged(wire.segments);
            }
            drawing.signs.push_back(sign);
            return true;
        }
    }
    return false;
}

// Flags lie level, since level words need least room beside each other. Those of upright wires turn
// right: taken from the right, each is in the way of none that comes after it.
void add_reference(const circuit::Circuit& circuit,
                   const Open& end,
                   std::size_t sheet,
                   Drawing& drawing) {
    const bool upright = end.facing == Direction::up || end.facing == Direction::down;
    std::vector<Direction> ways{end.facing};
    if (upright) {
        ways = {Direction::right, Direction::left, end.facing};
    }
    for (const Direction way : ways) {
        if (place_reference(circuit, end, way, sheet, drawing)) {
            return;
        }
    }
    for (const int turn : {1, 3, 0}) {
        const auto facing = static_cast<Direction>((static_cast<int>(end.facing) + turn) % 4);
        const NetSign sign = reference(circuit, {end.net, end.at, facing, end.cut}, sheet);
        if (turn == 0 || is_free(drawing, sign.box, end.net)) {
            drawing.signs.push_back(sign);
            return;
        }
    }
}

}  // namespace

Box extent_of(const Drawing& drawing) {
    Box all{1e9, 1e9, -1e9, -1e9};
    for (const PlacedPart& part : drawing.parts) {
        all = joined(all, moved(part.symbol.box, part.at));
    }
    for (const Label& label : drawing.labels) {
        all = joined(all, label.box);
    }
    for (const NetSign& sign : drawing.signs) {
        all = joined(all, sign.box);
    }
    for (const Wire& wire : drawing.wires) {
        for (const Segment& s : wire.segments) {
            all = joined(all, box_of(s));
        }
    }
    return drawing.parts.empty() ? Box{0, 0, 0, 0} : all;
}

void shift(Drawing& drawing, Point by) {
    const auto move = [&](Point& p) {
        p.x += by.x;
        p.y += by.y;
    };
    for (PlacedPart& part : drawing.parts) {
        move(part.at);
    }
    for (Wire& wire : drawing.wires) {
        for (Segment& s : wire.segments) {
            move(s.a);
            move(s.b);
        }
        for (Point& dot : wire.dots) {
            move(dot);
        }
    }
    for (NetSign& sign : drawing.signs) {
        move(sign.at);
        sign.box = moved(sign.box, by);
    }
    for (Label& label : drawing.labels) {
        move(label.at);
        label.box = moved(label.box, by);
    }
    for (IsolationLine& line : drawing.isolation) {
        for (Point& p : line.points) {
            move(p);
        }
    }
    move(drawing.origin);
}

std::vector<Drawing> cut_up(const Drawing& drawing,
                            const circuit::Circuit& circuit,
                            double width,
                            double height) {
    std::vector<Piece> pieces = Cutter(drawing, width, height).take();
    std::map<int, std::vector<std::size_t>> sheets;  // by cut
    for (std::size_t i = 0; i < pieces.size(); ++i) {
        for (const Open& end : pieces[i].ends) {
            sheets[end.cut].push_back(i);
        }
    }
    std::vector<Drawing> drawings;
    for (std::size_t i = 0; i < pieces.size(); ++i) {
        std::stable_sort(pieces[i].ends.begin(),
                         pieces[i].ends.end(),
                         [](const Open& a, const Open& b) { return a.at.x > b.at.x; });
        for (const Open& end : pieces[i].ends) {
            const auto& two = sheets[end.cut];
            const std::size_t other = two[0] == i ? two[1] : two[0];
            add_reference(circuit, end, other, pieces[i].drawing);
        }
        drawings.push_back(std::move(pieces[i].drawing));
    }
    return drawings;
}

}  // namespace etchback::drawing::detail
