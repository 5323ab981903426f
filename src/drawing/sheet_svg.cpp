// A sheet as SVG: what lies round and below the circuit, and the circuit itself.
#include <fmt/format.h>

#include <algorithm>

#include "drawing/detail/path.h"
#include "drawing/detail/xml.h"
#include "drawing/sheet.h"
#include "drawing/svg.h"

namespace etchback::drawing {

namespace {

using detail::escaped;
using detail::number;

std::string px(double grid) {
    return number(grid * grid_px);
}

std::string rect(const Box& b, double round, std::string_view type) {
    return fmt::format("<rect class=\"{}\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"{}/>\n",
                       type,
                       px(b.left),
                       px(b.top),
                       px(b.right - b.left),
                       px(b.bottom - b.top),
                       round > 0.0 ? " rx=\"" + px(round) + "\"" : "");
}

std::string text_of(const SheetText& text) {
    constexpr std::string_view looks[] = {"words", "caption", "bold", "block-name"};
    constexpr std::string_view anchors[] = {"", " text-anchor=\"middle\"", " text-anchor=\"end\""};
    return text.text.empty()
               ? std::string()
               : fmt::format("<text class=\"{}\" x=\"{}\" y=\"{}\" font-size=\"{}\"{}>{}</text>\n",
                             looks[static_cast<std::size_t>(text.look)],
                             px(text.at.x),
                             px(text.at.y),
                             px(text.size),
                             anchors[static_cast<std::size_t>(text.anchor)],
                             escaped(text.text));
}

// Marks are wide and light, so that they are seen without their colour, too.
std::string marks(const Sheet& sheet) {
    std::string out;
    for (const Wire& wire : sheet.drawing.wires) {
        if (std::find(sheet.marked_nets.begin(), sheet.marked_nets.end(), wire.net) ==
            sheet.marked_nets.end()) {
            continue;
        }
        std::string data;
        for (const Segment& s : wire.segments) {
            data += "M" + px(s.a.x) + " " + px(s.a.y) + "L" + px(s.b.x) + " " + px(s.b.y);
        }
        out += data.empty() ? "" : "<path class=\"mark\" d=\"" + data + "\"/>\n";
        for (const NetSign& sign : sheet.drawing.signs) {
            out += sign.net == wire.net ? rect(sign.box, 0.4, "marked") : "";
        }
    }
    for (const PlacedPart& part : sheet.drawing.parts) {
        if (std::find(sheet.marked_parts.begin(), sheet.marked_parts.end(), part.part) !=
            sheet.marked_parts.end()) {
            const Box& b = part.symbol.box;
            out += rect({b.left + part.at.x - 0.4,
                         b.top + part.at.y - 0.4,
                         b.right + part.at.x + 0.4,
                         b.bottom + part.at.y + 0.4},
                        0.8,
                        "marked");
        }
    }
    return out;
}

}  // namespace

std::string to_svg(const Sheet& sheet, const circuit::Circuit& circuit, const SvgStyle& style) {
    SvgStyle all = style;
    all.mm_per_step = sheet.mm_per_step;
    for (const BlockFrame& frame : sheet.frames) {
        for (const Box& box : frame.boxes) {
            all.under += rect(box, 0.6, "block");
        }
    }
    all.under += marks(sheet);
    for (const Box& border : sheet.borders) {
        all.over += rect(border, 0.0, "border");
    }
    for (const Segment& rule : sheet.rules) {
        all.over += fmt::format("<path class=\"rule\" d=\"M{} {}L{} {}\"/>\n",
                                px(rule.a.x),
                                px(rule.a.y),
                                px(rule.b.x),
                                px(rule.b.y));
    }
    for (const SheetText& text : sheet.texts) {
        all.over += text_of(text);
    }
    for (const BlockFrame& frame : sheet.frames) {
        all.over += text_of(frame.name);
    }
    return to_svg(sheet.drawing, circuit, all);
}

}  // namespace etchback::drawing
