#include "render/plugin/picture.h"

#include <algorithm>
#include <cmath>
#include <string>

namespace etchback::render::plugin {
namespace {

constexpr double pt_per_px = 0.75;           // CSS: 96 px and 72 pt to the inch
constexpr int largest_png_px = 32000;        // cairo's image surfaces end at 32767
constexpr double largest_page_pt = 14400.0;  // 200 inches, the limit of PDF 1.5 readers

base::Error wrong(std::string what, std::string todo) {
    return {.place = {}, .what = std::move(what), .todo = std::move(todo)};
}

// The drawing's own size: width and height, else its viewBox.
bool measure(Picture& picture) {
    if (rsvg_handle_get_intrinsic_size_in_pixels(
            picture.svg.get(), &picture.width_px, &picture.height_px) == 0) {
        gboolean has_width = 0;
        gboolean has_height = 0;
        gboolean has_box = 0;
        RsvgLength width;
        RsvgLength height;
        RsvgRectangle box{};
        rsvg_handle_get_intrinsic_dimensions(
            picture.svg.get(), &has_width, &width, &has_height, &height, &has_box, &box);
        picture.width_px = has_box != 0 ? box.width : 0.0;
        picture.height_px = has_box != 0 ? box.height : 0.0;
    }
    return picture.width_px > 0.0 && picture.height_px > 0.0;
}

base::Error not_drawn() {
    return wrong("the drawing cannot be put on paper", "make it smaller or split the circuit");
}

void fill_white(cairo_t* canvas) {
    cairo_set_source_rgb(canvas, 1.0, 1.0, 1.0);
    cairo_paint(canvas);
}

}  // namespace

base::Result<std::shared_ptr<const Picture>> read_picture(std::string_view svg) {
    GError* failure = nullptr;
    Picture picture;
    picture.svg.reset(rsvg_handle_new_from_data(
        reinterpret_cast<const guint8*>(svg.data()), svg.size(), &failure));
    const Failure owned(failure);
    if (picture.svg == nullptr) {
        const std::string why = owned != nullptr ? owned->message : "no reason given";
        return wrong("the drawing is no SVG that can be read: " + why, "draw it again");
    }
    if (!measure(picture)) {
        return wrong("the drawing has no size",
                     "give its svg element width and height or a viewBox");
    }
    return std::make_shared<const Picture>(std::move(picture));
}

bool draw_picture(cairo_t* canvas, const Picture& picture, double x, double y, double scale) {
    const RsvgRectangle viewport{x, y, picture.width_px * scale, picture.height_px * scale};
    GError* failure = nullptr;
    const bool done =
        rsvg_handle_render_document(picture.svg.get(), canvas, &viewport, &failure) != 0;
    const Failure owned(failure);
    return done && cairo_status(canvas) == CAIRO_STATUS_SUCCESS;
}

bool to_png(std::string_view svg, int width_px, Answer& answer) {
    const auto picture = read_picture(svg);
    if (!picture) {
        answer.error = picture.errors().front();
        return false;
    }
    const double scale = width_px / (*picture)->width_px;
    const double height = std::ceil((*picture)->height_px * scale);
    if (width_px < 1 || width_px > largest_png_px || height > largest_png_px) {
        answer.error =
            wrong("a picture " + std::to_string(width_px) + " pixels wide is not possible here",
                  "choose a width so that both sides lie between 1 and " +
                      std::to_string(largest_png_px));
        return false;
    }
    const Surface surface(cairo_image_surface_create(
        CAIRO_FORMAT_RGB24, width_px, std::max(1, static_cast<int>(height))));
    const Canvas canvas(cairo_create(surface.get()));
    fill_white(canvas.get());
    if (!draw_picture(canvas.get(), **picture, 0.0, 0.0, scale) ||
        cairo_surface_write_to_png_stream(surface.get(), append_bytes, &answer.bytes) !=
            CAIRO_STATUS_SUCCESS) {
        answer.error = not_drawn();
        return false;
    }
    return true;
}

bool to_pdf(const std::vector<std::string>& svgs, Answer& answer) {
    const Surface surface = pdf_surface(answer.bytes, 1.0, 1.0);
    const Canvas canvas(cairo_create(surface.get()));
    bool drawn = true;
    for (const std::string& svg : svgs) {
        const auto picture = read_picture(svg);
        if (!picture) {
            answer.error = picture.errors().front();
            return false;
        }
        const double longest = std::max((*picture)->width_px, (*picture)->height_px) * pt_per_px;
        const double scale = pt_per_px * std::min(1.0, largest_page_pt / longest);
        cairo_pdf_surface_set_size(
            surface.get(), (*picture)->width_px * scale, (*picture)->height_px * scale);
        drawn = drawn && draw_picture(canvas.get(), **picture, 0.0, 0.0, scale);
        cairo_show_page(canvas.get());
    }
    cairo_surface_finish(surface.get());
    if (!drawn || cairo_surface_status(surface.get()) != CAIRO_STATUS_SUCCESS) {
        answer.error = not_drawn();
        return false;
    }
    return true;
}

}  // namespace etchback::render::plugin
