// What cannot be right about a circuit as it is written down, each with its place.
//
// pin_on_no_net: a pin that the kind always has. Optional ones (a spare relay contact, protective
//   earth) are passed over, a part without any pin is told once.
// net_with_one_pin: doubtful on test points, connectors, chips and whatever is off the board.
// part_shorted_by_its_own_net: all pins of a part, of one winding, or of one side of an
// optocoupler;
//   also the two AC pins, or plus and minus, of a bridge rectifier. Doubtful on jumpers.
// unconnected_island: parts that nothing joins to the part of the circuit with the supply. Doubtful
//   if it has a supply of its own, or if a part that is not fitted would join it.
// two_names_for_one_net: names that differ in spaces, capitals or the minus sign only (by 0 and O,
// 1
//   and I, or underscores too: doubtful unless one of the nets has a single pin), and beeps between
//   nets with nothing below 50 ohm between them.
// one_name_for_two_nets: a continuity check that stayed silent within one net.
// impossible_polarity: where structure proves which of two nets is the more positive (a rectifier,
//   a battery, a chip's supply pins, a rectified winding, a voltage written beside a net) and a
//   polarised part stands across them the wrong way; electrolytics across the mains.
// Nothing is told twice: a net that has one pin because its name is misspelt is told once.
#pragma once

#include <string>
#include <vector>

#include "base/error.h"
#include "circuit/circuit.h"

namespace etchback::circuit {

enum class ComplaintKind {
    pin_on_no_net,
    net_with_one_pin,
    part_shorted_by_its_own_net,
    unconnected_island,
    two_names_for_one_net,
    one_name_for_two_nets,
    value_missing,
    impossible_polarity,
};

struct Complaint {
    ComplaintKind kind;
    base::Error error;               // place, what, what to do
    std::vector<std::string> parts;  // names concerned
    std::vector<std::string> nets;
    bool doubtful = false;  // may be meant so (an open test pin): does not fail `check`
};
std::string_view name_of(ComplaintKind kind);

// Sorted by place.
std::vector<Complaint> complaints(const Circuit& circuit, const dossier::Dossier& dossier);

}  // namespace etchback::circuit
