// Faults that are put in: open pins, shorts, bridges, and the same asleep.
#include <fmt/format.h>

#include <algorithm>

#include "behaviour/detail/model_builder.h"

namespace etchback::behaviour::detail {

void Builder::check_faults(const std::vector<Fault>& faults) {
    const auto say = [&](std::string what, std::string todo) {
        errors.push_back({{}, std::move(what), std::move(todo)});
    };
    for (const Fault& fault : faults) {
        const auto id = circuit.part(fault.part);
        if (!id) {
            say(fmt::format("the fault '{}' speaks of no part", fault.id()),
                "name a fitted part of the circuit");
            continue;
        }
        for (const std::string& pin : {fault.pin, fault.other_pin}) {
            if (!pin.empty() && !part(*id).pin(pin)) {
                say(fmt::format("{} has no pin '{}'", fault.part, pin), "name a pin of the part");
            }
        }
        if (fault.kind == Fault::Kind::shorted && part(*id).pins.size() != 2) {
            say(fmt::format("{} has not two pins", fault.part),
                "bridge two of its pins instead of shorting all of it");
        }
        if (fault.kind == Fault::Kind::bridged && (fault.pin.empty() || fault.other_pin.empty())) {
            say(fmt::format("the bridge on {} has one end", fault.part), "name two pins");
        }
    }
}

// The pins that a fault opens: the one that it names, one of two, or all of more.
std::vector<circuit::PinRef> Builder::opened_by(const Fault& fault) const {
    std::vector<circuit::PinRef> out;
    const auto id = circuit.part(fault.part);
    if (!id || fault.kind != Fault::Kind::open) {
        return out;
    }
    const auto& pins = part(*id).pins;
    const auto only = fault.pin.empty() ? std::nullopt : part(*id).pin(fault.pin);
    const std::size_t many = pins.size() == 2 ? 1 : pins.size();
    for (std::size_t p = 0; p < pins.size(); ++p) {
        if (only ? p == *only : fault.pin.empty() && p < many) {
            out.push_back({*id, static_cast<int>(p)});
        }
    }
    return out;
}

std::optional<std::pair<circuit::PinRef, circuit::PinRef>> Builder::joined_by(
    const Fault& fault) const {
    const auto id = circuit.part(fault.part);
    if (!id || fault.kind == Fault::Kind::open) {
        return std::nullopt;
    }
    const bool shorted = fault.kind == Fault::Kind::shorted;
    const auto one = shorted ? std::optional<std::size_t>(0) : part(*id).pin(fault.pin);
    const auto two = shorted ? std::optional<std::size_t>(1) : part(*id).pin(fault.other_pin);
    if (!one || !two || *one >= part(*id).pins.size() || *two >= part(*id).pins.size()) {
        return std::nullopt;
    }
    return std::pair(circuit::PinRef{*id, static_cast<int>(*one)},
                     circuit::PinRef{*id, static_cast<int>(*two)});
}

void Builder::put_in_faults() {
    const OwnerId owner = options.faults.empty() ? OwnerId{} : network().owner("fault");
    for (const Fault& fault : options.faults) {
        const auto ends = joined_by(fault);
        if (!ends) {
            continue;
        }
        const NodeId a = pin(ends->first.part, static_cast<std::size_t>(ends->first.pin));
        const NodeId b = pin(ends->second.part, static_cast<std::size_t>(ends->second.pin));
        if (a != b) {
            network().add("fault: " + fault.id(), a, b, Conductance{fault_siemens}, owner);
        }
    }
}

void Builder::put_in_dormant_faults() {
    for (std::size_t f = 0; f < options.dormant.size(); ++f) {
        if (model.dormant[f].id.index >= 0) {
            continue;  // opens a pin, or takes a drive away
        }
        const std::string what = "dormant: " + options.dormant[f].id();
        NodeId a = reference, b = reference;
        if (const auto ends = joined_by(options.dormant[f])) {
            a = pin(ends->first.part, static_cast<std::size_t>(ends->first.pin));
            b = pin(ends->second.part, static_cast<std::size_t>(ends->second.pin));
        }
        if (a == b) {  // without effect: a part that is not simulated, or pins of one net
            b = network().node(what);
            network().add("tie of " + what, b, reference, Conductance{1e-9});
        }
        model.dormant[f] = {network().add_switch(what, a, b, {fault_siemens, dormant_leak, false}),
                            true};
    }
}

}  // namespace etchback::behaviour::detail
