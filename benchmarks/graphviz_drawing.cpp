#include "graphviz_drawing.h"

#include <fmt/format.h>
#include <gvc.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <stdexcept>

#include "drawing/detail/wire_flow.h"
#include "net_pieces.h"

namespace etchback::benchmarks {
namespace {

using drawing::Box;
using drawing::Drawing;
using drawing::Point;
using drawing::Segment;

constexpr double points_per_step = drawing::grid_px;  // Graphviz counts in points of 1/72 inch
constexpr double margin = 2.0;                        // around our drawings, too

// Thousandths of a step: what is meant to be one line should be one.
double rounded(double points) {
    return std::round(points / points_per_step * 1000.0) / 1000.0;
}

struct Job {
    const circuit::Circuit& circuit;
    const Drawing& ours;
    const GraphvizManner& manner;
};

// One end of an edge: a node, and the side of it on which the edge should leave.
struct End {
    Agnode_t* node = nullptr;
    const char* side = "";
    int order = 0;  // from source to load
    circuit::PinRef pin;
    int sign = -1;
};

struct Link {
    Agedge_t* edge = nullptr;
    circuit::NetId net;
    End tail, head;
};

class Layout {
public:
    explicit Layout(const Job& job) : job_(job) {
        char name[] = "circuit";
        graph_ = agopen(name, Agdirected, nullptr);
        set(graph_, "rankdir", "LR");
        set(graph_, "splines", "ortho");
        set(graph_, "nodesep", fmt::format("{:.6f}", 0.25 * job.manner.spread));
        set(graph_, "ranksep", fmt::format("{:.6f}", 0.5 * job.manner.spread));
        for (const auto& [attribute, value] : std::map<std::string, std::string>{
                 {"shape", "box"}, {"fixedsize", "true"}, {"label", ""}}) {
            agattr(graph_, AGNODE, writable(attribute), writable(value));
        }
        for (const char* attribute : {"width", "height"}) {
            agattr(graph_, AGNODE, writable(attribute), writable("0.1"));
        }
        for (const char* attribute : {"tailport", "headport"}) {
            agattr(graph_, AGEDGE, writable(attribute), writable(""));
        }
        add_parts();
        add_nets();
        context_ = gvContext();
        if (gvLayout(context_, graph_, "dot") != 0) {
            throw std::runtime_error("Graphviz cannot lay out the circuit");
        }
    }
    Layout(const Layout&) = delete;
    Layout& operator=(const Layout&) = delete;
    ~Layout() {
        gvFreeLayout(context_, graph_);
        agclose(graph_);
        gvFreeContext(context_);
    }

    Drawing read() const;

private:
    static char* writable(const std::string& text) {  // the library's face forgets const
        return const_cast<char*>(text.c_str());
    }
    void set(void* object, const std::string& attribute, const std::string& value) {
        agsafeset(object, writable(attribute), writable(value), writable(""));
    }

    Agnode_t* box_node(const std::string& name, const Box& box) {
        Agnode_t* node = agnode(graph_, writable(name), 1);
        const auto inches = [](double steps) {
            // Whole and even points: what is odd has no middle on its grid.
            const double points = 2.0 * std::ceil(steps * points_per_step / 2.0 - 1e-9);
            return fmt::format("{:.9f}", points / 72.0);
        };
        set(node, "width", inches(box.right - box.left));
        set(node, "height", inches(box.bottom - box.top));
        return node;
    }

    void add_parts() {
        for (const drawing::PlacedPart& placed : job_.ours.parts) {
            parts_.push_back(box_node(fmt::format("part{}", placed.part.index), placed.symbol.box));
        }
        for (std::size_t i = 0; i < job_.ours.signs.size(); ++i) {
            signs_.push_back(box_node(fmt::format("sign{}", i), job_.ours.signs[i].box));
        }
    }

    void connect(const NetPiece& piece, const End& tail, const End& head) {
        Agedge_t* edge =
            agedge(graph_, tail.node, head.node, writable(fmt::format("edge{}", links_.size())), 1);
        set(edge, "tailport", tail.side);
        set(edge, "headport", head.side);
        links_.push_back({edge, piece.net, tail, head});
    }

    std::vector<End> ends_of(const NetPiece& piece, const std::vector<int>& steps) const {
        constexpr std::array<const char*, 4> sides{"e", "s", "w", "n"};
        std::vector<End> ends;
        for (const circuit::PinRef& ref : piece.pins) {
            const auto part = static_cast<std::size_t>(ref.part.index);
            for (const drawing::SymbolPin& pin : job_.ours.parts[part].symbol.pins) {
                if (pin.pin == ref.pin) {
                    ends.push_back({parts_[part],
                                    sides[static_cast<std::size_t>(pin.facing)],
                                    job_.manner.directed ? steps[part] : 0,
                                    ref,
                                    -1});
                }
            }
        }
        for (const int sign : piece.signs) {
            const auto s = static_cast<std::size_t>(sign);
            const bool feeds = job_.ours.signs[s].kind == drawing::NetSign::Kind::rail;
            ends.push_back(
                {signs_[s], "", job_.manner.directed ? (feeds ? -1 : 1000) : 0, {}, sign});
        }
        std::stable_sort(
            ends.begin(), ends.end(), [](const End& a, const End& b) { return a.order < b.order; });
        return ends;
    }

    void add_nets() {
        const std::vector<int> steps = drawing::detail::steps_from_source(job_.circuit);
        for (const NetPiece& piece : net_pieces(job_.circuit, job_.ours)) {
            const std::vector<End> ends = ends_of(piece, steps);
            if (ends.size() > 2 && job_.manner.star) {
                const End middle{box_node(fmt::format("point{}", links_.size()),
                                          {0, 0, job_.manner.point, job_.manner.point}),
                                 "",
                                 0,
                                 {},
                                 -1};
                connect(piece, ends[0], middle);
                for (std::size_t i = 1; i < ends.size(); ++i) {
                    connect(piece, middle, ends[i]);
                }
                continue;
            }
            for (std::size_t i = 1; i < ends.size(); ++i) {
                connect(piece, ends[i - 1], ends[i]);
            }
        }
    }

    Point place(pointf p) const { return {rounded(p.x) + margin, rounded(top() - p.y) + margin}; }
    double top() const { return GD_bb(graph_).UR.y; }
    Box box_of(Agnode_t* node) const {
        const Point at = place(ND_coord(node));
        const double half_x = rounded(72.0 * ND_width(node)) / 2;
        const double half_y = rounded(72.0 * ND_height(node)) / 2;
        return {at.x - half_x, at.y - half_y, at.x + half_x, at.y + half_y};
    }

    std::vector<Point> polyline_of(const Link& link) const;
    void add_wires(Drawing& drawing) const;

    const Job& job_;
    Agraph_t* graph_ = nullptr;
    GVC_t* context_ = nullptr;
    std::vector<Agnode_t*> parts_, signs_;
    std::vector<Link> links_;
};

bool inside(const Box& box, Point p) {
    constexpr double rim = 1e-6;
    return p.x > box.left + rim && p.x < box.right - rim && p.y > box.top + rim &&
           p.y < box.bottom - rim;
}

// Cuts what lies within the box at the line's beginning, as Graphviz itself does when it draws.
void leave(std::vector<Point>& line, const Box& box) {
    while (line.size() > 1 && inside(box, line[0]) && inside(box, line[1])) {
        line.erase(line.begin());
    }
    if (line.size() > 1 && inside(box, line[0])) {
        const Point to = line[1];
        line[0].x = std::clamp(line[0].x, box.left, box.right);
        if (to.x == line[0].x) {
            line[0].y = to.y > line[0].y ? box.bottom : box.top;
        } else {
            line[0].x = to.x > line[0].x ? box.right : box.left;
        }
    }
}

// Joins a line that ends short of the middle of a point, straight or around one corner.
void reach(std::vector<Point>& line, Point middle) {
    if (line.back().x != middle.x && line.back().y != middle.y) {
        const bool across = line.size() > 1 && line[line.size() - 2].y == line.back().y;
        line.push_back(across ? Point{middle.x, line.back().y} : Point{line.back().x, middle.y});
    }
    line.push_back(middle);
}

std::vector<Point> Layout::polyline_of(const Link& link) const {
    std::vector<Point> line;
    const splines* spl = ED_spl(link.edge);
    for (int i = 0; spl != nullptr && i < spl->size; ++i) {
        const bezier& piece = spl->list[i];
        for (int k = 0; k < piece.size; k += 3) {  // corners; what lies between is straight
            line.push_back(place(piece.list[k]));
        }
    }
    if (line.empty()) {
        throw std::runtime_error("Graphviz has left an edge out");
    }
    for (const bool tail : {false, true}) {
        const End& end = tail ? link.tail : link.head;
        if (tail) {
            std::reverse(line.begin(), line.end());
        }
        const Box box = box_of(end.node);
        if (end.pin.pin < 0 && end.sign < 0) {
            reach(line, {(box.left + box.right) / 2, (box.top + box.bottom) / 2});
        } else {
            std::reverse(line.begin(), line.end());
            leave(line, box);
            std::reverse(line.begin(), line.end());
        }
    }
    std::reverse(line.begin(), line.end());
    return line;
}

void Layout::add_wires(Drawing& drawing) const {
    std::map<int, drawing::Wire> wires;
    for (const Link& link : links_) {
        const std::vector<Point> line = polyline_of(link);
        drawing::Wire& wire = wires[link.net.index];
        wire.net = link.net;
        for (std::size_t i = 1; i < line.size(); ++i) {
            if (line[i - 1].x != line[i].x && line[i - 1].y != line[i].y) {
                throw std::runtime_error("Graphviz has drawn a slanting wire");
            }
            if (!(line[i - 1] == line[i])) {
                wire.segments.push_back({line[i - 1], line[i]});
            }
        }
        for (const auto& [end, at] :
             {std::pair{&link.tail, line.front()}, {&link.head, line.back()}}) {
            if (end->pin.pin >= 0) {
                drawing::PlacedPart& placed =
                    drawing.parts[static_cast<std::size_t>(end->pin.part.index)];
                for (drawing::SymbolPin& pin : placed.symbol.pins) {
                    if (pin.pin == end->pin.pin) {
                        pin.at = {at.x - placed.at.x, at.y - placed.at.y};
                    }
                }
            }
        }
    }
    for (auto& [net, wire] : wires) {
        drawing.wires.push_back(std::move(wire));
    }
}

Drawing Layout::read() const {
    Drawing drawing;
    drawing.parts = job_.ours.parts;
    for (std::size_t i = 0; i < drawing.parts.size(); ++i) {
        const Box box = box_of(parts_[i]);
        drawing.parts[i].at = {box.left - drawing.parts[i].symbol.box.left,
                               box.top - drawing.parts[i].symbol.box.top};
    }
    add_wires(drawing);
    drawing.width = rounded(GD_bb(graph_).UR.x) + 2 * margin;
    drawing.height = rounded(top()) + 2 * margin;
    return drawing;
}

}  // namespace

Drawing graphviz_drawing(const circuit::Circuit& circuit,
                         const Drawing& ours,
                         const GraphvizManner& manner) {
    const Job job{circuit, ours, manner};
    return Layout(job).read();
}

}  // namespace etchback::benchmarks
