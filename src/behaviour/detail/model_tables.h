// What models know beside the dossier: usual parameters of devices, families of controllers,
// bodies.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "base/quantity.h"
#include "behaviour/controllers.h"
#include "circuit/circuit.h"
#include "parts/catalogue.h"

namespace etchback::behaviour {

namespace detail {

// One value of a parameter, for whatever the row's words fit; empty words fit all.
struct DeviceRow {
    std::string type;  // "4N65": this type and its variants
    std::string body;  // "SMA"
    std::string kind;  // id of a kind: "diode"
    std::string family;
    base::Quantity value;  // with its range
    std::string source;
};

struct DeviceParameter {
    std::string name;   // "junction_capacitance"
    std::string title;  // "junction capacitance"
    base::Unit unit = base::Unit::none;
    std::vector<DeviceRow> rows;
};

// Amplifiers and the like that sit in one chip: which pins belong to which.
struct ChipUnit {
    std::string kind;                                       // "op_amp"
    std::vector<std::pair<std::string, std::string>> pins;  // pin of the kind, pin of the chip
};
struct Chip {
    std::string type;  // "LM358"
    std::vector<ChipUnit> units;
    std::string source;
};

struct Devices {
    std::vector<DeviceParameter> parameters;
    std::vector<Chip> chips;

    const DeviceParameter* parameter(std::string_view name) const;
    // The row that fits best: by type before body, by body before kind, by kind before family.
    const DeviceRow* row(const DeviceParameter& parameter, const circuit::Part& part) const;
    const Chip* chip(std::string_view type) const;
};

// Reads data/behaviour/devices.toml. Every error has its place.
base::Result<Devices> load_devices(const std::filesystem::path& file,
                                   const parts::Catalogue& catalogue);
base::Result<Devices> read_devices(std::string_view text,
                                   const std::string& file,
                                   const parts::Catalogue& catalogue);

}  // namespace detail

struct Tables {
    detail::Devices devices;
    std::vector<Family> families;
    parts::Catalogue catalogue;
};

}  // namespace etchback::behaviour
