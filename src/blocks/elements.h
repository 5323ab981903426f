// The circuit as patterns see it: parts that do one job together are one element.
//
// Folded are resistors, capacitors, rectifying diodes (same way round), Zener diodes, LEDs and LED
// strings: in parallel between two nets, and in series through a net on which nothing else hangs
// (test points excepted). A diode and a resistor are never one. Every winding of a transformer is
// an element; every other part is one by itself.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "circuit/circuit.h"

namespace etchback::blocks {

struct ElementPin {
    std::string name;  // the kind's or the dossier's name; of a winding: "dot", "end", "tap"
    parts::PinRole role = parts::PinRole::passive;
    circuit::NetId net;
};

struct Element {
    std::vector<std::string> kinds;      // kind ids of its parts, each once, sorted; "winding"
    std::string family;                  // of the kinds; "winding"
    std::vector<circuit::PartId> parts;  // sorted; of a winding: the transformer
    std::string winding;                 // of a winding: its name
    std::vector<ElementPin> pins;        // of a folded element: two
    std::optional<double> value;         // of all together; of a winding: its turns
    int in_series = 1, in_parallel = 1;  // parts one after the other, and beside each other
    std::optional<double> tolerance;     // half width as a share of the value, where stated
    bool value_assumed = false;
};

// In the order of their first parts.
std::vector<Element> elements(const circuit::Circuit& circuit);

}  // namespace etchback::blocks
