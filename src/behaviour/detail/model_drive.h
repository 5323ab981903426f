// How a controller's drive pin reaches the transistor that it works.
#pragma once

#include "behaviour/detail/model_builder.h"

namespace etchback::behaviour::detail {

// The family that a controller is taken for; "unknown controller" where it names none that is
// known. Nothing where even that is not in the tables.
const Family* family_of(const Builder& b, PartId id);
std::optional<std::size_t> drive_pin(const Builder& b, PartId id);

// A drive pin, the nets between it and the gates that it works, and the parts on them.
struct Drive {
    PartId controller;
    std::size_t pin = 0;
    std::set<NetId> nets;
    std::set<PartId> parts;        // two-pin parts with an end on those nets, and followers
    std::set<PartId> transistors;  // whose gate or base is on one of them
};
std::vector<Drive> find_drives(const Builder& b);

// Does the drive still reach that transistor with these faults? A fault that joins the drive to
// anything else, or opens the way, ends it.
bool reaches(const Builder& b,
             const Drive& drive,
             PartId transistor,
             const std::vector<Fault>& faults);

}  // namespace etchback::behaviour::detail
