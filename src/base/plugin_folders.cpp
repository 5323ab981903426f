#include "base/plugin_folders.h"

#include <cstdlib>

namespace etchback::base {

namespace fs = std::filesystem;

std::vector<fs::path> plugin_folders(const fs::path& built) {
    if (const char* named = std::getenv("ETCHBACK_LIB"); named != nullptr && *named != '\0') {
        return {fs::path(named)};
    }
    std::vector<fs::path> folders;
    std::error_code ignored;
    const fs::path program = fs::read_symlink("/proc/self/exe", ignored);
    if (!program.empty()) {
        const fs::path lib = (program.parent_path() / ".." / "lib").lexically_normal();
        folders.push_back(lib);
        folders.push_back(lib / "etchback");
    }
    if (!built.empty()) {
        folders.push_back(built);
    }
    return folders;
}

}  // namespace etchback::base
