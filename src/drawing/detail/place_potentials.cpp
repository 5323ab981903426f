// Which net is high and which is low: a network of rough conductances between returns and sources.
#include <algorithm>

#include "base/text.h"
#include "drawing/detail/place_linear.h"
#include "drawing/detail/place_order.h"

namespace etchback::drawing::detail {

namespace {

using circuit::Circuit;
using circuit::NetId;
using circuit::Part;
using parts::PinRole;

// A rough conductance between the pins of a part, for the order of potentials only.
double conductance(const Part& part) {
    if (is_family(part, {"capacitor"})) {
        return 1e-9;
    }
    if (is_family(part, {"resistor", "ntc", "ptc", "thermistor"})) {
        return 1.0 / std::clamp(part.value().value_or(1e3), 0.1, 1e7);
    }
    if (is_family(part, {"inductor", "choke", "fuse", "switch", "jumper", "bead", "transformer"})) {
        return 10.0;
    }
    if (is_family(part, {"varistor", "spark", "gap"})) {
        return 1e-9;
    }
    if (is_family(part, {"diode"}) && !is_family(part, {"zener", "tvs"})) {
        return 1e-2;
    }
    return 1e-4;
}

double source_level(const Part& part, const circuit::Pin& pin) {
    const std::string name = base::lowered(pin.name);
    if (is_family(part, {"transistor", "thyristor", "triac", "optocoupler"})) {
        return -1.0;
    }
    switch (pin.role) {
        case PinRole::line:
            return name.starts_with("n") ? 0.0 : 1.0;
        case PinRole::supply:
            return 0.6;
        case PinRole::positive:
            return part.pins.size() > 2 || part.kind.off_board ? 1.0 : -1.0;
        case PinRole::negative:
            return part.pins.size() > 2 || part.kind.off_board ? 0.0 : -1.0;
        case PinRole::ground:
        case PinRole::earth:
            return 0.0;
        default:
            return -1.0;
    }
}

bool carries_current(const circuit::Pin& pin) {
    return pin.role != PinRole::input && pin.role != PinRole::supply && pin.role != PinRole::ground;
}

// From the lowest to the highest: 0 to 1.
void normalise(std::vector<double>& potentials) {
    double low = 0.0;
    double high = 1.0;
    for (const double p : potentials) {
        low = std::min(low, p);
        high = std::max(high, p);
    }
    for (double& p : potentials) {
        p = (p - low) / (high - low);
    }
}

// By how much the second of two pins is meant to lie above the first: of a source its voltage; a
// diode at the mains charges what lies behind it to the crest.
double rise_of(const Part& part,
               const circuit::Pin& a,
               const circuit::Pin& b,
               const std::vector<bool>& alternating) {
    if (is_family(part, {"source", "mains"})) {
        return a.role == PinRole::negative || is_neutral(a)   ? 1.0
               : a.role == PinRole::positive || is_neutral(b) ? -1.0
                                                              : 0.0;
    }
    if (is_family(part, {"diode"}) && part.pins.size() == 2 &&
        alternating[static_cast<std::size_t>(a.net.index)] !=
            alternating[static_cast<std::size_t>(b.net.index)]) {
        return a.role == PinRole::positive ? 0.5 : b.role == PinRole::positive ? -0.5 : 0.0;
    }
    return 0.0;
}

}  // namespace

std::vector<double> potentials_of(const Circuit& circuit,
                                  const std::vector<bool>& is_return,
                                  const std::vector<bool>& alternating) {
    const int n = static_cast<int>(circuit.nets.size());
    Springs springs(n);
    const auto low = [&](NetId net) {
        return net.known() && is_return[static_cast<std::size_t>(net.index)];
    };
    for (int i = 0; i < n; ++i) {
        springs.pin(i, 1e-10, 0.5);
        if (is_return[static_cast<std::size_t>(i)]) {
            springs.pin(i, 1e4, 0.0);
        }
    }
    for (const Part& part : circuit.parts) {
        for (const circuit::Pin& pin : part.pins) {
            const double level = source_level(part, pin);
            if (pin.net.known() && level >= 0.0 && !is_family(part, {"source"})) {
                const bool strong = pin.role == PinRole::line;
                const bool load = is_family(part, {"load", "led_string", "motor", "lamp"});
                springs.pin(pin.net.index, strong ? 1.0 : load ? 1e-5 : 1e-3, level);
            }
        }
        const double g = is_family(part, {"source"}) ? 1e2 : conductance(part);
        const bool two = part.pins.size() == 2;
        for (std::size_t a = 0; a < part.pins.size(); ++a) {
            for (std::size_t b = a + 1; b < part.pins.size(); ++b) {
                const circuit::Pin& pa = part.pins[a];
                const circuit::Pin& pb = part.pins[b];
                const bool through = two || (part.pins.size() <= 4 && carries_current(pa) &&
                                             carries_current(pb) && pa.side == pb.side);
                // A winding between a return and something else is a source of its own.
                const bool source =
                    is_family(part, {"transformer"}) && (low(pa.net) || low(pb.net));
                if (through && !source && pa.net.known() && pb.net.known()) {
                    springs.tie(pa.net.index, pb.net.index, g, rise_of(part, pa, pb, alternating));
                }
            }
        }
    }
    std::vector<double> potentials = springs.solve();
    normalise(potentials);
    return potentials;
}

}  // namespace etchback::drawing::detail
