// Owners for the C objects of cairo, Pango, GLib and librsvg.
#pragma once

#include <cairo-pdf.h>
#include <cairo.h>
#include <librsvg/rsvg.h>
#include <pango/pangocairo.h>

#include <memory>

namespace etchback::render::plugin {

template <auto release>
struct Release {
    template <typename T>
    void operator()(T* object) const {
        release(object);
    }
};

using Surface = std::unique_ptr<cairo_surface_t, Release<cairo_surface_destroy>>;
using Canvas = std::unique_ptr<cairo_t, Release<cairo_destroy>>;
using FontOptions = std::unique_ptr<cairo_font_options_t, Release<cairo_font_options_destroy>>;
using Svg = std::unique_ptr<RsvgHandle, Release<g_object_unref>>;
using Failure = std::unique_ptr<GError, Release<g_error_free>>;
using Context = std::unique_ptr<PangoContext, Release<g_object_unref>>;
using FontMap = std::unique_ptr<PangoFontMap, Release<g_object_unref>>;
using Font = std::unique_ptr<PangoFontDescription, Release<pango_font_description_free>>;
using Attributes = std::unique_ptr<PangoAttrList, Release<pango_attr_list_unref>>;
// Shared: the lines of one paragraph may lie on several pages.
using Layout = std::shared_ptr<PangoLayout>;

// For cairo's stream surfaces; `target` is a std::string.
cairo_status_t append_bytes(void* target, const unsigned char* bytes, unsigned int count);

// A PDF that grows in `bytes`, without the hour of its making, so that the same paper gives the
// same bytes.
Surface pdf_surface(std::string& bytes, double width_pt, double height_pt);

}  // namespace etchback::render::plugin
