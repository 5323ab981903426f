// Returns and supplies by signs, where wires would cross others.
#include <algorithm>

#include "drawing/detail/route_router.h"

namespace etchback::drawing::detail {

namespace {

constexpr int dear_crossing = 300;  // what a crossing may cost in signs

std::size_t at(int i) {
    return static_cast<std::size_t>(i);
}

}  // namespace

void Router::set_signs() {
    const auto crossings = [&](int net) { return static_cast<int>(crossed_by(net).size()); };
    std::vector<std::pair<int, int>> keyed;
    for (const int net : order_) {
        if (styles_[at(net)] == NetStyle::wired && model_.nets[at(net)].may_be_signs &&
            crossings(net) > 0) {
            keyed.emplace_back(-crossings(net), net);
        }
    }
    std::sort(keyed.begin(), keyed.end());
    for (const auto& [key, net] : keyed) {
        const int many = crossings(net);
        if (many == 0) {
            continue;
        }
        const Track wires = tracks_[at(net)];
        const int before = price_of({net}) + dear_crossing * many;
        lift(net);
        styles_[at(net)] = model_.nets[at(net)].low ? NetStyle::returns : NetStyle::rail;
        lay(net);
        const int after = price_of({net}) + dear_crossing * crossings(net);
        if (!tracks_[at(net)].complete || after >= before) {
            lift(net);
            styles_[at(net)] = NetStyle::wired;
            put_back(net, wires);
        }
    }
}

// The net on the other side of each crossing.
std::vector<int> Router::crossed_by(int net) const {
    std::vector<int> nodes;
    for (const auto& [node, d] : tracks_[at(net)].edges) {
        for (const int end : {node, grid_.neighbour(node, d)}) {
            if (grid_.foreign(end, net)) {
                nodes.push_back(end);
            }
        }
    }
    std::sort(nodes.begin(), nodes.end());
    nodes.erase(std::unique(nodes.begin(), nodes.end()), nodes.end());
    std::vector<int> others;
    for (const int node : nodes) {
        others.push_back(grid_.other(node, net));
    }
    return others;
}

}  // namespace etchback::drawing::detail
