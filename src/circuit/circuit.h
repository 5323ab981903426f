// The circuit: parts, pins and nets as a graph. Derived from a dossier, never edited.
//
// A pin is found by its name or an alias; letters' case does not matter. Pins that a kind does not
// list (of chips, connectors, transformers, unknown parts) keep the dossier's name; a chip's pin
// takes its role from that name where it tells one (VCC, GND, DRV). A transformer's pin is on the
// side of its winding, named as the winding is; on no winding, it is on a side of its own.
#pragma once

#include <compare>
#include <functional>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "dossier/dossier.h"
#include "parts/catalogue.h"

namespace etchback::circuit {

// Indices into Circuit::parts and Circuit::nets; types of their own, so that they can't be mixed.
struct PartId {
    int index = -1;
    auto operator<=>(const PartId&) const = default;
};
struct NetId {
    int index = -1;
    bool known() const { return index >= 0; }
    auto operator<=>(const NetId&) const = default;
};
struct PinRef {
    PartId part;
    int pin = -1;  // index into Part::pins
    auto operator<=>(const PinRef&) const = default;
};

struct Pin {
    std::string name;     // the kind's name for it, or the dossier's for open pins
    std::string written;  // as the dossier spells it
    parts::PinRole role = parts::PinRole::passive;
    std::string side;  // galvanic side inside the part, see parts::PinSpec
    NetId net;         // not known: on no net
    base::Place place;
    bool operator==(const Pin&) const = default;
};

struct Part {
    std::string name;
    parts::Kind kind;       // a kind of id "unknown", symbol "box" where the dossier names none
    dossier::Part said;     // the evidence about it
    std::vector<Pin> pins;  // the kind's pins in its order, then open pins in the file's order

    std::optional<double> value() const;  // nominal, in kind.value_unit
    std::optional<std::size_t> pin(std::string_view name) const;
    NetId net(std::string_view pin_name) const;  // not known where the pin or its net is absent
    bool operator==(const Part&) const = default;
};

struct Net {
    std::string name;
    std::vector<std::string> also;
    std::string role;          // from the dossier's note, or from mains pins; see dossier::NetNote
    std::vector<PinRef> pins;  // sorted
    std::optional<dossier::NetNote> note;
    base::Place place;
    bool operator==(const Net&) const = default;
};

struct Circuit {
    std::vector<Part> parts;  // fitted parts, in natural order of their names
    std::vector<Net> nets;    // in natural order of their names

    const Part& operator[](PartId id) const { return parts[static_cast<std::size_t>(id.index)]; }
    const Net& operator[](NetId id) const { return nets[static_cast<std::size_t>(id.index)]; }
    const Pin& operator[](PinRef ref) const {
        return (*this)[ref.part].pins[static_cast<std::size_t>(ref.pin)];
    }
    std::optional<PartId> part(std::string_view name) const;
    std::optional<NetId> net(std::string_view name) const;  // by name or other name
    std::vector<PartId> parts_on(NetId net) const;          // sorted, each once
    bool operator==(const Circuit&) const = default;
};

// Builds the graph. Never fails: what is not in order is told by complaints().
// Nets that a note gives as `also` are one net under the note's name.
Circuit build(const dossier::Dossier& dossier, const parts::Catalogue& catalogue);
Circuit build(const std::vector<dossier::Part>& parts,
              const std::vector<dossier::NetNote>& notes,
              const parts::Catalogue& catalogue);

}  // namespace etchback::circuit
