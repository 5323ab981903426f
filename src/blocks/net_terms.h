// What can be said of a net before any block is known: words that patterns use for their nets.
//
//   line        a mains line (live or neutral) or what fuses, chokes and small resistors tie to it
//   earth       protective earth
//   bus         the plus of the rectified mains, or what small resistors and coils tie to it
//   bus_return  its minus
//   return      the return of its domain
//   supply      feeds a chip's supply pin, or is a pole of a direct supply
//   switched    swings with every switching cycle (drain, collector, a controller's switch)
//   source      the plus of a direct supply, or what fuses, coils and small resistors tie to it
//   output      the plus of a rectified winding that feeds no chip; output_return its minus
//   mains       in a domain tied to the mains; isolated: in one that is not
//   outside     on a connector, terminal or load: somebody else's wire
//   input       on a chip's input pin
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "circuit/circuit.h"
#include "circuit/domains.h"

namespace etchback::blocks {

// All words, sorted.
const std::vector<std::string>& net_words();

class NetTerms {
public:
    NetTerms(const circuit::Circuit& circuit,
             const circuit::Domains& domains,
             const dossier::Dossier& dossier);
    bool has(circuit::NetId net, std::string_view word) const;
    bool across_mains(circuit::NetId a, circuit::NetId b) const;
    bool same_domain(circuit::NetId a, circuit::NetId b) const;

private:
    void set(const std::vector<circuit::NetId>& nets, std::string_view word);

    std::vector<unsigned> words_;  // by net, a bit per word
    std::vector<char> line_;       // by net: 1 live, 2 neutral, else 0
    std::vector<int> domain_;
};

}  // namespace etchback::blocks
