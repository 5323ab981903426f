// The names of the machines that can play a family.
#pragma once

#include <string>
#include <vector>

namespace etchback::behaviour::detail {

std::vector<std::string> behaviours();

}  // namespace etchback::behaviour::detail
