// The checks of sanity.h, one family each. They add to `out`, in no special order.
#pragma once

#include <set>
#include <string>
#include <vector>

#include "circuit/circuit.h"
#include "circuit/sanity.h"

namespace etchback::circuit::detail {

using Complaints = std::vector<Complaint>;

void check_names(const Circuit& circuit, Complaints& out);
void check_beeps(const Circuit& circuit, const dossier::Dossier& dossier, Complaints& out);
void check_islands(const Circuit& circuit, const dossier::Dossier& dossier, Complaints& out);
void check_pins(const Circuit& circuit, Complaints& out);
// Not for nets in `explained`: another complaint tells why they have one pin.
void check_single_pins(const Circuit& circuit,
                       const std::set<std::string>& explained,
                       Complaints& out);
void check_shorts(const Circuit& circuit, Complaints& out);
void check_values(const Circuit& circuit, Complaints& out);
void check_polarity(const Circuit& circuit, Complaints& out);

// "pin 2 of R5".
std::string pin_text(const Circuit& circuit, PinRef ref);
// "'HV+'".
std::string in_quotes(std::string_view name);

}  // namespace etchback::circuit::detail
