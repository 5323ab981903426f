// Comparing circuits, against Boost's VF2 on the question that it can answer: are two circuits the
// same? VF2 gets elements and nets as vertices, pins as edges, kinds as conditions.
#include <benchmark/benchmark.h>

#include <boost/graph/adjacency_list.hpp>
#include <boost/graph/vf2_sub_graph_iso.hpp>
#include <chrono>

#include "blocks/compare_stage.h"

namespace etchback::test {
namespace {

PartList parts_of(const char* name) {
    return fitted(example(name).parts);
}

// A part fewer, another value, a part more, a pin elsewhere.
PartList edited(PartList parts) {
    std::erase_if(parts, [](const dossier::Part& part) { return part.name == "R9"; });
    dossier::Part more;
    for (dossier::Part& part : parts) {
        if (part.name == "C3" && part.value) {
            part.value->value.value *= 4.7;
        }
        if (part.name == "R4") {
            more = part;
        }
    }
    more.name = "R99";
    parts.push_back(more);
    for (dossier::Part& part : parts) {
        if (part.name == "C8" && part.pins.size() == 2) {
            part.pins.front().net = parts.front().pins.front().net;
        }
    }
    return parts;
}

void compare_pair(benchmark::State& state, const PartList& found, const PartList& reference) {
    std::mt19937 random(7);
    const circuit::Circuit a = built(shuffled(found, random)), b = built(reference);
    blocks::Comparison result;
    for ([[maybe_unused]] auto once : state) {
        result = blocks::compare(a, b);
    }
    state.counters["parts_found"] = static_cast<double>(a.parts.size());
    state.counters["parts_reference"] = static_cast<double>(b.parts.size());
    state.counters["cost"] = result.cost;
    state.counters["at_least"] = result.at_least;
    state.counters["rounds"] = result.rounds;
}

void compare_edited(benchmark::State& state) {
    const PartList parts = parts_of("sewing-adapter");
    compare_pair(state, edited(parts), parts);
}
BENCHMARK(compare_edited)->Unit(benchmark::kMillisecond);

void compare_unlike(benchmark::State& state) {
    compare_pair(state, parts_of("seedling-driver"), parts_of("sewing-adapter"));
}
BENCHMARK(compare_unlike)->Unit(benchmark::kMillisecond);

using Graph =
    boost::adjacency_list<boost::vecS, boost::vecS, boost::undirectedS, std::string, std::string>;

Graph graph_of(const circuit::Circuit& circuit) {
    Graph graph(circuit.nets.size());
    for (const circuit::Part& part : circuit.parts) {
        const auto vertex = boost::add_vertex(part.kind.id, graph);
        for (const circuit::Pin& pin : part.pins) {
            if (pin.net.known()) {
                boost::add_edge(vertex, static_cast<std::size_t>(pin.net.index), pin.name, graph);
            }
        }
    }
    return graph;
}

void compare_same_against_vf2(benchmark::State& state) {
    std::mt19937 random(7);
    const PartList parts = parts_of("sewing-adapter");
    const circuit::Circuit a = built(shuffled(parts, random)), b = built(parts);
    const Graph ga = graph_of(a), gb = graph_of(b);
    using Clock = std::chrono::steady_clock;
    double ours_s = 0.0, theirs_s = 0.0;
    bool same = false, theirs_same = false;
    for ([[maybe_unused]] auto once : state) {
        const auto begin = Clock::now();
        same = blocks::compare(a, b).differences.empty();
        const auto between = Clock::now();
        theirs_same = boost::vf2_graph_iso(
            ga,
            gb,
            [](auto&&, auto&&) { return false; },
            boost::get(boost::vertex_index, ga),
            boost::get(boost::vertex_index, gb),
            boost::vertex_order_by_mult(ga),
            boost::always_equivalent(),
            [&](auto p, auto q) { return ga[p] == gb[q]; });
        ours_s += std::chrono::duration<double>(between - begin).count();
        theirs_s += std::chrono::duration<double>(Clock::now() - between).count();
    }
    state.counters["same"] = same;
    state.counters["vf2_same"] = theirs_same;
    state.counters["ours_over_vf2"] = ours_s / theirs_s;
}
BENCHMARK(compare_same_against_vf2)->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace etchback::test
