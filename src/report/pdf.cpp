#include <fmt/format.h>

#include "drawing/svg.h"
#include "report/detail/page.h"
#include "report/detail/paper_blocks.h"
#include "report/report.h"

namespace etchback::report {

using namespace detail;

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
    render::PaperBlock circuit;
    circuit.kind = render::PaperBlock::Kind::drawing;
    circuit.svg = drawing::to_svg(study.drawing, study.circuit, {.title = page.name});
    add_text(paper, render::PaperBlock::Kind::heading, "The circuit");
    paper.blocks.push_back(std::move(circuit));
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
