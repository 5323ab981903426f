#include <fmt/format.h>

#include "drawing/svg.h"
#include "report/circuit_sheet.h"
#include "report/detail/page.h"
#include "report/detail/paper_blocks.h"
#include "report/report.h"

namespace etchback::report {

using namespace detail;

namespace {

// The drawing with its notes; or, where the dossier names a paper, its sheets.
void paper_circuit(render::Paper& paper, const Study& study) {
    using Kind = render::PaperBlock::Kind;
    const DrawnCircuit drawn = drawn_circuit(study);
    const drawing::SvgStyle style{.title = study.dossier.item.name.value};
    add_text(paper, Kind::heading, "The circuit");
    const std::vector<drawing::Sheet> sheets = sheets_of(study, drawn);
    if (study.sheet_words.paper == drawing::Paper::fit) {
        render::PaperBlock circuit;
        circuit.kind = Kind::drawing;
        circuit.svg = drawing::to_svg(sheets.front(), study.circuit, style);
        paper.blocks.push_back(std::move(circuit));
        return;
    }
    add_text(paper,
             Kind::small,
             sheets.size() == 1 ? std::string("Drawn on the next page.")
                                : fmt::format("Drawn on the next {} pages.", sheets.size()));
    for (const drawing::Sheet& sheet : sheets) {
        render::PaperBlock block;
        block.kind = Kind::sheet;
        block.svg = drawing::to_svg(sheet, study.circuit, style);
        block.spans.push_back({fmt::format("Sheet {}", sheet.number)});
        paper.blocks.push_back(std::move(block));
    }
}

}  // namespace

base::Result<std::string> to_pdf(const Study& study) {
    const Page page = page_of(study);
    render::Paper paper;
    paper.title = page.name;
    paper.author = page.author;
    paper.footer = page.name + (page.invented ? " · invented example" : "") +
                   (page.licence.empty() ? "" : " · " + page.licence) +
                   " · an aid, not a certificate";
    paper_head(paper, page);
    paper_findings(paper, page);
    paper_circuit(paper, study);
    if (base::Errors errors = paper_board(paper, study); !errors.empty()) {
        return errors;
    }
    paper_parts(paper, page);
    paper_how(paper, page);
    paper_against(paper, page);
    paper_figures(paper, page);
    paper_behaviour(paper, page);
    paper_bench(paper, page);
    paper_end(paper, page);
    return render::pdf_from_paper(paper);
}

}  // namespace etchback::report
