#include "report/comparison_svg.h"

#include <fmt/format.h>

#include <algorithm>

#include "base/text.h"
#include "circuit/domains.h"
#include "drawing/svg.h"
#include "report/detail/xml_text.h"

namespace etchback::report {
namespace {

using blocks::Comparison;
using blocks::Difference;
using blocks::DifferenceKind;
using circuit::Circuit;
using circuit::PartId;
using drawing::Box;
using drawing::Drawing;

constexpr double head = 46.0;     // room for a circuit's title, px
constexpr double gap = 40.0;      // between the two
constexpr double line = 19.0;     // of the list
constexpr double text_px = 13.0;  // its letters

// The reference drawn so that each part stands where its like stands in the found circuit.
drawing::Nudges like_places(const Comparison& comparison,
                            const Drawing& found,
                            const Circuit& circuit,
                            const Circuit& reference) {
    drawing::Nudges nudges;
    for (const blocks::PartMatch& match : comparison.parts) {
        const auto it = std::find_if(found.parts.begin(), found.parts.end(), [&](const auto& p) {
            return p.part == match.found.front();
        });
        const circuit::Part& there = reference[match.reference.front()];
        if (it != found.parts.end() &&
            there.kind.symbol == circuit[match.found.front()].kind.symbol) {
            nudges.before.push_back({there.name, it->at, it->orientation});
        }
    }
    return nudges;
}

std::string shape(DifferenceKind kind, const Box& b) {
    const double w = b.right - b.left;
    const double h = b.bottom - b.top;
    const auto rect = [&](double grow, double round, const char* more) {
        return fmt::format(
            R"(<rect x="{:.1f}" y="{:.1f}" width="{:.1f}" height="{:.1f}" rx="{}"{}/>)",
            b.left - grow,
            b.top - grow,
            w + 2 * grow,
            h + 2 * grow,
            round,
            more);
    };
    switch (kind) {
        case DifferenceKind::missing:
            return rect(0, 0, R"( stroke-dasharray="6 4")");
        case DifferenceKind::added:
            return rect(0, 0, "") + rect(-3.5, 0, "");
        case DifferenceKind::split:
        case DifferenceKind::merged:
            return rect(0, 12, "");
        case DifferenceKind::connection:
        case DifferenceKind::reversed: {
            constexpr double cut = 8.0;
            return fmt::format(
                R"(<path d="M{:.1f} {:.1f}H{:.1f}L{:.1f} {:.1f}V{:.1f}L{:.1f} {:.1f}H{:.1f}L{:.1f} {:.1f}V{:.1f}Z"/>)",
                b.left + cut,
                b.top,
                b.right - cut,
                b.right,
                b.top + cut,
                b.bottom - cut,
                b.right - cut,
                b.bottom,
                b.left + cut,
                b.left,
                b.bottom - cut,
                b.top + cut);
        }
        default:
            return fmt::format(R"(<ellipse cx="{:.1f}" cy="{:.1f}" rx="{:.1f}" ry="{:.1f}"/>)",
                               b.left + w / 2,
                               b.top + h / 2,
                               0.62 * w,
                               0.62 * h);
    }
}

// The shape round a part lies below the drawing, so that no text is struck through; its number
// above.
struct Mark {
    std::string below, above;
};

Mark mark(const Difference& difference, std::size_t number, const Drawing& drawing, PartId part) {
    const auto it = std::find_if(
        drawing.parts.begin(), drawing.parts.end(), [&](const auto& p) { return p.part == part; });
    if (it == drawing.parts.end()) {
        return {};
    }
    constexpr double px = drawing::grid_px;
    const Box& own = it->symbol.box;
    const Box box{(it->at.x + own.left) * px - 3,
                  (it->at.y + own.top) * px - 3,
                  (it->at.x + own.right) * px + 3,
                  (it->at.y + own.bottom) * px + 3};
    const std::string text = std::to_string(number);
    const double radius = 8.0;
    return {
        shape(difference.kind, box) + "\n",
        fmt::format(
            R"(<circle class="number" cx="{0:.1f}" cy="{1:.1f}" r="{2}"/><text class="number" x="{0:.1f}" y="{3:.1f}" text-anchor="middle" font-size="10">{4}</text>)",
            box.left,
            box.top,
            radius,
            box.top + 3.6,
            text) +
            "\n"};
}

Mark marks(const Comparison& comparison, const Drawing& drawing, bool of_reference) {
    Mark out;
    for (std::size_t i = 0; i < comparison.differences.size(); ++i) {
        const Difference& difference = comparison.differences[i];
        for (const PartId part : of_reference ? difference.reference : difference.found) {
            const Mark one = mark(difference, i + 1, drawing, part);
            out.below += one.below;
            out.above += one.above;
        }
    }
    return out;
}

// The drawing's own SVG as a picture inside another, its ids made different from the other's.
std::string inner(
    const Drawing& drawing, const Circuit& circuit, const std::string& prefix, double x, double y) {
    std::string svg =
        drawing::to_svg(drawing, circuit, {.standalone = true, .dark = false, .title = ""});
    svg.erase(0, svg.find("<svg"));
    // The whole has a ground of its own; marks lie between that and the drawing.
    const std::size_t ground = svg.find("<rect ");
    svg.erase(ground, svg.find("/>", ground) + 2 - ground);
    for (std::size_t at = svg.find(" id=\""); at != std::string::npos;
         at = svg.find(" id=\"", at + 5)) {
        svg.insert(at + 5, prefix);
    }
    return fmt::format(R"(<svg x="{:.0f}" y="{:.0f}")", x, y) + svg.substr(4);
}

std::string title(const std::string& text, double x, double y) {
    return fmt::format(R"(<text x="{:.0f}" y="{:.0f}" font-size="17" font-weight="bold">{}</text>)",
                       x,
                       y,
                       detail::xml_text(text));
}

std::vector<std::string> in_lines(const std::string& text, std::size_t most) {
    std::vector<std::string> lines(1);
    std::size_t from = 0;
    while (from < text.size()) {
        std::size_t to = text.find(' ', from);
        to = to == std::string::npos ? text.size() : to;
        const std::string word = text.substr(from, to - from);
        if (!lines.back().empty() &&
            base::characters(lines.back()) + base::characters(word) + 1 > most) {
            lines.emplace_back();
        }
        lines.back() += (lines.back().empty() ? "" : " ") + word;
        from = to + 1;
    }
    return lines;
}

std::string list(const Comparison& comparison, double width, double& y) {
    std::string out;
    const auto most = static_cast<std::size_t>(std::max(40.0, (width - 80.0) / (0.52 * text_px)));
    for (std::size_t i = 0; i < comparison.differences.size(); ++i) {
        const Difference& difference = comparison.differences[i];
        std::string words = std::string(name_of(difference.kind)) + ": " + difference.words + ".";
        if (!difference.consequence.empty()) {
            words += " " + difference.consequence;
        }
        out += fmt::format(
            R"(<circle class="number" cx="28" cy="{:.1f}" r="8"/><text class="number" x="28" y="{:.1f}" text-anchor="middle" font-size="10">{}</text>)",
            y - 4,
            y - 0.4,
            i + 1);
        for (const std::string& text : in_lines(words, most)) {
            out += fmt::format(R"(<text x="48" y="{:.1f}" font-size="{}">{}</text>)",
                               y,
                               text_px,
                               detail::xml_text(text)) +
                   "\n";
            y += line;
        }
    }
    return out;
}

}  // namespace

std::string comparison_svg(const Comparison& comparison,
                           const Circuit& found,
                           const Circuit& reference,
                           const ComparisonSvg& options) {
    const Drawing right =
        drawing::draw(found, circuit::domains(found), {.standard = options.standard});
    const Drawing left =
        drawing::draw(reference,
                      circuit::domains(reference),
                      {.standard = options.standard,
                       .net_names = true,
                       .nudges = like_places(comparison, right, found, reference)});
    constexpr double px = drawing::grid_px;
    const bool stacked = right.width > 1.1 * right.height;
    const double x = stacked ? 0 : left.width * px + gap;
    const double y = head + (stacked ? left.height * px + gap + head : 0);
    const double width = std::max(x + right.width * px, left.width * px);
    double bottom = std::max(y + right.height * px, head + left.height * px) + 40;
    const auto group = [](double at_x, double at_y, const std::string& inside) {
        return fmt::format(
                   R"q(<g class="marks" transform="translate({:.0f} {:.0f})">)q", at_x, at_y) +
               inside + "</g>\n";
    };
    const Mark on_left = marks(comparison, left, true), on_right = marks(comparison, right, false);
    std::string body =
        title("Reference: " + options.reference_title, 20, 30) + group(0, head, on_left.below) +
        inner(left, reference, "reference-", 0, head) + group(0, head, on_left.above) +
        title("Found: " + options.found_title, x + 20, y - head + 30) +
        group(x, y, on_right.below) + inner(right, found, "found-", x, y) +
        group(x, y, on_right.above);
    body += R"(<g class="marks">)" + list(comparison, width, bottom) + "</g>\n";
    return fmt::format(
        R"(<?xml version="1.0" encoding="UTF-8"?>
<svg xmlns="http://www.w3.org/2000/svg" width="{0:.0f}" height="{1:.0f}" viewBox="0 0 {0:.0f} {1:.0f}" font-family="Liberation Sans, Arial, Helvetica, sans-serif">
<title>Comparison of two circuits</title>
<style>.marks rect,.marks path,.marks ellipse{{fill:none;stroke:#b3261e;stroke-width:2}}.marks circle.number{{fill:#b3261e;stroke:none}}.marks text.number{{fill:#fff;font-weight:bold}}svg .circuit text{{paint-order:stroke;stroke:#fff;stroke-width:3;stroke-linejoin:round}}</style>
<rect width="{0:.0f}" height="{1:.0f}" fill="#fff"/>
{2}</svg>
)",
        width,
        bottom + 10,
        body);
}

}  // namespace etchback::report
