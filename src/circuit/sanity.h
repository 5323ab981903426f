// What cannot be right about a circuit as it is written down, each with its place.
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
