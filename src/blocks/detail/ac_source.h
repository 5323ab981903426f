// An AC source that a rectifier may sit on: the mains, or a winding of a line-frequency
// transformer.
#pragma once

#include "blocks/detail/knowledge.h"

namespace etchback::blocks::detail {

struct AcSource {
    std::vector<circuit::NetId> a, b;  // its two lines, sorted
    double peak_v = 0.0;
    double rms_v = 0.0;
    bool assumed = false;
    std::string name;  // "the mains"
    std::vector<std::string> parts;
    std::vector<base::Evidence> evidence;
};
std::vector<AcSource> ac_sources(const Knowledge& known);

// The first capacitor (by name) between two groups that holds the crest from one half-wave to the
// next: an electrolytic, or any of 1 µF and more.
const circuit::Part* reservoir(const circuit::Circuit& circuit,
                               const std::vector<circuit::NetId>& plus,
                               const std::vector<circuit::NetId>& minus);

// One winding of a transformer with its two ends (the dot first) and turns, where known.
struct WindingEnds {
    circuit::PartId transformer;
    std::string name;
    circuit::NetId dot, end;
    std::optional<double> turns;
    std::optional<double> inductance_h;
};
std::vector<WindingEnds> windings_of(const circuit::Circuit& circuit, circuit::PartId part);

// Turns of `a` over turns of `b`, by turns or by the root of the inductances.
std::optional<double> ratio_of(const WindingEnds& a, const WindingEnds& b);

}  // namespace etchback::blocks::detail
