// A Page as blocks for paper: the same facts in the same order as on the page.
#pragma once

#include <fmt/format.h>

#include <string>
#include <vector>

#include "render/paper.h"
#include "report/detail/page.h"
#include "report/study.h"

namespace etchback::report::detail {

void paper_head(render::Paper& paper, const Page& page);
void paper_findings(render::Paper& paper, const Page& page);
// Nothing where nobody followed the copper. Errors: a photo that cannot be made small.
base::Errors paper_board(render::Paper& paper, const Study& study);
void paper_parts(render::Paper& paper, const Page& page);  // parts, nets, domains
void paper_how(render::Paper& paper, const Page& page);    // and what each part does
void paper_against(render::Paper& paper, const Page& page);
void paper_figures(render::Paper& paper, const Page& page);
void paper_behaviour(render::Paper& paper, const Page& page);
void paper_bench(render::Paper& paper, const Page& page);
void paper_end(render::Paper& paper, const Page& page);

void add_text(render::Paper& paper, render::PaperBlock::Kind kind, const std::string& text);
void add_spans(render::Paper& paper,
               render::PaperBlock::Kind kind,
               std::vector<render::Span> spans);
void add_table(render::Paper& paper,
               std::vector<std::vector<std::string>> rows,
               std::vector<double> widths);

// What `text` says of each, with `joint` between; what says nothing is left out.
template <typename List, typename Text>
std::string joined(const List& list, std::string_view joint, const Text& text) {
    std::vector<std::string> all;
    for (const auto& one : list) {
        if (std::string words = text(one); !words.empty()) {
            all.push_back(std::move(words));
        }
    }
    return fmt::format("{}", fmt::join(all, joint));
}

// "R1, R2 and R10".
std::string names_of(const std::vector<Link>& links);
// "reading input power: 3.9 W (dossier.toml, line 12)", one a line or one after the other.
std::string text_of(const std::vector<EvidenceView>& evidence, std::string_view joint);

// Only the names, where the page has the details: "R1, U1 and supply voltage".
std::string names_of(const std::vector<EvidenceView>& evidence);
// "Basis: common practice. ": with one full stop; empty where there is no text.
std::string sentence(std::string_view begin, std::string_view text);

}  // namespace etchback::report::detail
