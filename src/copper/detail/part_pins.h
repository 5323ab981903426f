// Pins by their names, which may be a kind's, its other names or numbers.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "dossier/dossier.h"
#include "parts/catalogue.h"

namespace etchback::copper::detail {

// `kind` may be null.
bool same_pin(const parts::Kind* kind, std::string_view a, std::string_view b);

// What the dossier calls the pin with a number: as it writes it, else as its kind does. Nothing
// where the kind's pins have names only, so that the number says nothing.
std::optional<std::string> pin_numbered(const dossier::Part& part,
                                        const parts::Kind* kind,
                                        const std::string& number);

// The pin as the part's `pins` have it; as it is where they have not.
std::string as_in_pins(const dossier::Part& part, const parts::Kind* kind, const std::string& pin);

// The net that the person wrote for a pin; empty: none.
std::string written_net(const dossier::Part& part, const parts::Kind* kind, std::string_view pin);

}  // namespace etchback::copper::detail
