#include "render/plugin/text.h"

#include <algorithm>
#include <string>

namespace etchback::render::plugin {
namespace {

constexpr const char* sans = "Liberation Sans, Arial, Helvetica, sans-serif";
constexpr const char* mono = "Liberation Mono, Courier New, monospace";

std::string valid_utf8(std::string_view text) {
    gchar* made = g_utf8_make_valid(text.data(), static_cast<gssize>(text.size()));
    std::string valid = made;
    g_free(made);
    return valid;
}

void add(PangoAttrList* list, PangoAttribute* attribute, std::size_t from, std::size_t to) {
    attribute->start_index = static_cast<guint>(from);
    attribute->end_index = static_cast<guint>(to);
    pango_attr_list_insert(list, attribute);
}

// The text of all spans in a row, and what is bold, italic or mono in it.
std::string joined(const std::vector<Span>& spans, PangoAttrList* attributes) {
    std::string whole;
    for (const Span& span : spans) {
        const std::size_t from = whole.size();
        whole += valid_utf8(span.text);
        if (span.bold) {
            add(attributes, pango_attr_weight_new(PANGO_WEIGHT_BOLD), from, whole.size());
        }
        if (span.italic) {
            add(attributes, pango_attr_style_new(PANGO_STYLE_ITALIC), from, whole.size());
        }
        if (span.mono) {
            add(attributes, pango_attr_family_new(mono), from, whole.size());
        }
    }
    return whole;
}

std::vector<Line> lines_of(PangoLayout* layout) {
    std::vector<Line> lines;
    PangoLayoutIter* at = pango_layout_get_iter(layout);
    do {
        int top = 0;
        int bottom = 0;
        pango_layout_iter_get_line_yrange(at, &top, &bottom);
        lines.push_back({.index = static_cast<int>(lines.size()),
                         .top = pango_units_to_double(top),
                         .baseline = pango_units_to_double(pango_layout_iter_get_baseline(at)),
                         .bottom = pango_units_to_double(bottom)});
    } while (pango_layout_iter_next_line(at) != 0);
    pango_layout_iter_free(at);
    return lines;
}

}  // namespace

Typesetter::Typesetter() : fonts_(pango_cairo_font_map_new()) {
    // One point is one unit of the page.
    pango_cairo_font_map_set_resolution(PANGO_CAIRO_FONT_MAP(fonts_.get()), 72.0);
    context_.reset(pango_font_map_create_context(fonts_.get()));
    pango_context_set_language(context_.get(), pango_language_from_string("en"));
    pango_context_set_round_glyph_positions(context_.get(), 0);
    const FontOptions options(cairo_font_options_create());
    cairo_font_options_set_hint_style(options.get(), CAIRO_HINT_STYLE_NONE);
    cairo_font_options_set_hint_metrics(options.get(), CAIRO_HINT_METRICS_OFF);
    cairo_font_options_set_antialias(options.get(), CAIRO_ANTIALIAS_GRAY);
    pango_cairo_context_set_font_options(context_.get(), options.get());
}

Text Typesetter::set(const std::vector<Span>& spans,
                     const TextStyle& style,
                     double width_pt) const {
    Text text;
    text.layout = Layout(pango_layout_new(context_.get()), Release<g_object_unref>());
    PangoLayout* layout = text.layout.get();
    const Font font(pango_font_description_new());
    pango_font_description_set_family_static(font.get(), sans);
    pango_font_description_set_size(font.get(), pango_units_from_double(style.size_pt));
    pango_font_description_set_weight(font.get(),
                                      style.bold ? PANGO_WEIGHT_BOLD : PANGO_WEIGHT_NORMAL);
    pango_layout_set_font_description(layout, font.get());
    const Attributes attributes(pango_attr_list_new());
    const std::string whole = joined(spans, attributes.get());
    pango_layout_set_text(layout, whole.data(), static_cast<int>(whole.size()));
    pango_layout_set_attributes(layout, attributes.get());
    pango_layout_set_width(layout, pango_units_from_double(std::max(width_pt, 1.0)));
    pango_layout_set_wrap(layout, PANGO_WRAP_WORD_CHAR);
    pango_layout_set_line_spacing(layout, static_cast<float>(style.line_spacing));
    text.lines = lines_of(layout);
    text.height = text.lines.back().bottom;
    PangoRectangle extents;
    pango_layout_get_extents(layout, nullptr, &extents);
    text.width = pango_units_to_double(extents.width);
    text.colour = style.colour;
    return text;
}

Text Typesetter::set(std::string_view text, const TextStyle& style, double width_pt) const {
    return set({Span{.text = std::string(text)}}, style, width_pt);
}

void draw_line(cairo_t* canvas, const Text& text, int index, double x, double y) {
    cairo_set_source_rgb(canvas, text.colour.red, text.colour.green, text.colour.blue);
    cairo_move_to(canvas, x, y);
    pango_cairo_show_layout_line(canvas, pango_layout_get_line_readonly(text.layout.get(), index));
}

}  // namespace etchback::render::plugin
