#include "render/plugin/output.h"

#include <algorithm>

namespace etchback::render::plugin {
namespace {

constexpr Colour muted{0.35, 0.37, 0.40};
constexpr Colour hairline{0.72, 0.73, 0.75};

void draw_footer(cairo_t* canvas,
                 const Page& page,
                 std::size_t number,
                 std::size_t count,
                 const Paper& paper,
                 const Typesetter& typesetter) {
    const TextStyle style{.size_pt = 7.8, .line_spacing = 1.0, .colour = muted};
    const double width = page.width - 2.0 * margin_side_pt;
    const double y = page.height - margin_bottom_pt + 24.0;
    const Text place = typesetter.set(
        "page " + std::to_string(number) + " of " + std::to_string(count), style, width);
    const Text words = typesetter.set(paper.footer, style, width - place.width - 24.0);
    cairo_set_source_rgb(canvas, hairline.red, hairline.green, hairline.blue);
    cairo_set_line_width(canvas, 0.5);
    cairo_move_to(canvas, margin_side_pt, y - 5.0);
    cairo_line_to(canvas, margin_side_pt + width, y - 5.0);
    cairo_stroke(canvas);
    for (std::size_t i = 0; i < std::min<std::size_t>(words.lines.size(), 3); ++i) {
        draw_line(canvas, words, static_cast<int>(i), margin_side_pt, y + words.lines[i].baseline);
    }
    draw_line(
        canvas, place, 0, margin_side_pt + width - place.width, y + place.lines.front().baseline);
}

void add_outline(cairo_surface_t* surface, const std::vector<Bookmark>& bookmarks) {
    int chapter = CAIRO_PDF_OUTLINE_ROOT;
    for (const Bookmark& mark : bookmarks) {
        const std::string target = "page=" + std::to_string(mark.page + 1) + " pos=[" +
                                   std::to_string(static_cast<int>(margin_side_pt)) + " " +
                                   std::to_string(static_cast<int>(mark.y)) + "]";
        const int parent = mark.level == 0 ? CAIRO_PDF_OUTLINE_ROOT : chapter;
        const int id = cairo_pdf_surface_add_outline(
            surface, parent, mark.title.c_str(), target.c_str(), CAIRO_PDF_OUTLINE_FLAG_OPEN);
        chapter = mark.level == 0 ? id : chapter;
    }
}

}  // namespace

bool write_pages(const Paper& paper, Flow& flow, const Typesetter& typesetter, std::string& bytes) {
    std::vector<Page> pages = flow.take_pages();
    if (pages.size() > 1 && pages.back().marks.empty()) {
        pages.pop_back();
    }
    const Surface surface = pdf_surface(bytes, a4_short_pt, a4_long_pt);
    cairo_pdf_surface_set_metadata(surface.get(), CAIRO_PDF_METADATA_TITLE, paper.title.c_str());
    if (!paper.author.empty()) {
        cairo_pdf_surface_set_metadata(
            surface.get(), CAIRO_PDF_METADATA_AUTHOR, paper.author.c_str());
    }
    const Canvas canvas(cairo_create(surface.get()));
    for (std::size_t i = 0; i < pages.size(); ++i) {
        cairo_pdf_surface_set_size(surface.get(), pages[i].width, pages[i].height);
        for (const Mark& mark : pages[i].marks) {
            mark(canvas.get());
        }
        if (pages[i].footer) {
            draw_footer(canvas.get(), pages[i], i + 1, pages.size(), paper, typesetter);
        }
        cairo_show_page(canvas.get());
    }
    add_outline(surface.get(), flow.bookmarks());
    cairo_surface_finish(surface.get());
    return cairo_surface_status(surface.get()) == CAIRO_STATUS_SUCCESS &&
           cairo_status(canvas.get()) == CAIRO_STATUS_SUCCESS;
}

}  // namespace etchback::render::plugin
