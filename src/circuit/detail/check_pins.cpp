// Pins without nets, nets without pins, parts that their own net shorts, values that are missing.
#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "base/text.h"
#include "circuit/detail/islands.h"
#include "circuit/detail/sanity_checks.h"

namespace etchback::circuit::detail {

namespace {

using parts::Coupling;

bool on_any_net(const Part& part) {
    return std::any_of(
        part.pins.begin(), part.pins.end(), [](const Pin& pin) { return pin.net.known(); });
}

// pins = { anode = "...", cathode = "..." }
std::string pins_to_write(const Part& part) {
    std::vector<std::string> pins;
    for (const parts::PinSpec& spec : part.kind.pins) {
        if (!spec.optional) {
            pins.push_back(spec.name + " = \"...\"");
        }
    }
    if (pins.empty()) {
        pins = {"1 = \"...\"", "2 = \"...\""};
    }
    return fmt::format("pins = {{ {} }}", fmt::join(pins, ", "));
}

void complain_of_no_pins(const Part& part, Complaints& out) {
    out.push_back({ComplaintKind::pin_on_no_net,
                   {part.said.place,
                    fmt::format("{} is on no net", part.name),
                    fmt::format("write {} with the nets' names, or fitted = false if its place on "
                                "the board is empty",
                                pins_to_write(part))},
                   {part.name},
                   {},
                   part.kind.id == "unknown"});
}

bool is_spare(const Part& part, std::size_t pin) {
    return pin < part.kind.pins.size() && part.kind.pins[pin].optional;
}

// Ends that often lead nowhere, or off the board.
bool may_be_alone(const Circuit& circuit, const Net& net) {
    const PinRef ref = net.pins.front();
    const Part& part = circuit[ref.part];
    return part.kind.coupling == Coupling::none || part.kind.open_pins || part.kind.off_board ||
           is_spare(part, static_cast<std::size_t>(ref.pin)) || net.note.has_value();
}

std::string without_digits(std::string name) {
    std::erase_if(name, [](char c) { return c >= '0' && c <= '9'; });
    return name;
}

// "did you mean 'HV-'? ", for names long enough to be misspelt. Names that differ in their numbers
// alone (U4_PG, U5_PG) are different on purpose.
std::string guess_for(const Circuit& circuit, const Net& net) {
    constexpr std::size_t shortest = 3;
    std::vector<std::string> others;
    for (const Net& other : circuit.nets) {
        if (without_digits(other.name) != without_digits(net.name)) {
            others.push_back(other.name);
        }
    }
    const auto near =
        base::characters(net.name) < shortest ? std::nullopt : base::nearest_word(net.name, others);
    return near ? fmt::format("did you mean {}? ", in_quotes(*near)) : "";
}

struct Short {
    std::string what;
    NetId net;
    base::Place place;
};

// All of `pins` on one net. `whole` says what they are together: "both pins of R5".
std::optional<Short> short_of(const std::vector<const Pin*>& pins, const std::string& whole) {
    const bool one = pins.size() > 1 && std::all_of(pins.begin(), pins.end(), [&](const Pin* pin) {
                         return pin->net == pins.front()->net;
                     });
    if (!one) {
        return std::nullopt;
    }
    return Short{whole, pins.front()->net, pins.back()->place};
}

std::string all_text(std::size_t count) {
    return count == 2 ? "both pins" : "all pins";
}

std::vector<Short> shorts_of_bridge(const Part& part) {
    std::vector<Short> shorts;
    for (const auto& [a, b] : {std::pair("ac1", "ac2"), std::pair("plus", "minus")}) {
        const auto first = part.pin(a);
        const auto second = part.pin(b);
        if (first && second && part.pins[*first].net.known()) {
            const std::vector<const Pin*> pins{&part.pins[*first], &part.pins[*second]};
            if (auto found = short_of(pins, fmt::format("pins {} and {} of {}", a, b, part.name))) {
                shorts.push_back(std::move(*found));
            }
        }
    }
    return shorts;
}

std::vector<Short> shorts_of(const Part& part) {
    if (part.kind.coupling == Coupling::none && !is_mains(part)) {
        return {};  // a connector may have a net on many pins
    }
    if (part.kind.id == "bridge_rectifier") {
        return shorts_of_bridge(part);
    }
    std::map<std::string, std::vector<const Pin*>> sides;
    for (const Pin& pin : part.pins) {
        if (pin.net.known()) {
            sides[pin.side].push_back(&pin);
        }
    }
    std::vector<Short> shorts;
    for (const auto& [side, pins] : sides) {
        std::string whole = all_text(pins.size()) + " of ";
        whole += side.empty() || is_mains(part) ? "" : "the " + side + " of ";
        if (auto found = short_of(pins, whole + part.name)) {
            shorts.push_back(std::move(*found));
        }
    }
    return shorts;
}

}  // namespace

std::string in_quotes(std::string_view name) {
    return fmt::format("'{}'", name);
}

std::string pin_text(const Circuit& circuit, PinRef ref) {
    return fmt::format("pin {} of {}", circuit[ref].name, circuit[ref.part].name);
}

void check_pins(const Circuit& circuit, Complaints& out) {
    for (const Part& part : circuit.parts) {
        if (!on_any_net(part)) {
            complain_of_no_pins(part, out);
            continue;
        }
        for (std::size_t i = 0; i < part.pins.size(); ++i) {
            const Pin& pin = part.pins[i];
            if (pin.net.known() || is_spare(part, i)) {
                continue;
            }
            out.push_back({ComplaintKind::pin_on_no_net,
                           {pin.place,
                            fmt::format("pin {} of {} is on no net", pin.name, part.name),
                            fmt::format("write {} = \"...\" in its pins, with the name of its net",
                                        pin.name)},
                           {part.name},
                           {},
                           part.kind.open_pins});
        }
    }
}

void check_single_pins(const Circuit& circuit,
                       const std::set<std::string>& explained,
                       Complaints& out) {
    for (const Net& net : circuit.nets) {
        if (net.pins.size() != 1 || explained.contains(net.name)) {
            continue;
        }
        const PinRef ref = net.pins.front();
        const std::string guess = guess_for(circuit, net);
        out.push_back(
            {ComplaintKind::net_with_one_pin,
             {circuit[ref].place,
              fmt::format("net {} has only one pin, {}",
                          in_quotes(net.name),
                          pin_text(circuit, ref).substr(4)),
              guess + "follow its copper to the other pins, or look for its name on them"},
             {circuit[ref.part].name},
             {net.name},
             may_be_alone(circuit, net)});
    }
}

void check_shorts(const Circuit& circuit, Complaints& out) {
    for (const Part& part : circuit.parts) {
        const bool wire =
            part.kind.family == "jumper" || (part.kind.family == "resistor" && part.value() == 0.0);
        for (const Short& each : shorts_of(part)) {
            const std::string& net = circuit[each.net].name;
            out.push_back({ComplaintKind::part_shorted_by_its_own_net,
                           {each.place,
                            fmt::format("{} are on net {}", each.what, in_quotes(net)),
                            wire ? "give the nets on its two sides names of their own, or leave "
                                   "the part out"
                                 : "look at the copper again: one of them goes to another net"},
                           {part.name},
                           {net},
                           wire || part.kind.id == "unknown"});
        }
    }
}

void check_values(const Circuit& circuit, Complaints& out) {
    for (const Part& part : circuit.parts) {
        if (part.kind.value_needed && !part.said.value) {
            out.push_back(
                {ComplaintKind::value_missing,
                 {part.said.place,
                  fmt::format("{} has no value", part.name),
                  fmt::format("read its marking or measure it, and write value = \"...\"; "
                              "known = {{ value = \"assumed\" }} marks a guess")},
                 {part.name},
                 {},
                 false});
        }
    }
}

}  // namespace etchback::circuit::detail
