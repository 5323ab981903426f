#include "blocks/net_terms.h"

#include <algorithm>

#include "blocks/kinds.h"
#include "blocks/mains.h"
#include "blocks/outputs.h"

namespace etchback::blocks {

namespace {

using circuit::Circuit;
using circuit::NetId;
using circuit::Part;
using circuit::PartId;
using circuit::PinRef;

struct Rails {
    std::vector<NetId> plus, minus;
};

void add(std::vector<NetId>& nets, NetId net) {
    if (net.known()) {
        nets = united(std::move(nets), {net});
    }
}

// What is fed by diodes and bridges at the mains lines. With one diode alone the other line is the
// return.
Rails rectified(const Circuit& circuit, const MainsLines& mains) {
    Rails rails;
    for (const Part& part : circuit.parts) {
        if (is_bridge(part)) {
            if (mains.on_line(part.net("ac1")) || mains.on_line(part.net("ac2"))) {
                add(rails.plus, part.net("plus"));
                add(rails.minus, part.net("minus"));
            }
        } else if (is_diode(part)) {
            const auto p = poles(part);
            if (p && mains.on_line(p->positive) && !mains.on_line(p->negative)) {
                add(rails.plus, p->negative);
            }
            if (p && mains.on_line(p->negative) && !mains.on_line(p->positive)) {
                add(rails.minus, p->positive);
            }
        }
    }
    if (!rails.plus.empty() && rails.minus.empty()) {
        rails.minus = mains.neutral;
    }
    return rails;
}

// The poles of batteries and direct supplies.
Rails fed_directly(const Circuit& circuit) {
    Rails rails;
    for (const Part& part : circuit.parts) {
        if (part.kind.family == "source" && !is_mains(part)) {
            add(rails.plus, part.net("plus"));
            add(rails.minus, part.net("minus"));
        }
    }
    return rails;
}

bool is_outside(const Part& part) {
    return is_connector(part) || part.kind.off_board || is_mains(part);
}

}  // namespace

const std::vector<std::string>& net_words() {
    static const std::vector<std::string> words = {"bus",
                                                   "bus_return",
                                                   "earth",
                                                   "input",
                                                   "isolated",
                                                   "line",
                                                   "mains",
                                                   "output",
                                                   "output_return",
                                                   "outside",
                                                   "return",
                                                   "source",
                                                   "supply",
                                                   "switched"};
    return words;
}

NetTerms::NetTerms(const Circuit& circuit,
                   const circuit::Domains& domains,
                   const dossier::Dossier& dossier)
    : words_(circuit.nets.size(), 0u), line_(circuit.nets.size(), 0), domain_(domains.of_net) {
    const MainsLines mains = mains_lines(circuit, dossier);
    set(mains.live, "line");
    set(mains.neutral, "line");
    set(mains.earth, "earth");
    for (const NetId net : mains.live) {
        line_[static_cast<std::size_t>(net.index)] = 1;
    }
    for (const NetId net : mains.neutral) {
        line_[static_cast<std::size_t>(net.index)] = 2;
    }
    Rails rails = rectified(circuit, mains);
    const auto lines = united(mains.live, mains.neutral);
    set(tied(circuit, rails.plus, most_bus_ohm, united(lines, rails.minus)), "bus");
    set(rails.minus, "bus_return");
    for (const circuit::Domain& domain : domains.domains) {
        if (domain.reference.known()) {
            set({domain.reference}, "return");
        }
        set(domain.nets, domain.nature == circuit::Domain::Nature::mains ? "mains" : "isolated");
    }
    set(rails.minus, "return");
    const Rails fed = fed_directly(circuit);
    set(tied(circuit, fed.plus, most_bus_ohm, fed.minus), "source");
    for (const Output& output : outputs(circuit)) {
        if (!output.controller) {
            set(output.plus, "output");
            set(output.minus, "output_return");
        }
    }
    for (std::size_t n = 0; n < circuit.nets.size(); ++n) {
        const NetId net{static_cast<int>(n)};
        if (is_switching_net(circuit, net)) {
            set({net}, "switched");
        }
        for (const PinRef pin : circuit[net].pins) {
            const Part& part = circuit[pin.part];
            if (circuit[pin].role == parts::PinRole::supply) {
                set({net}, "supply");
            }
            if (is_high_impedance(circuit, pin)) {
                set({net}, "input");
            }
            if (part.kind.family == "source" && !is_mains(part)) {
                set({net}, "supply");
            }
            if (is_outside(part)) {
                set({net}, "outside");
            }
        }
    }
}

void NetTerms::set(const std::vector<NetId>& nets, std::string_view word) {
    const auto& words = net_words();
    const auto at = std::lower_bound(words.begin(), words.end(), word) - words.begin();
    for (const NetId net : nets) {
        words_[static_cast<std::size_t>(net.index)] |= 1u << at;
    }
}

bool NetTerms::has(NetId net, std::string_view word) const {
    const auto& words = net_words();
    const auto at = std::lower_bound(words.begin(), words.end(), word) - words.begin();
    return (words_[static_cast<std::size_t>(net.index)] >> at & 1u) != 0;
}

bool NetTerms::across_mains(NetId a, NetId b) const {
    return line_[static_cast<std::size_t>(a.index)] + line_[static_cast<std::size_t>(b.index)] == 3;
}

bool NetTerms::same_domain(NetId a, NetId b) const {
    return domain_[static_cast<std::size_t>(a.index)] == domain_[static_cast<std::size_t>(b.index)];
}

}  // namespace etchback::blocks
