#include "render/plugin/owned.h"

#include <string>

namespace etchback::render::plugin {

cairo_status_t append_bytes(void* target, const unsigned char* bytes, unsigned int count) {
    static_cast<std::string*>(target)->append(reinterpret_cast<const char*>(bytes), count);
    return CAIRO_STATUS_SUCCESS;
}

Surface pdf_surface(std::string& bytes, double width_pt, double height_pt) {
    Surface surface(cairo_pdf_surface_create_for_stream(append_bytes, &bytes, width_pt, height_pt));
    cairo_pdf_surface_restrict_to_version(surface.get(), CAIRO_PDF_VERSION_1_5);
    cairo_pdf_surface_set_metadata(surface.get(), CAIRO_PDF_METADATA_CREATOR, "Etchback");
    cairo_pdf_surface_set_metadata(
        surface.get(), CAIRO_PDF_METADATA_CREATE_DATE, "2000-01-01T00:00:00Z");
    return surface;
}

}  // namespace etchback::render::plugin
