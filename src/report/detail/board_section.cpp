#include "report/detail/board_section.h"

#include <fmt/format.h>

#include "report/board_svg.h"
#include "report/copper_view.h"
#include "report/detail/template_fields.h"
#include "report/detail/template_items.h"
#include "report/detail/words.h"

namespace etchback::report::detail {
namespace {

using Data = kainjow::mustache::data;

// A longer list is folded, so that a board in doubt does not bury the rest of the page.
constexpr std::size_t longest_open = 8;

std::string fold(std::size_t count, std::string_view one, std::string_view many) {
    return count > longest_open ? counted(count, one, many) : std::string();
}

// "R1.2" as a link to its part, where the circuit has it.
std::vector<Link> pad_link(const std::string& pad, const Study& study) {
    const std::string part = pad.substr(0, pad.rfind('.'));
    const bool known = study.dossier.part(part) != nullptr;
    Link link = known ? part_link(part) : words(pad);
    link.text = pad;
    return {link};
}

Data question_data(const CopperQuestionView& question, const Study& study) {
    return Fields()
        .list("from", pad_link(question.from, study), make<Link>)
        .list("to", pad_link(question.to, study), make<Link>)
        .flag("beeps", question.beeps)
        .text("chance", question.chance)
        .text("settles", fmt::format("{}", fmt::join(question.settles, ", ")));
}

Data doubt_data(const CopperDoubtView& doubt) {
    return Fields()
        .text("number", std::to_string(doubt.number))
        .text("words", doubt.words)
        .text("wrong", doubt.wrong)
        .text("pairs", std::to_string(doubt.pairs))
        .text("taken", doubt.taken);
}

Data remark_data(const copper::Remark& remark) {
    return Fields().text("what", first_upper(remark.what)).text("todo", remark.todo);
}

struct SideView {
    std::string side, svg;
    bool turned = false;
    bool doubtful = false;
};

Data side_data(const SideView& side) {
    return Fields()
        .text("side", side.side)
        .text("svg", side.svg)
        .flag("turned", side.turned)
        .flag("doubtful", side.doubtful);
}

std::vector<SideView> sides_of(const copper::Trace& trace, base::Errors& errors) {
    std::vector<SideView> sides;
    for (const copper::Side side : {copper::Side::top, copper::Side::bottom}) {
        const auto& picture = trace.picture.side(side);
        if (!picture) {
            continue;
        }
        const auto svg = board_svg(trace, side, {.standalone = false, .longest_px = 1400});
        if (!svg) {
            errors = svg.errors();
            continue;
        }
        const bool top = side == copper::Side::top;
        sides.push_back({.side = top ? "Top side" : "Bottom side",
                         .svg = *svg,
                         .turned = !top,
                         .doubtful = !picture->trusted});
    }
    return sides;
}

}  // namespace

base::Errors add_board(Data& data, const Study& study) {
    base::Errors errors;
    const bool tried = study.copper.has_value();
    data.set("has_board", Data(tried));
    if (!tried) {
        return errors;
    }
    const bool followed = study.copper->trace != nullptr;
    std::vector<std::string> why;
    for (const base::Error& error : study.copper->why_not) {
        why.push_back(base::to_string({{}, first_upper(error.what), error.todo}) + ".");
    }
    const CopperView view = followed ? report::view_of(*study.copper->trace) : CopperView{};
    const std::vector<SideView> sides =
        followed ? sides_of(*study.copper->trace, errors) : std::vector<SideView>{};
    const Data board =
        Fields()
            .texts("why_not", why)
            .flag("followed", followed)
            .list("sides", sides, side_data)
            .text("headline", view.headline)
            .texts("facts", view.lines)
            .text("caution", probe_caution)
            .flag("has_doubts_here", !view.doubts.empty())
            .text("fold_questions", fold(view.questions.size(), "question", "questions"))
            .text("fold_doubts", fold(view.doubts.size(), "doubt", "doubts"))
            .text("fold_remarks", fold(view.remarks.size(), "remark", "remarks"))
            .list("questions",
                  view.questions,
                  [&](const CopperQuestionView& one) { return question_data(one, study); })
            .list("board_doubts", view.doubts, doubt_data)
            .texts("contradictions", view.contradictions)
            .list("board_remarks", view.remarks, remark_data);
    data.set("board", board);
    return errors;
}

}  // namespace etchback::report::detail
