// Families of controllers as event-driven machines (data/controllers/*.toml has their numbers).
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
    std::string family;     // as a dossier says it: "flyback, fixed frequency, optocoupler"
    std::string behaviour;  // the machine that plays it: "fixed-frequency flyback"
    std::string words;      // how it works, in sentences
    std::map<std::string, std::vector<std::string>>
        pins;                         // role -> names by which dossiers call it
    std::vector<std::string> needed;  // roles that must be on a net
    std::vector<FamilyNumber> numbers;
};
base::Result<std::vector<Family>> load_families(const std::filesystem::path& folder);
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
// machine. Fails with sentences where a needed pin or number is absent.
base::Result<std::unique_ptr<Machine>> make_controller(Network& network,
                                                       const Family& family,
                                                       const ControllerWiring& wiring);

}  // namespace etchback::behaviour
