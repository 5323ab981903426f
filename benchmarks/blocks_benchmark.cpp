// Finding patterns against plain enumeration of the same patterns by Boost's VF2.
//
// The circuits are supplies put together at random (tests/blocks), the large one of several side by
// side. VF2 works on graphs whose vertices are elements and nets and whose edges are pins: it is
// given every pattern's elements that must be there, kinds and pin names as vertex and edge
// conditions, and enumerates all embeddings. Work is candidates looked at: for VF2 the calls of its
// conditions.
#include <benchmark/benchmark.h>

#include <boost/graph/adjacency_list.hpp>
#include <boost/graph/vf2_sub_graph_iso.hpp>

#include "base/text.h"
#include "blocks/blocks.h"
#include "blocks/elements.h"
#include "blocks/supplies.h"

namespace etchback::test {
namespace {

const blocks::PatternBook& book() {
    static const blocks::PatternBook loaded =
        *blocks::load_patterns({ETCHBACK_SOURCE_DIR "/data/blocks"});
    return loaded;
}

// So many parts and more: supplies side by side, nothing joined.
dossier::Dossier large(std::size_t parts) {
    dossier::Dossier all;
    for (unsigned seed = 1; all.parts.size() < parts; ++seed) {
        dossier::Dossier one = dossier_of(random_supply(seed).board);
        const std::string mark = "_" + std::to_string(seed);
        for (dossier::Part& part : one.parts) {
            part.name += std::to_string(1000 * seed);
            for (dossier::PinUse& pin : part.pins) {
                pin.net += mark;
            }
            all.parts.push_back(std::move(part));
        }
        for (dossier::NetNote& note : one.nets) {
            note.name += mark;
            all.nets.push_back(std::move(note));
        }
        all.supply = one.supply;
    }
    return all;
}

struct Node {
    int element = -1;  // -1: a net
    const blocks::Slot* slot = nullptr;
};
using Graph = boost::adjacency_list<boost::vecS,
                                    boost::vecS,
                                    boost::undirectedS,
                                    Node,
                                    boost::property<boost::edge_name_t, int>>;

// Every pattern slot that must be there, by kinds and families only; nets between them.
Graph graph_of(const blocks::Pattern& pattern) {
    Graph g;
    std::vector<Graph::vertex_descriptor> nets;
    for (std::size_t n = 0; n < pattern.nets.size(); ++n) {
        nets.push_back(boost::add_vertex(Node{}, g));
    }
    for (const blocks::Slot& slot : pattern.slots) {
        if (slot.optional || slot.or_wire) {
            continue;
        }
        const auto v = boost::add_vertex(Node{0, &slot}, g);
        for (const blocks::SlotPin& pin : slot.pins) {
            boost::add_edge(v, nets[static_cast<std::size_t>(pin.net)], 0, g);
        }
    }
    return g;
}

Graph graph_of(const std::vector<blocks::Element>& elements, std::size_t nets) {
    Graph g;
    for (std::size_t n = 0; n < nets; ++n) {
        boost::add_vertex(Node{}, g);
    }
    for (std::size_t e = 0; e < elements.size(); ++e) {
        const auto v = boost::add_vertex(Node{static_cast<int>(e), nullptr}, g);
        for (const blocks::ElementPin& pin : elements[e].pins) {
            if (pin.net.known()) {
                boost::add_edge(v, static_cast<std::size_t>(pin.net.index), 0, g);
            }
        }
    }
    return g;
}

bool fits(const blocks::Slot& slot, const blocks::Element& element) {
    const auto has = [](const auto& all, const std::string& one) {
        return std::find(all.begin(), all.end(), one) != all.end();
    };
    return has(slot.families, element.family) ||
           std::any_of(element.kinds.begin(), element.kinds.end(), [&](const std::string& k) {
               return has(slot.kinds, k);
           });
}

// Conditions asked by VF2 over all patterns; a pattern is given up after `most`.
std::int64_t vf2_work(const std::vector<blocks::Element>& elements,
                      const Graph& whole,
                      std::int64_t most,
                      int& given_up) {
    std::int64_t asked = 0;
    for (const blocks::Pattern& pattern : book().patterns) {
        const Graph small = graph_of(pattern);
        std::int64_t here = 0;
        const auto same = [&](Graph::vertex_descriptor a, Graph::vertex_descriptor b) {
            ++here;
            const Node &p = small[a], &q = whole[b];
            if ((p.element < 0) != (q.element < 0)) {
                return false;
            }
            return p.element < 0 || fits(*p.slot, elements[static_cast<std::size_t>(q.element)]);
        };
        struct Stop {};
        const auto go_on = [&](auto&&, auto&&) {
            if (here > most) {
                throw Stop();
            }
            return true;
        };
        const auto counted = [&](Graph::vertex_descriptor a, Graph::vertex_descriptor b) {
            if (here > most) {
                throw Stop();
            }
            return same(a, b);
        };
        try {
            boost::vf2_subgraph_mono(small,
                                     whole,
                                     go_on,
                                     boost::get(boost::vertex_index, small),
                                     boost::get(boost::vertex_index, whole),
                                     boost::vertex_order_by_mult(small),
                                     boost::always_equivalent(),
                                     counted);
        } catch (const Stop&) {
            ++given_up;
        }
        asked += here;
    }
    return asked;
}

void blocks_of_a_circuit(benchmark::State& state) {
    const dossier::Dossier dossier = large(static_cast<std::size_t>(state.range(0)));
    const circuit::Circuit circuit = circuit::build(dossier, catalogue());
    const circuit::Domains domains = circuit::domains(circuit);
    blocks::Blocks found;
    for ([[maybe_unused]] auto once : state) {
        found = blocks::find_blocks(circuit, domains, dossier, book());
    }
    state.counters["parts"] = static_cast<double>(circuit.parts.size());
    state.counters["blocks"] = static_cast<double>(found.blocks.size());
    state.counters["patterns"] = static_cast<double>(book().patterns.size());
    state.counters["candidates"] = static_cast<double>(found.steps);
}
BENCHMARK(blocks_of_a_circuit)->Arg(40)->Arg(300)->ArgName("parts")->Unit(benchmark::kMillisecond);

void blocks_against_vf2(benchmark::State& state) {
    const dossier::Dossier dossier = large(static_cast<std::size_t>(state.range(0)));
    const circuit::Circuit circuit = circuit::build(dossier, catalogue());
    const auto elements = blocks::elements(circuit);
    const Graph whole = graph_of(elements, circuit.nets.size());
    std::int64_t asked = 0, ours = 0;
    int given_up = 0;
    for ([[maybe_unused]] auto once : state) {
        given_up = 0;
        asked = vf2_work(elements, whole, 20'000'000, given_up);
        ours = blocks::find_blocks(circuit, circuit::domains(circuit), dossier, book()).steps;
    }
    state.counters["vf2_conditions"] = static_cast<double>(asked);
    state.counters["vf2_given_up"] = given_up;
    state.counters["candidates"] = static_cast<double>(ours);
    state.counters["ratio"] = static_cast<double>(asked) / static_cast<double>(ours);
}
BENCHMARK(blocks_against_vf2)
    ->Arg(40)
    ->Arg(300)
    ->ArgName("parts")
    ->Iterations(1)
    ->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace etchback::test
