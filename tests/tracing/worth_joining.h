// Which of many links between nets as they were read are worth being joined.
#pragma once

#include <cstddef>
#include <map>
#include <vector>

namespace etchback::tracing {

// Pads of each true net on what the program takes for one net.
using PadsByNet = std::map<int, int>;

// How many pairs fewer are wrong once two nets are one.
int gain_of_joining(const PadsByNet& a, const PadsByNet& b);

// A link between two nets as they were read.
struct NetLink {
    int a = -1;
    int b = -1;
};

struct WorthJoining {
    std::vector<std::size_t> links;    // indices
    std::vector<std::size_t> harmful;  // would still make things worse
    int gain = 0;                      // pairs that `links` mend together
};

// Taken in their order, as long as none makes things worse; what only joins copper without pins is
// a step on the way to some, and is left out where it leads to none. `pads`: of each net.
WorthJoining worth_joining(const std::vector<NetLink>& links, std::vector<PadsByNet> pads);

}  // namespace etchback::tracing
