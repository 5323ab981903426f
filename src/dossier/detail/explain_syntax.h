// TOML's own complaints in the words of a person who never heard of TOML.
#pragma once

#include "base/error.h"

namespace etchback::dossier::detail {

// `error` as base::parse_toml gives it, said more plainly where the fault is a usual one.
base::Error explained(base::Error error);

}  // namespace etchback::dossier::detail
