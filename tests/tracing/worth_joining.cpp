#include "tracing/worth_joining.h"

#include <algorithm>
#include <set>

#include "base/disjoint_sets.h"

namespace etchback::tracing {

int gain_of_joining(const PadsByNet& a, const PadsByNet& b) {
    int gain = 0;
    for (const auto& [net, pads] : a) {
        for (const auto& [other, more] : b) {
            gain += net == other ? pads * more : -pads * more;
        }
    }
    return gain;
}

WorthJoining worth_joining(const std::vector<NetLink>& links, std::vector<PadsByNet> pads) {
    base::DisjointSets sets(pads.size());
    std::vector<int> gained(pads.size(), 0);
    std::vector<bool> taken(links.size(), false);
    for (bool again = true; again;) {
        again = false;
        for (std::size_t i = 0; i < links.size(); ++i) {
            const auto a = static_cast<std::size_t>(sets.find(links[i].a));
            const auto b = static_cast<std::size_t>(sets.find(links[i].b));
            const int gain = taken[i] || a == b ? -1 : gain_of_joining(pads[a], pads[b]);
            if (gain < 0) {
                continue;
            }
            sets.join(static_cast<int>(a), static_cast<int>(b));
            const auto all = std::min(a, b);
            for (const auto& [net, count] : pads[std::max(a, b)]) {
                pads[all][net] += count;
            }
            gained[all] = gained[a] + gained[b] + gain;
            taken[i] = again = true;
        }
    }
    WorthJoining worth;
    std::set<int> counted;
    for (std::size_t i = 0; i < links.size(); ++i) {
        const int all = sets.find(links[i].a);
        const int other = sets.find(links[i].b);
        if (all != other && gain_of_joining(pads[static_cast<std::size_t>(all)],
                                            pads[static_cast<std::size_t>(other)]) < 0) {
            worth.harmful.push_back(i);
        }
        if (taken[i] && gained[static_cast<std::size_t>(all)] > 0) {
            worth.links.push_back(i);
            worth.gain += counted.insert(all).second ? gained[static_cast<std::size_t>(all)] : 0;
        }
    }
    return worth;
}

}  // namespace etchback::tracing
