// Families of controllers as event-driven machines.
//
// A family is a file data/controllers/*.toml: how a dossier calls it, its pins by role, its usual
// numbers with range and source, and the machine that plays it. docs/controllers.md describes
// each machine and how a family is added.
//
// Roles of pins: supply, return, drive, sense, feedback, compensation, detect, enable, output,
// high_voltage (start source), drain and source (of a switch inside), drain_2 ... drain_4 (further
// sections of a linear driver). One pin may play two roles.
#pragma once

#include <filesystem>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "base/error.h"
#include "base/quantity.h"
#include "behaviour/machine.h"
#include "behaviour/network.h"

namespace etchback::behaviour {

// One threshold or property of a family, with the value to use when the dossier gives none.
struct FamilyNumber {
    std::string name;  // "start", "current_limit", "minimum_off_time"
    std::string words;
    base::Quantity usual;  // with its range
    std::string source;
    bool operator==(const FamilyNumber&) const = default;
};

struct Family {
    std::string family;             // as a dossier says it: "flyback, fixed frequency, optocoupler"
    std::vector<std::string> also;  // other ways to say it
    std::string behaviour;          // the machine that plays it: "fixed-frequency flyback"
    std::string words;              // how it works, in sentences
    std::map<std::string, std::vector<std::string>>
        pins;                         // role -> names by which dossiers call it
    std::vector<std::string> needed;  // roles that must be on a net
    std::vector<FamilyNumber> numbers;
};
// Every family in `folder`, in the order of the files' names, or all that is wrong with the files.
base::Result<std::vector<Family>> load_families(const std::filesystem::path& folder);

// The family that a dossier means. Case, punctuation and the order of words don't matter; words may
// be missing or more than the family has. Nothing where no family has at least two words in common
// (or its only one), or where two families fit equally well.
const Family* find_family(const std::vector<Family>& families, std::string_view written);

// What a machine is wired to. Models fill it in.
struct ControllerWiring {
    std::string part;                       // "U1"
    std::map<std::string, NodeId> pins;     // by role; "return" is always there
    std::map<std::string, double> numbers;  // by name, SI units; dossier first, then the family's
    std::map<std::string, bool> tied;       // role -> the pin sits on the controller's return
    // The transistor that the drive pin works, where the model found one; a chip with its own
    // switch has none and gets a switch between the roles "drain" and "source" (or "return").
    std::optional<SwitchId> power_switch;
    std::optional<NodeId> switch_node;  // drain or collector
    std::optional<NodeId> switch_source;
    OwnerId owner;
};

// Adds the controller's elements (supply current, pull-ups, clamps) to `network` and returns its
// machine. Fails with sentences where a needed pin or number is absent or makes no sense. Parts
// that stand at the compensation pin should be in the network before: only a pin without a
// capacitor gets the one inside.
base::Result<std::unique_ptr<Machine>> make_controller(Network& network,
                                                       const Family& family,
                                                       const ControllerWiring& wiring);

}  // namespace etchback::behaviour
