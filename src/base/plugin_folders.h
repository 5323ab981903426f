// Where the program's plugins lie: code with heavy libraries that a plain command does not load.
#pragma once

#include <filesystem>
#include <vector>

namespace etchback::base {

// A folder that the user names in the environment variable ETCHBACK_LIB is the only one that
// counts; else the places where an installed and a freshly built program keep their plugins, in the
// order to look. `built` is the build's folder; empty: none.
std::vector<std::filesystem::path> plugin_folders(const std::filesystem::path& built);

}  // namespace etchback::base
