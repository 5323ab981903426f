#include "behaviour/ranks.h"

#include <dlfcn.h>

#include <cstdlib>
#include <filesystem>
#include <vector>

#include "base/plugin_folders.h"
#include "behaviour/ranks_plugin/interface.h"

#ifndef ETCHBACK_BUILD_LIB
#define ETCHBACK_BUILD_LIB ""
#endif

namespace etchback::behaviour {

namespace {

namespace fs = std::filesystem;

// What launchers of the usual MPI libraries tell their processes: Open MPI, MPICH and its kin.
bool started_by_mpirun() {
    for (const char* name : {"OMPI_COMM_WORLD_SIZE", "PMI_SIZE"}) {
        if (const char* size = std::getenv(name); size != nullptr && std::atoi(size) > 0) {
            return true;
        }
    }
    return false;
}

base::Error unusable(const std::string& why) {
    return {.place = {},
            .what = "mpirun started this process, but " + why,
            .todo = "start etchback without mpirun: it uses all processors of this machine"};
}

base::Result<std::unique_ptr<Ranks>> open_plugin(const fs::path& file) {
    // Global, since the MPI library loads parts of its own that look for its symbols; never closed,
    // since those parts cannot be unloaded.
    void* library = dlopen(file.c_str(), RTLD_NOW | RTLD_GLOBAL);
    if (library == nullptr) {
        const char* why = dlerror();
        return unusable(file.string() + " does not load: " + (why != nullptr ? why : "no reason"));
    }
    const auto version = reinterpret_cast<ranks_plugin::VersionFunction*>(
        dlsym(library, ranks_plugin::version_symbol));
    const auto open =
        reinterpret_cast<ranks_plugin::OpenFunction*>(dlsym(library, ranks_plugin::open_symbol));
    if (version == nullptr || open == nullptr || version() != ranks_plugin::interface_version) {
        return unusable(file.string() + " belongs to another version");
    }
    std::unique_ptr<Ranks> ranks(open());
    if (!ranks) {
        return unusable("the MPI library does not start");
    }
    return ranks;
}

}  // namespace

base::Result<std::unique_ptr<Ranks>> open_ranks() {
    if (!started_by_mpirun()) {
        return std::unique_ptr<Ranks>();
    }
    for (const fs::path& folder : base::plugin_folders(ETCHBACK_BUILD_LIB)) {
        const fs::path file = folder / ranks_plugin::file_name;
        std::error_code ignored;
        if (fs::exists(file, ignored)) {
            return open_plugin(file);
        }
    }
    return unusable(std::string("cannot find ") + ranks_plugin::file_name +
                    ", which joins several machines (built where an MPI library is installed)");
}

}  // namespace etchback::behaviour
