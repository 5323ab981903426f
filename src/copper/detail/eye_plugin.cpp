#include "copper/detail/eye_plugin.h"

#include <dlfcn.h>

#include "base/plugin_folders.h"

#ifndef ETCHBACK_BUILD_LIB
#define ETCHBACK_BUILD_LIB ""
#endif

namespace etchback::copper::detail {

namespace {

namespace fs = std::filesystem;

template <typename Function>
Function* symbol(void* library, const char* name) {
    return reinterpret_cast<Function*>(dlsym(library, name));
}

base::Error missing(const std::vector<fs::path>& folders) {
    std::string looked;
    for (const fs::path& folder : folders) {
        looked += (looked.empty() ? "" : ", ") + folder.string();
    }
    return {.place = {},
            .what = std::string("cannot find ") + eye::file_name +
                    ", which looks at photos (looked in " + looked + ")",
            .todo =
                "build or install the whole program, or name the plugin's folder in the "
                "environment variable ETCHBACK_LIB"};
}

base::Error unusable(const fs::path& file, const std::string& why) {
    return {.place = {},
            .what = "cannot use " + file.string() + ": " + why,
            .todo = "rebuild or reinstall, so that program and plugin are of one version"};
}

base::Result<EyePlugin> open_plugin(const fs::path& file) {
    // Never closed: a second dlopen costs next to nothing.
    void* library = dlopen(file.c_str(), RTLD_NOW | RTLD_LOCAL);
    if (library == nullptr) {
        const char* why = dlerror();
        return unusable(file, why != nullptr ? why : "it does not load");
    }
    const auto version = symbol<eye::VersionFunction>(library, eye::version_symbol);
    if (version == nullptr || version() != eye::interface_version) {
        return unusable(file, "it belongs to another version");
    }
    const EyePlugin found{.trace = symbol<eye::TraceFunction>(library, eye::trace_symbol),
                          .jpeg = symbol<eye::JpegFunction>(library, eye::jpeg_symbol)};
    if (found.trace == nullptr || found.jpeg == nullptr) {
        return unusable(file, "a function is missing in it");
    }
    return found;
}

}  // namespace

base::Result<EyePlugin> find_eye_plugin() {
    const std::vector<fs::path> folders = base::plugin_folders(ETCHBACK_BUILD_LIB);
    for (const fs::path& folder : folders) {
        const fs::path file = folder / eye::file_name;
        std::error_code ignored;
        if (fs::exists(file, ignored)) {
            return open_plugin(file);
        }
    }
    return missing(folders);
}

}  // namespace etchback::copper::detail
