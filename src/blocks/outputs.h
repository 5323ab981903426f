// Rectified windings of a switching converter: the isolated output, the auxiliary supply.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "blocks/mains.h"
#include "circuit/circuit.h"

namespace etchback::blocks {

struct Output {
    circuit::PartId transformer;
    std::string winding;
    circuit::PartId diode;
    double diode_drop_v = 0.0;
    std::vector<circuit::NetId> plus, minus;  // sorted, with what series parts tie to them
    bool flyback = true;  // false: a second diode makes it a forward converter's output
    std::vector<circuit::PartId> led_strings;   // that it feeds
    std::optional<circuit::PartId> controller;  // whose supply it is: an auxiliary winding
};

// In the order of transformers and their windings. The primary winding is no output.
std::vector<Output> outputs(const circuit::Circuit& circuit);

// Turns of one winding over those of another of the same transformer.
std::optional<double> turns_ratio(const circuit::Circuit& circuit,
                                  circuit::PartId transformer,
                                  const std::string& of,
                                  const std::string& over);

}  // namespace etchback::blocks
