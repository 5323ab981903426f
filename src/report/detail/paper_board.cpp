// The board on paper: the same facts as in section-board.mustache.
#include <fmt/format.h>

#include <algorithm>

#include "report/board_svg.h"
#include "report/copper_view.h"
#include "report/detail/paper_blocks.h"
#include "report/detail/words.h"

namespace etchback::report::detail {
namespace {

using render::Paper;
using render::PaperBlock;
using Kind = PaperBlock::Kind;

// Two sides of a board in usual proportions find room on one page.
constexpr double width_mm = 165.0;
constexpr double height_mm = 95.0;
constexpr int photo_px = 1200;
// Paper cannot be folded: what is beyond stands in the page and in JSON.
constexpr std::size_t most_rows = 15;

void add_sides(Paper& paper, const copper::Trace& trace, base::Errors& errors) {
    for (const copper::Side side : {copper::Side::top, copper::Side::bottom}) {
        const auto& picture = trace.picture.side(side);
        if (!picture) {
            continue;
        }
        const copper::Raster& raster = trace.picture.raster;
        const double enlarge = std::min(width_mm * raster.px_per_mm / raster.width,
                                        height_mm * raster.px_per_mm / raster.height);
        const auto svg = board_svg(trace, side, {.longest_px = photo_px, .enlarge = enlarge});
        if (!svg) {
            errors = svg.errors();
            continue;
        }
        const bool top = side == copper::Side::top;
        add_text(paper,
                 Kind::subheading,
                 std::string(top ? "Top side" : "Bottom side, as one looks at it") +
                     (picture->trusted ? "" : ": not to be trusted"));
        PaperBlock drawing;
        drawing.kind = Kind::drawing;
        drawing.svg = *svg;
        paper.blocks.push_back(std::move(drawing));
    }
}

void add_rest(Paper& paper, std::size_t count, std::string_view what) {
    if (count > most_rows) {
        add_text(
            paper,
            Kind::small,
            fmt::format("{} more {} in the page and in report.json.", count - most_rows, what));
    }
}

void add_questions(Paper& paper, const CopperView& view) {
    if (view.questions.empty()) {
        return;
    }
    add_text(paper, Kind::subheading, "What to ask the board");
    add_text(paper, Kind::caution, probe_caution);
    std::vector<std::vector<std::string>> rows = {
        {"Probe", "Expected", "Chance of that", "Settles"}};
    for (const CopperQuestionView& one : view.questions) {
        if (rows.size() > most_rows) {
            break;
        }
        rows.push_back({one.from + " to " + one.to,
                        one.beeps ? "beep" : "no beep",
                        one.chance,
                        fmt::format("doubt {}", fmt::join(one.settles, ", "))});
    }
    add_table(paper, std::move(rows), {0.34, 0.2, 0.2, 0.26});
    add_rest(paper, view.questions.size(), "questions stand");
}

void add_doubts(Paper& paper, const CopperView& view) {
    if (view.doubts.empty()) {
        return;
    }
    add_text(paper, Kind::subheading, "Doubts about the copper");
    add_text(paper,
             Kind::small,
             "In a diamond, copper is taken for joined and may not be; in a ring, it is taken for "
             "parted and may be joined; in a triangle, a pad lies on no copper.");
    std::vector<std::vector<std::string>> rows = {
        {"No.", "Where and why", "Taken for", "May be wrong", "Pairs of pins"}};
    for (const CopperDoubtView& one : view.doubts) {
        if (rows.size() > most_rows) {
            break;
        }
        rows.push_back({std::to_string(one.number),
                        one.words,
                        one.taken,
                        one.wrong,
                        std::to_string(one.pairs)});
    }
    add_table(paper, std::move(rows), {0.07, 0.5, 0.16, 0.14, 0.13});
    add_rest(paper, view.doubts.size(), "doubts stand");
}

}  // namespace

base::Errors paper_board(Paper& paper, const Study& study) {
    base::Errors errors;
    if (!study.copper) {
        return errors;
    }
    add_text(paper, Kind::heading, "The board");
    if (study.copper->trace == nullptr) {
        add_text(paper, Kind::paragraph, "The copper could not be followed.");
        for (const base::Error& error : study.copper->why_not) {
            add_text(paper,
                     Kind::paragraph,
                     base::to_string({{}, first_upper(error.what), error.todo}) + ".");
        }
        return errors;
    }
    const CopperView view = report::view_of(*study.copper->trace);
    add_text(paper, Kind::paragraph, view.headline);
    for (const std::string& line : view.lines) {
        add_text(paper, Kind::paragraph, line);
    }
    add_sides(paper, *study.copper->trace, errors);
    add_questions(paper, view);
    add_doubts(paper, view);
    if (!view.contradictions.empty()) {
        add_text(paper, Kind::subheading, "What contradicts the copper");
        for (const std::string& one : view.contradictions) {
            add_text(paper, Kind::paragraph, one + ".");
        }
    }
    if (!view.remarks.empty()) {
        add_text(paper, Kind::subheading, "What to know about the photos and pads");
        for (std::size_t i = 0; i < std::min(view.remarks.size(), most_rows); ++i) {
            const copper::Remark& remark = view.remarks[i];
            add_text(
                paper,
                Kind::paragraph,
                first_upper(remark.what) + (remark.todo.empty() ? "" : "; " + remark.todo) + ".");
        }
        add_rest(paper, view.remarks.size(), "remarks stand");
    }
    return errors;
}

}  // namespace etchback::report::detail
