// Circuits by chance: wilder than any board, to try placement and routing on.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "circuit/circuit.h"
#include "parts/catalogue.h"

namespace etchback::drawing_test {

// The same seed gives the same parts; 5 to `largest_random` of them, sparse or dense.
constexpr int largest_random = 150;
std::vector<dossier::Part> random_parts(std::uint64_t seed);
std::vector<dossier::Part> random_parts(std::uint64_t seed, int count);

// One part from plain words; `pins` as "pin=net pin=net ...".
dossier::Part part(const std::string& name,
                   const std::string& kind,
                   const std::string& value,
                   const std::string& pins);

const parts::Catalogue& catalogue();

}  // namespace etchback::drawing_test
