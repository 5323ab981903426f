// Semiconductor types that every maker sells alike, with their ratings (data/parts/types.toml).
#pragma once

#include <filesystem>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "base/error.h"
#include "parts/catalogue.h"

namespace etchback::parts {

// Ratings of one type. Zero means "not known". Where makers differ, the lower rating stands.
struct RegisteredType {
    std::string type;                // "1N4007"
    std::string kind;                // id of its kind: "diode"
    std::string body;                // the usual one: "DO-41"
    double reverse_voltage_v = 0.0;  // diode, bridge: repetitive peak
    double zener_voltage_v = 0.0;
    double zener_current_a = 0.0;  // at which the Zener voltage holds
    double tolerance_percent = 0.0;
    double main_voltage_v = 0.0;     // collector-emitter with open base, drain-source, off-state
    double current_a = 0.0;          // average forward, collector, drain or on-state
    double surge_current_a = 0.0;    // one half wave of the mains
    double forward_voltage_v = 0.0;  // largest, at `current_a` unless `note` says otherwise
    double recovery_s = 0.0;
    double on_resistance_ohm = 0.0;
    double power_w = 0.0;
    std::string leads;  // "E B C, flat face towards you, left to right"
    std::string note;
    std::string source;
    bool from_memory = false;
    bool operator==(const RegisteredType&) const = default;
};

// Reads the file; its kinds must be in the catalogue. Sorted by type.
base::Result<std::vector<RegisteredType>> load_types(const std::filesystem::path& file,
                                                     const Catalogue& catalogue);

// A type as somebody wrote it. Not exact: a variant (1N4148W for 1N4148, another tolerance of a
// Zener diode), whose body, current and tolerance may be others.
struct TypeMatch {
    const RegisteredType* type = nullptr;
    bool exact = false;
};
std::optional<TypeMatch> find_type(std::span<const RegisteredType> types, std::string_view written);

}  // namespace etchback::parts
