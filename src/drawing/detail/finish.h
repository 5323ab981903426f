// From parts that stand and wires that lie to a drawing.
#pragma once

#include <vector>

#include "drawing/detail/route_nets.h"

namespace etchback::drawing::detail {

Drawing finished(const circuit::Circuit& circuit,
                 const circuit::Domains& domains,
                 const Options& options,
                 const Model& model,
                 const Placement& placement,
                 const Routing& routing);

// In the middle of the parts that it is wired to and that have a place.
Step place_for(const Model& model,
               const Placement& placement,
               const std::vector<char>& known,
               std::size_t part);

}  // namespace etchback::drawing::detail
