#include "circuit/circuit.h"

#include <algorithm>
#include <map>
#include <set>
#include <tuple>

#include "base/text.h"
#include "circuit/detail/net_names.h"

namespace etchback::circuit {

namespace {

bool name_less(std::string_view a, std::string_view b) {
    if (base::natural_less(a, b)) {
        return true;
    }
    return !base::natural_less(b, a) && a < b;  // "R1" and "R01" still have one order
}

bool place_less(const base::Place& a, const base::Place& b) {
    return std::tie(a.file, a.line, a.column) < std::tie(b.file, b.line, b.column);
}

parts::Kind box_kind(const parts::Catalogue& catalogue) {
    parts::Kind kind;
    if (const parts::Kind* known = catalogue.find("unknown")) {
        kind = *known;
    } else {
        kind.title = "part of unknown kind";
        kind.family = "unknown";
    }
    kind.id = "unknown";
    kind.symbol = "box";
    kind.open_pins = true;
    return kind;
}

parts::Kind kind_of(const dossier::Part& said, const parts::Catalogue& catalogue) {
    const std::string_view word = base::trimmed(said.kind.value);
    if (!word.empty() && base::lowered(word) != "unknown") {
        if (const parts::Kind* known = catalogue.find(word)) {
            return *known;
        }
    }
    return box_kind(catalogue);
}

// The kind's pin that the dossier means by `written`. Numbers count the pins of parts that work
// either way round; on others a bare number says nothing of the pin's purpose.
std::optional<std::size_t> kind_pin(const parts::Kind& kind, std::string_view written) {
    if (const auto named = kind.pin(written)) {
        return named;
    }
    if (kind.pins.size() == 2 && !kind.polarised && (written == "1" || written == "2") &&
        kind.pins[0].role == kind.pins[1].role) {
        return written == "1" ? 0 : 1;
    }
    return std::nullopt;
}

// The side that a pin of a transformer is on: the name of its winding.
std::optional<std::string> winding_side(const Pin& pin, const dossier::Part& said) {
    for (std::size_t w = 0; w < said.windings.size(); ++w) {
        for (const dossier::Text& used : said.windings[w].pins) {
            if (used.value == pin.written || used.value == pin.name) {
                const std::string& name = said.windings[w].name.value;
                return name.empty() ? "winding " + std::to_string(w + 1) : name;
            }
        }
    }
    return std::nullopt;
}

void set_sides(Part& part) {
    const bool separate = part.kind.coupling == parts::Coupling::magnetic ||
                          part.kind.coupling == parts::Coupling::optical;
    for (Pin& pin : part.pins) {
        if (const auto side = winding_side(pin, part.said)) {
            pin.side = *side;
        } else if (separate && pin.side.empty()) {
            pin.side = "pin " + pin.name;  // on nothing that we know of: tied to nothing
        }
    }
}

// What a pin that the kind does not list is for: on chips, its name tells.
parts::PinRole open_role(const parts::Kind& kind,
                         std::string_view written,
                         const parts::Catalogue& catalogue) {
    const bool names_mean_something =
        kind.coupling == parts::Coupling::conductive && kind.open_pins;
    return names_mean_something ? catalogue.usual_role(written) : parts::PinRole::passive;
}

struct Wiring {
    Part part;
    std::vector<std::string> nets;  // per pin; empty: on none
};

Wiring wire(const dossier::Part& said,
            const parts::Catalogue& catalogue,
            const detail::NetNames& names) {
    Wiring out{Part{said.name, kind_of(said, catalogue), said, {}}, {}};
    for (const parts::PinSpec& spec : out.part.kind.pins) {
        out.part.pins.push_back({spec.name, "", spec.role, spec.side, {}, said.place});
    }
    out.nets.resize(out.part.pins.size());
    for (const dossier::PinUse& use : said.pins) {
        const std::string net = names.canonical(std::string(base::trimmed(use.net)));
        Pin pin{use.pin, use.pin, open_role(out.part.kind, use.pin, catalogue), "", {}, use.place};
        const auto known = kind_pin(out.part.kind, use.pin);
        if (known) {
            const parts::PinSpec& spec = out.part.kind.pins[*known];
            pin = {spec.name, use.pin, spec.role, spec.side, {}, use.place};
            Pin& seat = out.part.pins[*known];
            if (seat.written.empty()) {
                seat = pin;
                out.nets[*known] = net;
                continue;
            }
            if (out.nets[*known] == net) {
                continue;  // several pads of one pin
            }
        }
        out.part.pins.push_back(pin);  // open, or one pin written twice on different nets
        out.nets.push_back(net);
    }
    set_sides(out.part);
    return out;
}

std::string role_from(const Pin& pin) {
    if (pin.role == parts::PinRole::earth) {
        return "earth";
    }
    if (pin.role == parts::PinRole::line) {
        return base::lowered(pin.name).starts_with("n") ? "neutral" : "live";
    }
    return "";
}

void set_role(Net& net, const Circuit& circuit) {
    if (net.note && !net.note->role.value.empty()) {
        net.role = net.note->role.value;
        return;
    }
    for (const PinRef& ref : net.pins) {
        const bool tells =
            circuit[ref.part].kind.id == "mains" || circuit[ref].role == parts::PinRole::earth;
        if (tells && net.role.empty()) {
            net.role = role_from(circuit[ref]);
        }
    }
}

void set_place(Net& net, const Circuit& circuit) {
    if (net.note) {
        net.place = net.note->place;
        return;
    }
    net.place = circuit[net.pins.front()].place;
    for (const PinRef& ref : net.pins) {
        if (place_less(circuit[ref].place, net.place)) {
            net.place = circuit[ref].place;
        }
    }
}

std::vector<Net> make_nets(const std::vector<Wiring>& wirings, const detail::NetNames& names) {
    std::set<std::string> used;
    for (const Wiring& wiring : wirings) {
        used.insert(wiring.nets.begin(), wiring.nets.end());
    }
    used.erase("");
    std::vector<Net> nets;
    for (const std::string& name : used) {
        Net net;
        net.name = name;
        net.also = names.others(name);
        if (const dossier::NetNote* note = names.note(name)) {
            net.note = *note;
        }
        nets.push_back(std::move(net));
    }
    std::sort(nets.begin(), nets.end(), [](const Net& a, const Net& b) {
        return name_less(a.name, b.name);
    });
    return nets;
}

}  // namespace

std::optional<double> Part::value() const {
    return said.value ? std::optional(said.value->value.value) : std::nullopt;
}

std::optional<std::size_t> Part::pin(std::string_view pin_name) const {
    if (const auto known = kind_pin(kind, pin_name); known && *known < pins.size()) {
        return known;
    }
    const std::string wanted = base::lowered(pin_name);
    for (std::size_t i = 0; i < pins.size(); ++i) {
        if (base::lowered(pins[i].name) == wanted || base::lowered(pins[i].written) == wanted) {
            return i;
        }
    }
    return std::nullopt;
}

NetId Part::net(std::string_view pin_name) const {
    const auto index = pin(pin_name);
    return index ? pins[*index].net : NetId{};
}

std::optional<PartId> Circuit::part(std::string_view name) const {
    for (std::size_t i = 0; i < parts.size(); ++i) {
        if (parts[i].name == name) {
            return PartId{static_cast<int>(i)};
        }
    }
    return std::nullopt;
}

std::optional<NetId> Circuit::net(std::string_view name) const {
    for (std::size_t i = 0; i < nets.size(); ++i) {
        const std::vector<std::string>& also = nets[i].also;
        if (nets[i].name == name || std::find(also.begin(), also.end(), name) != also.end()) {
            return NetId{static_cast<int>(i)};
        }
    }
    return std::nullopt;
}

std::vector<PartId> Circuit::parts_on(NetId net) const {
    std::vector<PartId> found;
    if (!net.known()) {
        return found;
    }
    for (const PinRef& ref : (*this)[net].pins) {
        if (found.empty() || found.back() != ref.part) {
            found.push_back(ref.part);
        }
    }
    return found;
}

Circuit build(const dossier::Dossier& dossier, const parts::Catalogue& catalogue) {
    return build(dossier.parts, dossier.nets, catalogue);
}

Circuit build(const std::vector<dossier::Part>& parts,
              const std::vector<dossier::NetNote>& notes,
              const parts::Catalogue& catalogue) {
    const detail::NetNames names(notes);
    std::vector<Wiring> wirings;
    for (const dossier::Part& said : parts) {
        if (said.fitted) {
            wirings.push_back(wire(said, catalogue, names));
        }
    }
    std::stable_sort(wirings.begin(), wirings.end(), [](const Wiring& a, const Wiring& b) {
        return name_less(a.part.name, b.part.name);
    });

    Circuit circuit;
    circuit.nets = make_nets(wirings, names);
    std::map<std::string, NetId> ids;
    for (std::size_t i = 0; i < circuit.nets.size(); ++i) {
        ids[circuit.nets[i].name] = NetId{static_cast<int>(i)};
    }
    for (Wiring& wiring : wirings) {
        const PartId id{static_cast<int>(circuit.parts.size())};
        for (std::size_t i = 0; i < wiring.nets.size(); ++i) {
            if (!wiring.nets[i].empty()) {
                const NetId net = ids.at(wiring.nets[i]);
                wiring.part.pins[i].net = net;
                circuit.nets[static_cast<std::size_t>(net.index)].pins.push_back(
                    {id, static_cast<int>(i)});
            }
        }
        circuit.parts.push_back(std::move(wiring.part));
    }
    for (Net& net : circuit.nets) {
        set_role(net, circuit);
        set_place(net, circuit);
    }
    return circuit;
}

}  // namespace etchback::circuit
