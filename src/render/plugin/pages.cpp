#include "render/plugin/pages.h"

#include <algorithm>
#include <optional>

#include "render/plugin/flow.h"
#include "render/plugin/output.h"
#include "render/plugin/picture.h"
#include "render/plugin/table.h"

namespace etchback::render::plugin {
namespace {

using Kind = PaperBlock::Kind;

constexpr Colour muted{0.35, 0.37, 0.40};
constexpr Colour hairline{0.72, 0.73, 0.75};
constexpr Colour caution_edge{0.62, 0.24, 0.0};
constexpr double caution_pad_pt = 9.0;
constexpr double largest_scale = 0.9;    // points per pixel: a small drawing is not blown up
constexpr double readable_scale = 0.55;  // below it the letters of a drawing are hard to read
constexpr double keep_with_next_pt = 64.0;
constexpr double heading_room_pt = 46.0;  // of a heading above a drawing

bool is_heading(Kind kind) {
    return kind == Kind::title || kind == Kind::heading || kind == Kind::subheading;
}

TextStyle style_of(Kind kind) {
    switch (kind) {
        case Kind::title:
            return {.size_pt = 21.0, .bold = true, .line_spacing = 1.1};
        case Kind::heading:
            return {.size_pt = 13.5, .bold = true, .line_spacing = 1.15};
        case Kind::subheading:
            return {.size_pt = 10.2, .bold = true, .line_spacing = 1.2};
        case Kind::small:
            return {.size_pt = 8.2, .line_spacing = 1.25, .colour = muted};
        default:
            return {};
    }
}

// Space before and after a block.
struct Air {
    double before, after;
};
Air air_of(Kind kind) {
    switch (kind) {
        case Kind::title:
            return {0.0, 6.0};
        case Kind::heading:
            return {20.0, 6.0};
        case Kind::subheading:
            return {11.0, 3.0};
        case Kind::caution:
            return {9.0, 10.0};
        case Kind::table:
            return {3.0, 6.0};
        case Kind::drawing:
            return {6.0, 8.0};
        case Kind::small:
            return {2.0, 4.0};
        default:
            return {2.0, 5.0};
    }
}

class Setter {
public:
    explicit Setter(const Paper& paper) : paper_(paper) {}

    std::optional<base::Error> run(std::string& bytes) {
        for (std::size_t i = 0; i < paper_.blocks.size(); ++i) {
            const PaperBlock& block = paper_.blocks[i];
            std::optional<base::Error> error;
            if (is_heading(block.kind) && i + 1 < paper_.blocks.size() &&
                paper_.blocks[i + 1].kind == Kind::drawing) {
                error = make_room(paper_.blocks[i + 1], heading_room_pt);
                room_made_ = true;
            }
            error = error ? error : place(block);
            if (error) {
                return error;
            }
        }
        if (!write_pages(paper_, flow_, typesetter_, bytes) || !drawn_) {
            return base::Error{.place = {},
                               .what = "the pages cannot be drawn",
                               .todo = "look for a drawing that is too large and split it"};
        }
        return std::nullopt;
    }

private:
    std::optional<base::Error> place(const PaperBlock& block) {
        if (after_landscape_ && block.kind != Kind::page_break && block.kind != Kind::sheet) {
            flow_.new_page();
        }
        after_landscape_ = false;
        const Air air = air_of(block.kind);
        flow_.skip(air.before);
        switch (block.kind) {
            case Kind::title:
            case Kind::heading:
            case Kind::subheading:
                place_heading(block);
                break;
            case Kind::paragraph:
            case Kind::small:
                flow_.place(typesetter_.set(block.spans, style_of(block.kind), flow_.width()),
                            flow_.left());
                break;
            case Kind::caution:
                place_caution(block);
                break;
            case Kind::table:
                place_table(flow_, typesetter_, block);
                break;
            case Kind::drawing:
                if (auto error = place_drawing(block)) {
                    return error;
                }
                break;
            case Kind::sheet:
                if (auto error = place_sheet(block)) {
                    return error;
                }
                break;
            case Kind::page_break:
                flow_.new_page();
                break;
        }
        flow_.skip(air.after);
        return std::nullopt;
    }

    void place_heading(const PaperBlock& block) {
        const Text text = typesetter_.set(block.spans, style_of(block.kind), flow_.width());
        flow_.need(text.height + keep_with_next_pt);
        if (block.kind == Kind::heading && !flow_.at_top()) {
            flow_.rule(flow_.left(), flow_.left() + flow_.width(), flow_.y() - 6.0, 0.5, hairline);
        }
        std::string words;
        for (const Span& span : block.spans) {
            words += span.text;
        }
        flow_.bookmark(std::move(words), block.kind == Kind::subheading ? 1 : 0);
        flow_.place(text, flow_.left());
    }

    // A frame with a thick edge; kept on one page where that is possible.
    void place_caution(const PaperBlock& block) {
        const double inner = flow_.width() - 2.0 * caution_pad_pt - 4.0;
        const Text text = typesetter_.set(block.spans, style_of(block.kind), inner);
        const double height = text.height + 2.0 * caution_pad_pt;
        if (height > flow_.full_page()) {
            flow_.place(text, flow_.left() + caution_pad_pt);
            return;
        }
        flow_.need(height);
        const double x = flow_.left();
        const double y = flow_.y();
        const double width = flow_.width();
        flow_.mark([=](cairo_t* canvas) {
            cairo_set_source_rgb(canvas, caution_edge.red, caution_edge.green, caution_edge.blue);
            cairo_set_line_width(canvas, 0.9);
            cairo_rectangle(canvas, x + 0.45, y, width - 0.9, height);
            cairo_stroke(canvas);
            cairo_rectangle(canvas, x, y - 0.45, 4.0, height + 0.9);
            cairo_fill(canvas);
        });
        flow_.put(text, 0, text.lines.size(), x + caution_pad_pt + 4.0, y + caution_pad_pt);
        flow_.advance(height);
    }

    double fit(const Picture& picture, double width, double height) const {
        return std::min({largest_scale, width / picture.width_px, height / picture.height_px});
    }

    // Goes to a page on which the drawing and `above` points over it find room: this one, the
    // next, or one across where the drawing would be too small to read upright.
    std::optional<base::Error> make_room(const PaperBlock& block, double above) {
        const auto read = read_picture(block.svg);
        if (!read) {
            return read.errors().front();
        }
        const Picture& picture = **read;
        const double width = a4_short_pt - 2.0 * margin_side_pt;
        const double height = a4_long_pt - margin_top_pt - margin_bottom_pt - above;
        const double upright = fit(picture, width, height);
        const double across = fit(picture,
                                  a4_long_pt - 2.0 * margin_side_pt,
                                  a4_short_pt - margin_top_pt - margin_bottom_pt - above);
        if (upright < readable_scale && across > upright) {
            flow_.new_page(true);
        } else {
            flow_.need(picture.height_px * upright + above);
        }
        return std::nullopt;
    }

    std::optional<base::Error> place_drawing(const PaperBlock& block) {
        const auto read = read_picture(block.svg);
        if (!read) {
            return read.errors().front();
        }
        const std::shared_ptr<const Picture> picture = *read;
        if (!room_made_) {
            if (auto error = make_room(block, 0.0)) {
                return error;
            }
        }
        room_made_ = false;
        const double scale = fit(*picture, flow_.width(), flow_.room());
        const double x = flow_.left() + (flow_.width() - picture->width_px * scale) / 2.0;
        const double y = flow_.y();
        flow_.mark([this, picture, x, y, scale](cairo_t* canvas) {
            drawn_ = draw_picture(canvas, *picture, x, y, scale) && drawn_;
        });
        flow_.advance(picture->height_px * scale);
        after_landscape_ = flow_.across();
        return std::nullopt;
    }

    // CSS counts 96 pixels to the inch.
    std::optional<base::Error> place_sheet(const PaperBlock& block) {
        const auto read = read_picture(block.svg);
        if (!read) {
            return read.errors().front();
        }
        const std::shared_ptr<const Picture> picture = *read;
        constexpr double pt_per_px = 72.0 / 96.0;
        flow_.new_sheet(picture->width_px * pt_per_px, picture->height_px * pt_per_px);
        std::string title;
        for (const Span& span : block.spans) {
            title += span.text;
        }
        if (!title.empty()) {
            flow_.bookmark(std::move(title), 1);
        }
        flow_.mark([this, picture](cairo_t* canvas) {
            drawn_ = draw_picture(canvas, *picture, 0.0, 0.0, pt_per_px) && drawn_;
        });
        after_landscape_ = true;  // what follows goes to a page of the usual size
        return std::nullopt;
    }

    const Paper& paper_;
    Typesetter typesetter_;
    Flow flow_;
    bool after_landscape_ = false;
    bool room_made_ = false;  // for the next drawing, by the heading above it
    bool drawn_ = true;
};

}  // namespace

bool to_pages(const Paper& paper, Answer& answer) {
    if (const auto error = Setter(paper).run(answer.bytes)) {
        answer.error = *error;
        return false;
    }
    return true;
}

}  // namespace etchback::render::plugin
