// Blocks flow down a page and on to the next. Pages are collected before any is drawn, because
// every footer names the number of pages.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "render/plugin/text.h"

namespace etchback::render::plugin {

constexpr double a4_short_pt = 595.276;
constexpr double a4_long_pt = 841.890;
constexpr double margin_side_pt = 54.0;
constexpr double margin_top_pt = 50.0;
constexpr double margin_bottom_pt = 62.0;

using Mark = std::function<void(cairo_t*)>;

struct Page {
    double width = a4_short_pt;
    double height = a4_long_pt;
    std::vector<Mark> marks;
    bool footer = true;
};

struct Bookmark {
    std::string title;
    std::size_t page = 0;  // counts from 0
    double y = 0.0;
    int level = 0;
};

class Flow {
public:
    Flow();

    double left() const { return margin_side_pt; }
    double width() const { return pages_.back().width - 2.0 * margin_side_pt; }
    double y() const { return y_; }
    double bottom() const { return pages_.back().height - margin_bottom_pt; }
    double room() const { return bottom() - y_; }
    double full_page() const { return bottom() - margin_top_pt; }
    bool at_top() const { return y_ <= margin_top_pt; }
    bool across() const { return pages_.back().width > pages_.back().height; }
    std::size_t page() const { return pages_.size() - 1; }

    // Space before a block; nothing at the top of a page.
    void skip(double points);
    void advance(double points) { y_ += points; }
    void new_page(bool landscape = false);
    // One that is filled by a picture of this size, to its edges.
    void new_sheet(double width, double height);
    // A new page if less than `points` is left here and a new page has more.
    void need(double points);
    void mark(Mark mark) { pages_.back().marks.push_back(std::move(mark)); }
    void bookmark(std::string title, int level);

    // Sets all lines of a text from `x`, on as many pages as it takes; never one line alone.
    void place(const Text& text, double x);
    // Draws lines [from, to) of a text with the first one's top at x, y of this page.
    void put(const Text& text, std::size_t from, std::size_t to, double x, double y);
    void rule(double x1, double x2, double y, double thickness, const Colour& colour);

    std::vector<Page> take_pages() { return std::move(pages_); }
    const std::vector<Bookmark>& bookmarks() const { return bookmarks_; }

private:
    std::vector<Page> pages_;
    std::vector<Bookmark> bookmarks_;
    double y_ = margin_top_pt;
};

}  // namespace etchback::render::plugin
