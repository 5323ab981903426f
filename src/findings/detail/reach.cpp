#include "findings/detail/reach.h"

#include <algorithm>
#include <deque>

#include "blocks/mains.h"

namespace etchback::findings::detail {

using circuit::NetId;
using circuit::PartId;

Reached reach(const circuit::Circuit& circuit,
              const std::vector<NetId>& start,
              const Passes& passes,
              const std::vector<NetId>& closed) {
    Reached reached;
    std::deque<NetId> queue;
    for (const NetId net : start) {
        if (reached.try_emplace(net).second) {
            queue.push_back(net);
        }
    }
    while (!queue.empty()) {
        const NetId here = queue.front();
        queue.pop_front();
        for (const circuit::PinRef pin : circuit[here].pins) {
            const circuit::Part& part = circuit[pin.part];
            const auto from = static_cast<std::size_t>(pin.pin);
            for (std::size_t to = 0; to < part.pins.size(); ++to) {
                const NetId there = part.pins[to].net;
                if (to == from || !there.known() || blocks::contains(closed, there) ||
                    reached.contains(there) || !passes(part, from, to)) {
                    continue;
                }
                reached[there] = {pin.part, here};
                queue.push_back(there);
            }
        }
    }
    return reached;
}

std::vector<PartId> way_to(const Reached& reached, NetId net) {
    std::vector<PartId> way;
    for (auto it = reached.find(net); it != reached.end() && it->second.by.index >= 0;
         it = reached.find(it->second.from)) {
        way.push_back(it->second.by);
    }
    std::reverse(way.begin(), way.end());
    return way;
}

}  // namespace etchback::findings::detail
