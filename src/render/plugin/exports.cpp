// The door of the plugin; see interface.h.
#include "render/plugin/interface.h"
#include "render/plugin/pages.h"
#include "render/plugin/picture.h"

#define ETCHBACK_EXPORT extern "C" __attribute__((visibility("default")))

using namespace etchback::render;

ETCHBACK_EXPORT int etchback_paper_version() {
    return plugin::interface_version;
}

ETCHBACK_EXPORT bool etchback_paper_png(const std::string_view* svg,
                                        int width_px,
                                        plugin::Answer* answer) {
    return plugin::to_png(*svg, width_px, *answer);
}

ETCHBACK_EXPORT bool etchback_paper_pdf(const std::vector<std::string>* svgs,
                                        plugin::Answer* answer) {
    return plugin::to_pdf(*svgs, *answer);
}

ETCHBACK_EXPORT bool etchback_paper_pages(const Paper* paper, plugin::Answer* answer) {
    return plugin::to_pages(*paper, *answer);
}
