#include "behaviour/detail/model_drive.h"

#include <fmt/format.h>

#include <algorithm>

#include "base/text.h"
#include "behaviour/detail/model_parts.h"

namespace etchback::behaviour::detail {
namespace {

using circuit::Part;

bool is_transistor(const Part& part) {
    return part.pin("gate").has_value() ? part.kind.family == "transistor"
                                        : part.pin("base").has_value();
}

std::string_view control_pin(const Part& part) {
    return part.pin("gate") ? "gate" : "base";
}

bool is_passage(const Part& part) {
    return part.pins.size() == 2 && part.pins[0].net.known() && part.pins[1].net.known() &&
           (part.kind.family == "resistor" || part.kind.family == "diode" ||
            part.kind.family == "jumper" || part.kind.id == "ferrite_bead");
}

// Resistors up to here pass a drive; above, they are pull-downs or something else.
bool passes_drive(const Part& part) {
    const auto value = part.value();
    return part.kind.family != "resistor" || !value || *value < 2000.0;
}

bool is_rail(const Builder& b, NetId net) {
    const std::string& role = b.circuit[net].role;
    if (!role.empty() || b.net(net) == reference || b.net(net) == b.return_of(net)) {
        return true;
    }
    // A net that feeds a chip or stores charge is no drive net.
    return std::any_of(
        b.circuit[net].pins.begin(), b.circuit[net].pins.end(), [&](const circuit::PinRef& ref) {
            const Part& part = b.part(ref.part);
            return b.circuit[ref].role == parts::PinRole::supply ||
                   (part.kind.family == "capacitor" && part.value().value_or(0.0) > 0.1e-6);
        });
}

bool holds_gate(const Builder& b, NetId net) {
    return std::any_of(
        b.circuit[net].pins.begin(), b.circuit[net].pins.end(), [&](const circuit::PinRef& ref) {
            return b.part(ref.part).kind.family == "transistor" && b.circuit[ref].name == "gate";
        });
}

bool is_power_end(const Builder& b, NetId net) {
    if (holds_gate(b, net)) {
        return false;  // what else is there serves the gate: a transistor that empties it
    }
    return std::any_of(
        b.circuit[net].pins.begin(), b.circuit[net].pins.end(), [&](const circuit::PinRef& ref) {
            const Part& part = b.part(ref.part);
            const std::string& name = b.circuit[ref].name;
            return is_transistor(part) && name != control_pin(part);
        });
}

// A bipolar transistor that only strengthens the drive: a gate hangs on its emitter, at once or
// behind a resistor.
bool is_follower(const Builder& b, PartId id) {
    const Part& part = b.part(id);
    const NetId emitter = part.net("emitter");
    if (!part.pin("base") || !emitter.known() || is_rail(b, emitter)) {
        return false;
    }
    if (holds_gate(b, emitter)) {
        return true;
    }
    const auto near = b.circuit.parts_on(emitter);
    return std::any_of(near.begin(), near.end(), [&](PartId other) {
        const Part& passage = b.part(other);
        if (!is_passage(passage) || !passes_drive(passage)) {
            return false;
        }
        const bool first = passage.pins[0].net == emitter;
        return holds_gate(b, passage.pins[first ? 1 : 0].net);
    });
}

// Nets that a drive reaches from its pin, through resistors and the diodes beside them.
Drive follow(const Builder& b, PartId controller, std::size_t pin) {
    Drive drive;
    drive.controller = controller;
    drive.pin = pin;
    std::vector<NetId> open{b.part(controller).pins[pin].net};
    while (!open.empty()) {
        const NetId net = open.back();
        open.pop_back();
        if (!drive.nets.insert(net).second) {
            continue;
        }
        for (const PartId id : b.circuit.parts_on(net)) {
            const Part& part = b.part(id);
            if (is_transistor(part) && part.net(control_pin(part)) == net) {
                if (is_follower(b, id)) {
                    drive.parts.insert(id);
                    open.push_back(part.net("emitter"));
                } else {
                    drive.transistors.insert(id);
                }
            }
            if (!is_passage(part) || !passes_drive(part)) {
                continue;
            }
            const NetId other = part.pins[0].net == net ? part.pins[1].net : part.pins[0].net;
            if (!is_rail(b, other) && !is_power_end(b, other)) {
                open.push_back(other);
            }
        }
    }
    for (const NetId net : drive.nets) {
        for (const PartId id : b.circuit.parts_on(net)) {
            if (b.part(id).pins.size() == 2 && id != controller) {
                drive.parts.insert(id);
            }
        }
    }
    return drive;
}

bool is_open(const Part& part, std::size_t pin, const std::vector<Fault>& faults) {
    return std::any_of(faults.begin(), faults.end(), [&](const Fault& f) {
        return f.kind == Fault::Kind::open && f.part == part.name &&
               (f.pin.empty() || part.pin(f.pin) == pin);
    });
}

// Does one of the faults join a drive net to a net outside of the drive?
bool is_spoiled(const Builder& b, const Drive& drive, const std::vector<Fault>& faults) {
    return std::any_of(faults.begin(), faults.end(), [&](const Fault& f) {
        const auto id = b.circuit.part(f.part);
        if (!id || f.kind == Fault::Kind::open) {
            return false;
        }
        const Part& part = b.part(*id);
        const bool shorted = f.kind == Fault::Kind::shorted;
        const auto one = shorted ? std::optional<std::size_t>(0) : part.pin(f.pin);
        const auto two = shorted ? std::optional<std::size_t>(1) : part.pin(f.other_pin);
        if (!one || !two || *one >= part.pins.size() || *two >= part.pins.size()) {
            return false;
        }
        return drive.nets.contains(part.pins[*one].net) != drive.nets.contains(part.pins[*two].net);
    });
}

}  // namespace

std::vector<Drive> find_drives(const Builder& b) {
    std::vector<Drive> out;
    for (std::size_t p = 0; p < b.circuit.parts.size(); ++p) {
        const PartId id{static_cast<int>(p)};
        if (b.part(id).kind.id != "controller") {
            continue;
        }
        const auto pin = drive_pin(b, id);
        if (pin && !is_rail(b, b.part(id).pins[*pin].net)) {
            Drive drive = follow(b, id, *pin);
            if (!drive.transistors.empty()) {
                out.push_back(std::move(drive));
            }
        }
    }
    return out;
}

bool reaches(const Builder& b,
             const Drive& drive,
             PartId transistor,
             const std::vector<Fault>& faults) {
    const Part& target = b.part(transistor);
    const Part& controller = b.part(drive.controller);
    if (is_spoiled(b, drive, faults) || is_open(controller, drive.pin, faults) ||
        is_open(target, *target.pin(control_pin(target)), faults)) {
        return false;
    }
    std::set<NetId> met;
    std::vector<NetId> open{controller.pins[drive.pin].net};
    while (!open.empty()) {
        const NetId net = open.back();
        open.pop_back();
        if (!met.insert(net).second) {
            continue;
        }
        for (const PartId id : drive.parts) {
            const Part& part = b.part(id);
            if (part.kind.id == "npn_transistor" && part.net("base") == net &&
                !is_open(part, *part.pin("base"), faults) &&
                !is_open(part, *part.pin("collector"), faults) &&
                !is_open(part, *part.pin("emitter"), faults)) {
                open.push_back(part.net("emitter"));  // a PNP one only empties the gate
            }
            if (!is_passage(part) || !passes_drive(part) || is_open(part, 0, faults) ||
                is_open(part, 1, faults)) {
                continue;
            }
            // A diode passes the drive from its anode on.
            const bool diode = part.kind.family == "diode";
            const NetId from = diode ? part.net("anode") : part.pins[0].net;
            const NetId to = diode ? part.net("cathode") : part.pins[1].net;
            if (from == net && drive.nets.contains(to)) {
                open.push_back(to);
            } else if (!diode && to == net && drive.nets.contains(from)) {
                open.push_back(from);
            }
        }
    }
    return met.contains(target.net(control_pin(target)));
}

void find_driven_transistors(Builder& b) {
    for (const Drive& drive : find_drives(b)) {
        bool any = false;
        for (const PartId transistor : drive.transistors) {
            if (!reaches(b, drive, transistor, b.options.faults)) {
                b.note(fmt::format("{}: the fault takes its drive away", b.part(transistor).name));
                const auto [high, low] = power_ends(b, transistor);
                b.driven[transistor] = {std::nullopt, high, low, drive.controller};
                continue;
            }
            any = true;
            std::vector<std::size_t> lost;
            for (std::size_t f = 0; f < b.options.dormant.size(); ++f) {
                if (!reaches(b, drive, transistor, {b.options.dormant[f]})) {
                    lost.push_back(f);
                }
            }
            make_driven(b, drive.controller, transistor, lost);
        }
        if (!any) {
            continue;
        }
        std::vector<std::string> names;
        for (const PartId id : drive.parts) {
            b.silent.insert(id);
            names.push_back(b.part(id).name);
        }
        if (!names.empty()) {
            b.note(
                fmt::format("{}: what happens in the drive of the gate is not simulated; the "
                            "transistor follows {} at once",
                            base::listed(names),
                            b.part(drive.controller).name));
        }
    }
}

}  // namespace etchback::behaviour::detail
