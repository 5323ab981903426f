// What etchback_ranks.so offers to src/behaviour/ranks.cpp. Plain C functions, so that dlsym finds
// them; both sides come from one build, which `interface_version` checks.
#pragma once

#include "behaviour/ranks.h"

namespace etchback::behaviour::ranks_plugin {

// Raised whenever a signature below or the class `Ranks` changes.
constexpr int interface_version = 1;

constexpr const char* file_name = "etchback_ranks.so";
constexpr const char* version_symbol = "etchback_ranks_version";
constexpr const char* open_symbol = "etchback_ranks_open";

using VersionFunction = int();
using OpenFunction = Ranks*();  // owned by the caller; null where MPI does not start

}  // namespace etchback::behaviour::ranks_plugin
