// Whether the copper of a truth is what its nets say.
#pragma once

#include <string>

#include "board-photographer/truth.h"

namespace etchback::photographer {

// Empty if connected copper and plated holes give exactly the nets; else what is wrong.
std::string faults_of_copper(const Truth& truth);

}  // namespace etchback::photographer
