// Readings for tests, as a dossier would hold them.
#pragma once

#include <string>

#include "dossier/dossier.h"

namespace etchback::bench::test {

// `uncertainty` as a person writes it: "1 %", "0.1 W"; empty: none stated.
inline dossier::Reading reading(const std::string& quantity,
                                const std::string& value,
                                const std::string& uncertainty = "",
                                const std::string& group = "") {
    dossier::Reading out;
    out.quantity.value = quantity;
    out.value.value = *base::parse_quantity(value);
    if (!uncertainty.empty()) {
        out.uncertainty.emplace().value = *base::parse_quantity(uncertainty);
    }
    out.group = group;
    return out;
}

}  // namespace etchback::bench::test
