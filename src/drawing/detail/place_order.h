// What the structure of a circuit says about where things belong: which net is high and which is
// low, what comes first on the way from source to load, and how each net is shown.
#pragma once

#include <initializer_list>
#include <string>
#include <vector>

#include "circuit/circuit.h"
#include "circuit/domains.h"
#include "drawing/drawing.h"

namespace etchback::drawing::detail {

// How a net's pieces hold together: by wire all over, or by a sign at each cluster of pins.
enum class NetStyle {
    open,  // nothing to draw: one pin or none, and no name to show
    wired,
    returns,  // a return or earth symbol below each cluster
    rail,     // a bar with the name above each cluster
    flagged,  // a single pin that has a name
};

// The side of the isolation that a part or net stands on, counted from the source; domains between
// which no isolation is to be shown share a zone.
struct Zones {
    int count = 1;
    std::vector<int> of_domain;
    std::vector<int> of_net;
};

// A net that is drawn as one straight line across its zone: a supply above all that hangs from it,
// a return or a negative supply below all that stands on it.
enum class Rail { none, top, bottom };

struct Order {
    std::vector<double> potential;     // per net, 0 (lowest) to 1 (highest)
    std::vector<double> net_flow;      // per net, grows from source to load
    std::vector<double> part_flow;     // per part
    std::vector<NetStyle> styles;      // per net
    std::vector<NetSign::Kind> signs;  // per net: the sign that suits its style
    std::vector<bool> alternating;     // per net: on the way of the mains, before any rectifier
    std::vector<bool> neutral;         // per net: the mains' neutral, or joined with it by few ohms
    std::vector<bool> held;            // per net: something keeps it at a level of its own
    std::vector<Rail> rails;           // per net; also of nets that are joined by signs
    std::vector<bool> spare_wires;     // per net: signs may stand for its wires
    Zones zones;
};

// Whether the part's family or id holds one of these words.
bool is_family(const circuit::Part& part, std::initializer_list<const char*> words);

// "N" or the like: the mains' other line.
bool is_neutral(const circuit::Pin& pin);

// Per net, 0 (lowest) to 1 (highest).
std::vector<double> potentials_of(const circuit::Circuit& circuit,
                                  const std::vector<bool>& is_return,
                                  const std::vector<bool>& alternating);

enum class Terminal { none, source, load };

// Whether a part feeds the circuit or is fed by it, by its kind and the words around it.
Terminal terminal_of(const circuit::Circuit& circuit, int part);

Order order_of(const circuit::Circuit& circuit, const circuit::Domains& domains);

// A name that a person gave: not N001, NET12, "Net-(R1-Pad2)" or "$5".
bool named_by_person(const std::string& net_name);

}  // namespace etchback::drawing::detail
