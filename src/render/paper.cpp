#include "render/paper.h"

#include <dlfcn.h>

#include <cstdlib>
#include <filesystem>

#include "base/plugin_folders.h"
#include "render/plugin/interface.h"

#ifndef ETCHBACK_BUILD_LIB
#define ETCHBACK_BUILD_LIB ""
#endif

namespace etchback::render {
namespace {

namespace fs = std::filesystem;

struct Plugin {
    plugin::PngFunction* png = nullptr;
    plugin::PdfFunction* pdf = nullptr;
    plugin::PagesFunction* pages = nullptr;
};

base::Error missing(const std::vector<fs::path>& folders) {
    std::string looked;
    for (const fs::path& folder : folders) {
        looked += (looked.empty() ? "" : ", ") + folder.string();
    }
    return {.place = {},
            .what = std::string("cannot find ") + plugin::file_name +
                    ", which draws PDF and PNG (looked in " + looked + ")",
            .todo =
                "build or install the whole program, or name the plugin's folder in the "
                "environment variable ETCHBACK_LIB"};
}

template <typename Function>
Function* symbol(void* library, const char* name) {
    return reinterpret_cast<Function*>(dlsym(library, name));
}

base::Error unusable(const fs::path& file, const std::string& why) {
    return {.place = {},
            .what = "cannot use " + file.string() + ": " + why,
            .todo = "rebuild or reinstall, so that program and plugin are of one version"};
}

base::Result<Plugin> open_plugin(const fs::path& file) {
    // Never closed: GLib inside cannot be unloaded, and a second dlopen costs next to nothing.
    void* library = dlopen(file.c_str(), RTLD_NOW | RTLD_LOCAL);
    if (library == nullptr) {
        const char* why = dlerror();
        return unusable(file, why != nullptr ? why : "it does not load");
    }
    const auto version = symbol<plugin::VersionFunction>(library, plugin::version_symbol);
    if (version == nullptr || version() != plugin::interface_version) {
        return unusable(file, "it belongs to another version");
    }
    const Plugin found{.png = symbol<plugin::PngFunction>(library, plugin::png_symbol),
                       .pdf = symbol<plugin::PdfFunction>(library, plugin::pdf_symbol),
                       .pages = symbol<plugin::PagesFunction>(library, plugin::pages_symbol)};
    if (found.png == nullptr || found.pdf == nullptr || found.pages == nullptr) {
        return unusable(file, "a function is missing in it");
    }
    return found;
}

base::Result<Plugin> find_plugin() {
    const std::vector<fs::path> folders = base::plugin_folders(ETCHBACK_BUILD_LIB);
    for (const fs::path& folder : folders) {
        const fs::path file = folder / plugin::file_name;
        std::error_code ignored;
        if (fs::exists(file, ignored)) {
            return open_plugin(file);
        }
    }
    return missing(folders);
}

// Calls one function of the plugin and turns its answer into a result.
template <typename Call>
base::Result<std::string> ask(const Call& call) {
    const base::Result<Plugin> found = find_plugin();
    if (!found) {
        return found.errors();
    }
    plugin::Answer answer;
    if (!call(*found, answer)) {
        return answer.error;
    }
    return std::move(answer.bytes);
}

}  // namespace

base::Result<std::string> png_from_svg(std::string_view svg, int width_px) {
    return ask([&](const Plugin& found, plugin::Answer& answer) {
        return found.png(&svg, width_px, &answer);
    });
}

base::Result<std::string> pdf_from_svg(std::string_view svg) {
    return pdf_from_svgs({std::string(svg)});
}

base::Result<std::string> pdf_from_svgs(const std::vector<std::string>& svgs) {
    return ask(
        [&](const Plugin& found, plugin::Answer& answer) { return found.pdf(&svgs, &answer); });
}

base::Result<std::string> pdf_from_paper(const Paper& paper) {
    return ask(
        [&](const Plugin& found, plugin::Answer& answer) { return found.pages(&paper, &answer); });
}

}  // namespace etchback::render
