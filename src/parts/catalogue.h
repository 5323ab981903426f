// The catalogue of kinds and bodies, read once from data/parts and handed to whoever needs it.
#pragma once

#include <filesystem>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/error.h"
#include "parts/kind.h"

namespace etchback::parts {

// A body (package) with what is customary for it. Zero means "not known".
struct Body {
    std::string id;                    // "1206", "SOT-23", "axial 6.8 mm"
    std::vector<std::string> aliases;  // "3216 metric"
    std::string family;                // the family of kinds that this row speaks of: "resistor"
    double usual_power_w = 0.0;        // at 70 °C ambient
    double usual_voltage_v = 0.0;      // working voltage, DC or peak as `source` says
    double length_mm = 0.0;
    double width_mm = 0.0;
    int pins = 0;
    double pin_pitch_mm = 0.0;
    double row_mm = 0.0;  // between the middles of two rows of pads, or of the two pads of a chip
    // Pins on a grid of the pitch, row by row, "." an empty place, as seen from above: the lower
    // row, then the upper one: "1 2 3 / 5 . 4". Empty: counted round, or along the one row.
    std::string leads;
    bool through_hole = false;
    std::string source;
    bool from_memory = false;
    bool operator==(const Body&) const = default;
};

// What the pins of chips are called, in the order of preference: VCC, GND, DRV, FB ...
struct PinName {
    std::string name;
    PinRole role = PinRole::passive;
    bool operator==(const PinName&) const = default;
};

class Catalogue {
public:
    Catalogue(std::vector<Kind> kinds,
              std::vector<Body> bodies,
              std::vector<PinName> pin_names = {});

    // By id, title or alias; letters' case, spaces, hyphens and underscores do not matter.
    const Kind* find(std::string_view kind) const;
    // The nearest known kind's title for a word that `find` does not know.
    std::optional<std::string> suggestion(std::string_view kind) const;
    // A body of a family by id or alias, spelled loosely ("1206", "R1206", "SMD 1206"); of axial
    // bodies the one whose length is nearest ("axial 6.5 mm"), if within 15 %. Rows of no family
    // hold for all.
    const Body* body(std::string_view id, std::string_view family) const;

    // The usual role of a chip's pin by its name ("VDD1" as "VDD"); passive where it tells nothing.
    PinRole usual_role(std::string_view pin_name) const;

    const std::vector<Kind>& kinds() const { return kinds_; }    // sorted by id
    const std::vector<Body>& bodies() const { return bodies_; }  // sorted by family, id

private:
    std::vector<Kind> kinds_;
    std::vector<Body> bodies_;
    std::vector<PinName> pin_names_;
    std::map<std::string, std::size_t> by_word_;
};

// Reads every *.toml below `folder`, in the order of their names. Two kinds with one spelling, two
// pins of a kind with one name, and rows without a source are errors.
base::Result<Catalogue> load_catalogue(const std::filesystem::path& folder);

}  // namespace etchback::parts
