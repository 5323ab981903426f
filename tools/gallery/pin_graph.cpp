#include "gallery/pin_graph.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "drawing/symbol.h"

namespace etchback::gallery {
namespace {

using circuit::Circuit;
using circuit::Part;

class Builder {
public:
    explicit Builder(const Circuit& circuit, const std::vector<bool>& left_out)
        : left_out_(left_out) {
        graph_.vertices = static_cast<int>(circuit.nets.size());  // first the nets, by index
    }

    void add(const Part& part) {
        const drawing::Symbol symbol = drawing::symbol_of(part, drawing::Standard::iec);
        std::vector<std::vector<int>> groups;
        if (symbol.id == "transformer") {
            groups = windings_of(part, symbol);
        } else if (symbol.id == "box" || symbol.id == "controller" || symbol.id == "connector") {
            groups = sides_of(symbol);
        } else {
            groups = ring_of(symbol);
        }
        frame(part, groups);
    }

    PinGraph take() { return std::move(graph_); }

private:
    int vertex() { return graph_.vertices++; }
    void brace(int a, int b) { graph_.edges.push_back({a, b, -1}); }

    void wire(const Part& part, int pin, int from) {
        const circuit::NetId net = part.pins[static_cast<std::size_t>(pin)].net;
        if (net.known() && !left_out_[static_cast<std::size_t>(net.index)]) {
            graph_.edges.push_back({from, net.index, net.index});
        }
    }

    // Keeps `corners` in this order around `hub`; three have but one order, up to a mirror.
    void ring(int hub, const std::vector<int>& corners) {
        for (std::size_t i = 0; i < corners.size(); ++i) {
            brace(hub, corners[i]);
            if (corners.size() > 3) {
                brace(corners[i], corners[(i + 1) % corners.size()]);
            }
        }
    }

    static std::vector<std::vector<int>> ring_of(const drawing::Symbol& symbol) {
        std::vector<std::pair<double, int>> around;
        const double x = (symbol.box.left + symbol.box.right) / 2;
        const double y = (symbol.box.top + symbol.box.bottom) / 2;
        for (const drawing::SymbolPin& pin : symbol.pins) {
            around.emplace_back(std::atan2(pin.at.y - y, pin.at.x - x), pin.pin);
        }
        std::sort(around.begin(), around.end());
        std::vector<std::vector<int>> groups;
        for (const auto& [angle, pin] : around) {
            groups.push_back({pin});
        }
        return groups;
    }

    static std::vector<std::vector<int>> sides_of(const drawing::Symbol& symbol) {
        std::array<std::vector<int>, 4> sides;
        for (const drawing::SymbolPin& pin : symbol.pins) {
            sides[static_cast<std::size_t>(pin.facing)].push_back(pin.pin);
        }
        std::vector<std::vector<int>> groups;
        std::copy_if(sides.begin(), sides.end(), std::back_inserter(groups), [](const auto& side) {
            return !side.empty();
        });
        return groups;
    }

    static std::vector<std::vector<int>> windings_of(const Part& part,
                                                     const drawing::Symbol& symbol) {
        std::vector<std::vector<int>> groups;
        for (const dossier::Winding& winding : part.said.windings) {
            groups.emplace_back();
            for (const auto& name : winding.pins) {
                if (const auto pin = part.pin(name.value)) {
                    groups.back().push_back(static_cast<int>(*pin));
                }
            }
        }
        return groups.empty() ? sides_of(symbol) : groups;
    }

    // The pins of a tapped winding keep their order; those of a side do not.
    void attach(const Part& part, const std::vector<int>& pins, int at) {
        const bool tapped = part.kind.symbol == "transformer" && pins.size() > 2;
        if (!tapped) {
            for (const int pin : pins) {
                wire(part, pin, at);
            }
            return;
        }
        std::vector<int> corners{vertex()};
        brace(at, corners[0]);
        for (const int pin : pins) {
            corners.push_back(vertex());
            wire(part, pin, corners.back());
        }
        ring(vertex(), corners);
    }

    void frame(const Part& part, const std::vector<std::vector<int>>& groups) {
        const int hub = vertex();
        const bool simple =
            groups.size() < 4 &&
            std::all_of(groups.begin(), groups.end(), [](const std::vector<int>& group) {
                return group.size() == 1;
            });
        if (simple || groups.size() == 1) {
            for (const std::vector<int>& group : groups) {
                attach(part, group, hub);
            }
            return;
        }
        std::vector<int> corners;
        for (const std::vector<int>& group : groups) {
            corners.push_back(vertex());
            attach(part, group, corners.back());
        }
        ring(hub, corners);
    }

    const std::vector<bool>& left_out_;
    PinGraph graph_;
};

}  // namespace

std::vector<bool> may_be_signs(const Circuit& circuit) {
    std::vector<bool> may;
    for (const circuit::Net& net : circuit.nets) {
        const bool fed =
            std::any_of(net.pins.begin(), net.pins.end(), [&](const circuit::PinRef& ref) {
                const std::string& kind = circuit[ref.part].kind.id;
                return kind == "dc_supply" || kind == "battery";
            });
        may.push_back(fed || net.role == "return" || net.role == "earth");
    }
    return may;
}

PinGraph pin_graph(const Circuit& circuit, const std::vector<bool>& left_out) {
    Builder builder(circuit, left_out);
    for (const Part& part : circuit.parts) {
        builder.add(part);
    }
    return builder.take();
}

}  // namespace etchback::gallery
