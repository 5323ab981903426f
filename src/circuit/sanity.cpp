#include "circuit/sanity.h"

#include <algorithm>
#include <set>
#include <tuple>

#include "circuit/detail/sanity_checks.h"

namespace etchback::circuit {

namespace {

// Nets whose single pin is told by another complaint: a misspelt name, a part that hangs in the
// air.
std::set<std::string> explained_nets(const std::vector<Complaint>& complaints) {
    std::set<std::string> nets;
    for (const Complaint& complaint : complaints) {
        const bool alone =
            complaint.kind == ComplaintKind::unconnected_island && complaint.parts.size() == 1;
        if (complaint.kind == ComplaintKind::two_names_for_one_net || alone) {
            nets.insert(complaint.nets.begin(), complaint.nets.end());
        }
    }
    return nets;
}

}  // namespace

std::string_view name_of(ComplaintKind kind) {
    switch (kind) {
        case ComplaintKind::pin_on_no_net:
            return "pin_on_no_net";
        case ComplaintKind::net_with_one_pin:
            return "net_with_one_pin";
        case ComplaintKind::part_shorted_by_its_own_net:
            return "part_shorted_by_its_own_net";
        case ComplaintKind::unconnected_island:
            return "unconnected_island";
        case ComplaintKind::two_names_for_one_net:
            return "two_names_for_one_net";
        case ComplaintKind::one_name_for_two_nets:
            return "one_name_for_two_nets";
        case ComplaintKind::value_missing:
            return "value_missing";
        case ComplaintKind::impossible_polarity:
            return "impossible_polarity";
    }
    return "";
}

std::vector<Complaint> complaints(const Circuit& circuit, const dossier::Dossier& dossier) {
    std::vector<Complaint> out;
    detail::check_names(circuit, out);
    detail::check_beeps(circuit, dossier, out);
    detail::check_islands(circuit, dossier, out);
    detail::check_single_pins(circuit, explained_nets(out), out);
    detail::check_pins(circuit, out);
    detail::check_shorts(circuit, out);
    detail::check_values(circuit, out);
    detail::check_polarity(circuit, out);
    std::stable_sort(out.begin(), out.end(), [](const Complaint& a, const Complaint& b) {
        const auto key = [](const Complaint& c) {
            const base::Place& place = c.error.place;
            return std::tie(place.file, place.line, place.column, c.kind, c.error.what);
        };
        return key(a) < key(b);
    });
    return out;
}

}  // namespace etchback::circuit
