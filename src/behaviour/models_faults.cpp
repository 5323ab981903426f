// The single faults of a circuit.
#include <algorithm>

#include "behaviour/models.h"

namespace etchback::behaviour {
namespace {

using circuit::Part;

// The supply and what only joins nets cannot fail by itself.
bool can_fail(const Part& part) {
    static const std::vector<std::string> never = {
        "source", "earth", "test_point", "connector", "unknown"};
    return std::find(never.begin(), never.end(), part.kind.family) == never.end();
}

bool on_nets(const Part& part, std::size_t a, std::size_t b) {
    return part.pins[a].net.known() && part.pins[b].net.known() &&
           part.pins[a].net != part.pins[b].net;
}

void opens(const Part& part, std::vector<Fault>& out) {
    if (part.pins.size() == 2) {
        if (part.pins[0].net.known() && part.pins[1].net.known()) {
            out.push_back({Fault::Kind::open, part.name, "", ""});
        }
        return;
    }
    for (const circuit::Pin& pin : part.pins) {
        if (pin.net.known()) {
            out.push_back({Fault::Kind::open, part.name, pin.name, ""});
        }
    }
}

// Neighbours are pins that follow each other; of three or four legs each is near every other. Pins
// on two galvanic sides stand apart.
void bridges(const Part& part, std::vector<Fault>& out) {
    const bool few = part.pins.size() <= 4;
    for (std::size_t a = 0; a < part.pins.size(); ++a) {
        for (std::size_t b = a + 1; b < part.pins.size(); ++b) {
            if ((few || b == a + 1) && part.pins[a].side == part.pins[b].side &&
                on_nets(part, a, b)) {
                out.push_back(
                    {Fault::Kind::bridged, part.name, part.pins[a].name, part.pins[b].name});
            }
        }
    }
}

}  // namespace

std::vector<Fault> single_faults(const circuit::Circuit& circuit) {
    std::vector<Fault> out;
    for (const Part& part : circuit.parts) {
        if (!can_fail(part)) {
            continue;
        }
        opens(part, out);
        if (part.pins.size() == 2) {
            if (on_nets(part, 0, 1)) {
                out.push_back({Fault::Kind::shorted, part.name, "", ""});
            }
        } else {
            bridges(part, out);
        }
    }
    return out;
}

}  // namespace etchback::behaviour
