#include "render/plugin/flow.h"

#include <algorithm>

namespace etchback::render::plugin {
namespace {

constexpr double tolerance_pt = 0.01;  // sums of line heights are not exact

// How many lines from `from` on fit into `room`.
std::size_t fitting(const Text& text, std::size_t from, double room) {
    std::size_t count = 0;
    while (from + count < text.lines.size() &&
           text.lines[from + count].bottom - text.lines[from].top <= room + tolerance_pt) {
        ++count;
    }
    return count;
}

// Fewer, where a page would begin or end with one line of a longer text.
std::size_t without_orphans(std::size_t count, std::size_t from, std::size_t total) {
    if (count < total - from && total - from - count == 1 && count > 0) {
        --count;
    }
    if (from == 0 && count == 1 && total > 1) {
        count = 0;
    }
    return count;
}

}  // namespace

Flow::Flow() {
    pages_.emplace_back();
}

void Flow::skip(double points) {
    if (!at_top()) {
        y_ += points;
    }
}

void Flow::new_page(bool landscape) {
    Page page;
    if (landscape) {
        std::swap(page.width, page.height);
    }
    if (pages_.back().marks.empty()) {
        pages_.pop_back();  // an empty page is no page
    }
    pages_.push_back(std::move(page));
    y_ = margin_top_pt;
}

void Flow::new_sheet(double width, double height) {
    new_page();
    pages_.back().width = width;
    pages_.back().height = height;
    pages_.back().footer = false;
}

void Flow::need(double points) {
    if (points > room() + tolerance_pt && !at_top()) {
        new_page();
    }
}

void Flow::bookmark(std::string title, int level) {
    bookmarks_.push_back({.title = std::move(title), .page = page(), .y = y_, .level = level});
}

void Flow::place(const Text& text, double x) {
    std::size_t from = 0;
    while (from < text.lines.size()) {
        std::size_t count = fitting(text, from, room());
        const std::size_t kept = without_orphans(count, from, text.lines.size());
        count = kept == 0 && at_top() ? std::max<std::size_t>(count, 1) : kept;
        if (count > 0) {
            put(text, from, from + count, x, y_);
            y_ += text.lines[from + count - 1].bottom - text.lines[from].top;
            from += count;
        }
        if (from < text.lines.size()) {
            new_page();
        }
    }
}

void Flow::put(const Text& text, std::size_t from, std::size_t to, double x, double y) {
    if (from >= to) {
        return;
    }
    const double shift = y - text.lines[from].top;
    mark([text, from, to, x, shift](cairo_t* canvas) {
        for (std::size_t i = from; i < to; ++i) {
            draw_line(canvas, text, text.lines[i].index, x, shift + text.lines[i].baseline);
        }
    });
}

void Flow::rule(double x1, double x2, double y, double thickness, const Colour& colour) {
    mark([=](cairo_t* canvas) {
        cairo_set_source_rgb(canvas, colour.red, colour.green, colour.blue);
        cairo_set_line_width(canvas, thickness);
        cairo_move_to(canvas, x1, y);
        cairo_line_to(canvas, x2, y);
        cairo_stroke(canvas);
    });
}

}  // namespace etchback::render::plugin
