#include "gallery/planarise.h"

#include <algorithm>
#include <boost/graph/adjacency_list.hpp>
#include <boost/graph/boyer_myrvold_planar_test.hpp>
#include <deque>
#include <map>
#include <random>

namespace etchback::gallery {
namespace {

using Graph = boost::adjacency_list<boost::vecS,
                                    boost::vecS,
                                    boost::undirectedS,
                                    boost::no_property,
                                    boost::property<boost::edge_index_t, int>>;
using EdgeOf = boost::graph_traits<Graph>::edge_descriptor;
using Edges = std::vector<PinGraph::Edge>;

Graph boost_graph(int vertices, const Edges& edges) {
    Graph graph(static_cast<std::size_t>(vertices));
    for (std::size_t i = 0; i < edges.size(); ++i) {
        boost::add_edge(static_cast<std::size_t>(edges[i].a),
                        static_cast<std::size_t>(edges[i].b),
                        static_cast<int>(i),
                        graph);
    }
    return graph;
}

bool is_planar(int vertices, const Edges& edges) {
    return boost::boyer_myrvold_planarity_test(boost_graph(vertices, edges));
}

// Faces of an embedding. Each edge has two sides; `left[2 * e]` is the face left of edge e going
// from a to b, `left[2 * e + 1]` going back.
struct Faces {
    std::vector<int> left;
    int count = 0;
};

Faces faces_of(int vertices, const Edges& edges) {
    const Graph graph = boost_graph(vertices, edges);
    std::vector<std::vector<EdgeOf>> around(static_cast<std::size_t>(vertices));
    boost::boyer_myrvold_planarity_test(boost::boyer_myrvold_params::graph = graph,
                                        boost::boyer_myrvold_params::embedding = &around[0]);
    const auto index = boost::get(boost::edge_index, graph);
    std::vector<int> next(2 * edges.size(), -1);  // the half-edge that goes on along the face
    for (std::size_t v = 0; v < around.size(); ++v) {
        const std::vector<EdgeOf>& ring = around[v];
        for (std::size_t i = 0; i < ring.size(); ++i) {
            const int in = index[ring[i]];
            const int out = index[ring[(i + 1) % ring.size()]];
            const auto here = static_cast<int>(v);
            const int arriving = 2 * in + (edges[static_cast<std::size_t>(in)].b == here ? 0 : 1);
            const int leaving = 2 * out + (edges[static_cast<std::size_t>(out)].a == here ? 0 : 1);
            next[static_cast<std::size_t>(arriving)] = leaving;
        }
    }
    Faces faces;
    faces.left.assign(next.size(), -1);
    for (std::size_t start = 0; start < next.size(); ++start) {
        for (auto at = start; faces.left[at] < 0; at = static_cast<std::size_t>(next[at])) {
            faces.left[at] = faces.count;
        }
        faces.count = 1 + *std::max_element(faces.left.begin(), faces.left.end());
    }
    return faces;
}

// A way for a wire from a pin's vertex to its net through faces: the edges that it crosses, and the
// vertex or edge of its own net where it ends.
struct Way {
    std::vector<int> crossed;
    int end_vertex = -1;
    int end_edge = -1;
};

Way shortest_way(const Edges& edges, const Faces& faces, const PinGraph::Edge& wire) {
    const auto face_count = static_cast<std::size_t>(faces.count);
    std::vector<int> ends_at(face_count, -1);  // an edge of the net on the face
    std::vector<int> from(face_count, -1);     // the edge by which the face was entered
    std::vector<int> before(face_count, -1);
    std::vector<bool> seen(face_count, false);
    std::vector<std::vector<int>> sides(face_count);
    std::deque<int> open;
    for (std::size_t half = 0; half < faces.left.size(); ++half) {
        const PinGraph::Edge& edge = edges[half / 2];
        const int face = faces.left[half];
        const auto f = static_cast<std::size_t>(face);
        sides[f].push_back(static_cast<int>(half));
        if (edge.net == wire.net) {
            ends_at[f] = static_cast<int>(half / 2);
        }
        if ((edge.a == wire.a || edge.b == wire.a) && !seen[f]) {
            seen[f] = true;
            open.push_back(face);
        }
    }
    while (!open.empty()) {
        const int face = open.front();
        const auto f = static_cast<std::size_t>(face);
        open.pop_front();
        if (ends_at[f] >= 0) {
            Way way;
            way.end_edge = ends_at[f];
            for (int at = face; from[static_cast<std::size_t>(at)] >= 0;
                 at = before[static_cast<std::size_t>(at)]) {
                way.crossed.push_back(from[static_cast<std::size_t>(at)]);
            }
            std::reverse(way.crossed.begin(), way.crossed.end());
            return way;
        }
        for (const int half : sides[f]) {
            const int edge = half / 2;
            const int other = faces.left[static_cast<std::size_t>(half ^ 1)];
            if (edges[static_cast<std::size_t>(edge)].net >= 0 &&
                !seen[static_cast<std::size_t>(other)]) {
                seen[static_cast<std::size_t>(other)] = true;
                from[static_cast<std::size_t>(other)] = edge;
                before[static_cast<std::size_t>(other)] = face;
                open.push_back(other);
            }
        }
    }
    return {};
}

// Puts a vertex on an edge and returns it.
int split(int& vertices, Edges& edges, int edge) {
    PinGraph::Edge& first = edges[static_cast<std::size_t>(edge)];
    const int middle = vertices++;
    const PinGraph::Edge second{middle, first.b, first.net};
    first.b = middle;
    edges.push_back(second);
    return middle;
}

}  // namespace

int crossings_of_a_try(const PinGraph& graph, std::uint64_t seed) {
    std::mt19937_64 dice(seed);
    const auto shuffle = [&](Edges& edges) {  // std::shuffle differs between libraries
        for (std::size_t i = edges.size(); i > 1; --i) {
            std::swap(edges[i - 1], edges[dice() % i]);
        }
    };
    Edges kept, wires, left_over;
    for (const PinGraph::Edge& edge : graph.edges) {
        (edge.net < 0 ? kept : wires).push_back(edge);
    }
    shuffle(kept);
    shuffle(wires);
    for (const PinGraph::Edge& wire : wires) {
        kept.push_back(wire);
        if (!is_planar(graph.vertices, kept)) {
            kept.pop_back();
            left_over.push_back(wire);
        }
    }
    int vertices = graph.vertices;
    int crossings = 0;
    for (const PinGraph::Edge& wire : left_over) {
        shuffle(kept);
        const Way way = shortest_way(kept, faces_of(vertices, kept), wire);
        if (way.end_edge < 0) {
            return 1 << 20;  // walled in by frames: this try is none
        }
        int at = wire.a;
        for (const int edge : way.crossed) {
            const int point = split(vertices, kept, edge);
            kept.push_back({at, point, wire.net});
            at = point;
            ++crossings;
        }
        kept.push_back({at, split(vertices, kept, way.end_edge), wire.net});
    }
    return crossings;
}

}  // namespace etchback::gallery
