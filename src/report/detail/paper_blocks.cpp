#include "report/detail/paper_blocks.h"

#include <fmt/format.h>

#include "base/text.h"
#include "report/detail/words.h"

namespace etchback::report::detail {

using render::Paper;
using render::PaperBlock;
using render::Span;
using Kind = PaperBlock::Kind;

void add_spans(Paper& paper, Kind kind, std::vector<Span> spans) {
    PaperBlock block;
    block.kind = kind;
    block.spans = std::move(spans);
    paper.blocks.push_back(std::move(block));
}

void add_text(Paper& paper, Kind kind, const std::string& text) {
    add_spans(paper, kind, {Span{.text = text}});
}

void add_table(Paper& paper,
               std::vector<std::vector<std::string>> rows,
               std::vector<double> widths) {
    PaperBlock block;
    block.kind = Kind::table;
    block.rows = std::move(rows);
    block.widths = std::move(widths);
    paper.blocks.push_back(std::move(block));
}

std::string names_of(const std::vector<Link>& links) {
    std::vector<std::string> names;
    for (const Link& link : links) {
        names.push_back(link.text);
    }
    return base::listed(names);
}

std::string text_of(const std::vector<EvidenceView>& evidence, std::string_view joint) {
    std::vector<std::string> all;
    for (const EvidenceView& one : evidence) {
        std::string text = one.kind + (one.kind.empty() ? "" : " ") + one.what.text;
        text += one.detail.empty() ? "" : ": " + one.detail;
        text += one.place.empty() ? "" : " (" + one.place + ")";
        all.push_back(std::move(text));
    }
    return fmt::format("{}", fmt::join(all, joint));
}

std::string names_of(const std::vector<EvidenceView>& evidence) {
    std::vector<std::string> names;
    for (const EvidenceView& one : evidence) {
        names.push_back(one.what.text);
    }
    return base::listed(names);
}

std::string sentence(std::string_view begin, std::string_view text) {
    if (text.empty()) {
        return "";
    }
    return fmt::format("{}{}{} ", begin, text, text.ends_with('.') ? "" : ".");
}

void paper_head(Paper& paper, const Page& page) {
    add_text(paper, Kind::title, page.name);
    std::string line = "A circuit traced from the board";
    line += page.author.empty() ? "" : ", by " + page.author;
    line += page.date.empty() ? "" : ", " + page.date;
    if (page.invented) {
        add_spans(
            paper,
            Kind::paragraph,
            {{.text = line + ". "}, {.text = "Invented example, not a real item.", .bold = true}});
    } else {
        add_text(paper, Kind::paragraph, line + ".");
    }
    for (const std::string& paragraph : page.story) {
        add_text(paper, Kind::paragraph, paragraph);
    }
    std::vector<std::vector<std::string>> rows = {{"In one minute", ""}};
    for (const SummaryLine& line_of : page.summary) {
        rows.push_back({line_of.label, text_of(line_of.words)});
    }
    add_table(paper, std::move(rows), {1, 5});
}

void paper_findings(Paper& paper, const Page& page) {
    add_text(paper, Kind::heading, "Findings");
    add_text(paper, Kind::paragraph, page.verdict);
    for (const FindingView& finding : page.findings) {
        add_text(paper,
                 Kind::subheading,
                 fmt::format(
                     "{}. {}: {}", finding.number, first_upper(finding.severity), finding.title));
        add_text(paper, Kind::paragraph, finding.text);
        const auto line = [&](const char* label, const std::string& text) {
            if (!text.empty()) {
                add_spans(paper,
                          Kind::paragraph,
                          {{.text = std::string(label) + " ", .bold = true}, {.text = text}});
            }
        };
        line("Take care:", finding.caution);
        line("What to do:", finding.remedy);
        std::string rest = sentence("Rests on ", text_of(finding.evidence, "; "));
        rest += sentence("Basis: ", finding.basis);
        add_text(paper, Kind::small, rest + "How sure: " + finding.confidence + ".");
    }
    std::vector<Span> spans = {{.text = "Before you touch anything", .bold = true}};
    for (const std::string& caution : page.cautions) {
        spans.push_back({.text = "\n• " + caution});
    }
    add_spans(paper, Kind::caution, std::move(spans));
}

void paper_end(Paper& paper, const Page& page) {
    add_text(paper, Kind::heading, "What is not in order in the dossier");
    if (page.complaints.empty()) {
        add_text(paper,
                 Kind::paragraph,
                 "Nothing: every pin lies on a net, every net joins something, and no polarity is "
                 "impossible.");
    }
    for (const ComplaintView& complaint : page.complaints) {
        std::string text = "• " + complaint.what;
        text += complaint.todo.empty() ? "" : "; " + complaint.todo;
        text += complaint.doubtful ? " (may be meant so)" : "";
        text += complaint.place.empty() ? "" : " (" + complaint.place + ")";
        add_text(paper, Kind::paragraph, text);
    }
    add_text(paper, Kind::heading, "How sure we are");
    for (const std::string* text : {&page.sureness.headline, &page.sureness.absent}) {
        if (!text->empty()) {
            add_text(paper, Kind::paragraph, *text);
        }
    }
    std::vector<std::vector<std::string>> counts = {{"Facts about the parts", "Number"}};
    for (const Fact& count : page.sureness.counts) {
        counts.push_back({count.label, count.text});
    }
    add_table(paper, std::move(counts), {3, 1});
    if (!page.sureness.assumed.empty()) {
        std::vector<std::vector<std::string>> assumed = {{"Assumed, not known", "Of"}};
        for (const Assumed& one : page.sureness.assumed) {
            assumed.push_back({first_upper(one.field), names_of(one.parts)});
        }
        add_table(paper, std::move(assumed), {2, 6});
    }
    if (!page.sureness.alternatives.empty()) {
        std::vector<std::vector<std::string>> others = {
            {"Part", "Other readings of the same thing"}};
        for (const Fact& fact : page.sureness.alternatives) {
            others.push_back({fact.label, fact.text});
        }
        add_table(paper, std::move(others), {1, 7});
    }
    add_text(paper, Kind::heading, "How this was made");
    std::string made =
        "Somebody wrote down what was seen, measured, read and told about the item: that is the "
        "dossier. All else, the drawn circuit, the figures and the findings, was derived from it "
        "by "
        "the program Etchback and can be derived again; the same dossier gives the same pages.";
    made += page.reference.empty()
                ? ""
                : " The dossier also holds a circuit to compare with: " + page.reference + ".";
    add_text(paper, Kind::paragraph, made);
    std::string licence =
        page.licence.empty()
            ? "No licence is stated: ask the author before you reuse this."
            : "Licence of this report and its dossier: " + page.licence +
                  (page.licence_url.empty() ? "" : " (" + page.licence_url + ")") + ".";
    licence += page.author.empty() ? "" : " By " + page.author + ".";
    add_text(paper, Kind::small, licence);
}

}  // namespace etchback::report::detail
