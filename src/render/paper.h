// SVG to PDF and PNG, and the report's pages as PDF. The work is done by librsvg, cairo and Pango
// in a plugin (src/render/plugin) that is loaded when it is first needed, so that commands that
// draw no paper do not pay for it.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "base/error.h"

namespace etchback::render {

// `width_px`: of the picture; its height follows. White ground.
base::Result<std::string> png_from_svg(std::string_view svg, int width_px);

// One page of the drawing's own size, text as text; of several drawings a page each.
base::Result<std::string> pdf_from_svg(std::string_view svg);
base::Result<std::string> pdf_from_svgs(const std::vector<std::string>& svgs);

// A document as a list of blocks, set on A4 pages with page numbers.
struct Span {
    std::string text;
    bool bold = false;
    bool italic = false;
    bool mono = false;
};
struct PaperBlock {
    enum class Kind {
        title,
        heading,
        subheading,
        paragraph,
        caution,
        table,
        drawing,
        sheet,
        page_break,
        small
    };
    Kind kind = Kind::paragraph;
    std::vector<Span> spans;                     // text kinds
    std::vector<std::vector<std::string>> rows;  // table; the first row is its head
    std::vector<double> widths;                  // table: share of each column
    std::string svg;  // drawing; a wide one gets a landscape page. Sheet: a page of its own size
                      // without a footer; its spans are its title in the table of contents
};
struct Paper {
    std::string title;
    std::string author;
    std::string footer;
    std::vector<PaperBlock> blocks;
};
base::Result<std::string> pdf_from_paper(const Paper& paper);

}  // namespace etchback::render
