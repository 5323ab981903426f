#include "gallery/fewest.h"

#include <algorithm>

#include "gallery/planarise.h"

namespace etchback::gallery {
namespace {

int fewest_of(const PinGraph& graph, int tries) {
    int best = 1 << 20;
    for (int seed = 1; seed <= tries && best > 0; ++seed) {
        best = std::min(best, crossings_of_a_try(graph, static_cast<std::uint64_t>(seed)));
    }
    return best;
}

}  // namespace

Fewest fewest_crossings(const circuit::Circuit& circuit, int tries) {
    const std::vector<bool> none(circuit.nets.size(), false);
    Fewest result;
    result.all_wired = fewest_of(pin_graph(circuit, none), tries);
    result.with_signs =
        std::min(result.all_wired, fewest_of(pin_graph(circuit, may_be_signs(circuit)), tries));
    return result;
}

}  // namespace etchback::gallery
