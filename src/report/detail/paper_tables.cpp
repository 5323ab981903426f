// Parts, nets and figures on paper.
#include <fmt/format.h>

#include "base/text.h"
#include "report/detail/paper_blocks.h"
#include "report/detail/words.h"

namespace etchback::report::detail {
namespace {

using render::Paper;
using Kind = render::PaperBlock::Kind;
using Rows = std::vector<std::vector<std::string>>;

std::string labelled(const Fact& fact) {
    return fact.text.empty() ? fact.label : fact.label + ": " + fact.text;
}

std::string what_of(const PartView& part) {
    std::string text = part.kind;
    text += part.title.empty() ? "" : (text.empty() ? "" : ", ") + part.title;
    text += part.fitted ? "" : " (empty place)";
    text += part.touchable ? " (can be touched)" : "";
    return text;
}

std::vector<std::string> row_of(const PartView& part) {
    std::string value = part.value;
    const auto more = [&](const std::string& line) {
        value += line.empty() ? "" : (value.empty() ? "" : "\n") + line;
    };
    more(part.marking.empty() ? "" : "marked " + part.marking);
    more(joined(part.more, "\n", labelled));
    more(joined(
        part.alternatives, "\n", [](const std::string& other) { return "or else: " + other; }));
    more(part.note.empty() ? "" : "note: " + part.note);
    std::string body = part.body;
    body += part.rating.empty() ? "" : (body.empty() ? "" : "\n") + part.rating;
    return {part.name,
            what_of(part),
            value,
            body,
            joined(part.pins,
                   "\n",
                   [](const PinView& pin) {
                       return pin.pin + "  " + (pin.net.empty() ? "not connected" : pin.net);
                   }),
            joined(part.known, "; ", labelled)};
}

std::vector<std::string> row_of(const NetView& net) {
    std::string name = net.name + (net.also.empty() ? "" : "\nalso " + net.also);
    std::string side = net.domain + (net.role.empty() ? "" : "\n" + net.role);
    std::string notes = net.voltage;
    notes += net.touchable ? (notes.empty() ? "" : "; ") + std::string("can be touched") : "";
    notes += net.note.empty() ? "" : (notes.empty() ? "" : "; ") + net.note;
    return {name, side, joined(net.pins, ", ", [](const Link& pin) { return pin.text; }), notes};
}

std::vector<std::string> row_of(const FigureView& figure) {
    std::string sum = figure.formula;
    const auto more = [&](const std::string& line) {
        sum += line.empty() ? "" : (sum.empty() ? "" : "\n") + line;
    };
    more(figure.worked);
    more(sentence("Source: ", figure.source) + sentence("Rests on ", names_of(figure.evidence)));
    return {figure.title, figure.result + (figure.assumed ? "\n(assumed)" : ""), sum};
}

void paper_domains(Paper& paper, const Page& page) {
    add_text(paper, Kind::heading, "What is tied to the mains, what is isolated");
    add_text(paper, Kind::paragraph, text_of(page.isolation));
    Rows rows = {{"Side", "Nature", "Nets"}};
    for (const DomainView& domain : page.domains) {
        rows.push_back({first_upper(domain.name) +
                            (domain.reference.empty() ? "" : "\n0 V is " + domain.reference),
                        first_upper(domain.nature) + ". " + domain.explanation,
                        names_of(domain.nets)});
    }
    add_table(paper, std::move(rows), {2, 3, 5});
    if (!page.bridges.empty()) {
        add_text(paper, Kind::subheading, "What stands between them");
        Rows bridges = {{"Part", "Kind", "Between", "What passes"}};
        for (const BridgeView& bridge : page.bridges) {
            bridges.push_back({bridge.part.text, bridge.kind, bridge.between, bridge.way});
        }
        add_table(paper, std::move(bridges), {1, 2, 2, 4});
    }
}

}  // namespace

void paper_parts(Paper& paper, const Page& page) {
    add_text(paper, Kind::heading, "Parts");
    Rows parts = {{"Name", "Kind", "Value, type, marking", "Body, rating", "Pins", "Known"}};
    for (const PartView& part : page.parts) {
        parts.push_back(row_of(part));
    }
    add_table(paper, std::move(parts), {0.9, 2.1, 3.3, 1.9, 2.3, 3.2});
    add_text(paper, Kind::heading, "Nets");
    Rows nets = {{"Name", "Side", "Pins", "Notes"}};
    for (const NetView& net : page.nets) {
        nets.push_back(row_of(net));
    }
    add_table(paper, std::move(nets), {2, 2, 5, 3});
    paper_domains(paper, page);
    if (!page.photos.empty()) {
        add_text(paper,
                 Kind::small,
                 "Photos are on the page report.html: " +
                     joined(page.photos, ", ", [](const PhotoView& photo) { return photo.file; }) +
                     ".");
    }
}

void paper_how(Paper& paper, const Page& page) {
    if (page.how.empty()) {
        return;
    }
    add_text(paper, Kind::heading, "How it works");
    for (const HowStage& stage : page.how) {
        add_text(paper, Kind::subheading, stage.title);
        for (const HowBlock& block : stage.blocks) {
            std::string text;
            for (const auto* sentences : {&block.sentences, &block.remarks}) {
                for (const std::string& one : *sentences) {
                    text += (text.empty() ? "" : " ") + one;
                }
            }
            for (const std::string& doubt : block.doubts) {
                text += " " + doubt;
            }
            for (const std::string& caution : block.cautions) {
                text += " Caution: " + caution;
            }
            text += block.simulated.empty() ? "" : " " + block.simulated;
            add_text(paper, Kind::paragraph, text);
        }
        for (const HowEvents& events : stage.events) {
            std::string text = events.lead;
            for (const HowEvent& line : events.lines) {
                text += fmt::format(" {}: {}", line.time, line.text);
            }
            for (const std::string* one : {&events.more, &events.outcome}) {
                text += one->empty() ? "" : " " + *one;
            }
            add_text(paper, Kind::paragraph, text);
        }
    }
    add_text(paper, Kind::heading, "What each part does");
    if (!page.unexplained.empty()) {
        add_text(paper, Kind::paragraph, "Not explained: " + names_of(page.unexplained) + ".");
    }
    Rows rows = {{"Part", "Kind", "What it is there for", "Group"}};
    for (const RoleView& role : page.roles) {
        rows.push_back({role.part.text, role.kind, role.role, role.block});
    }
    add_table(paper, std::move(rows), {1, 2.5, 4, 3.5});
}

void paper_against(Paper& paper, const Page& page) {
    if (!page.has_against) {
        return;
    }
    add_text(paper, Kind::heading, "How it differs from the reference");
    add_text(paper, Kind::paragraph, page.reference + ". " + page.against_words);
    if (page.differences.empty()) {
        add_text(paper, Kind::paragraph, "No difference.");
        return;
    }
    Rows rows = {{"No.", "What", "Difference", "What it means"}};
    for (const DifferenceView& d : page.differences) {
        rows.push_back({d.number, d.kind, d.words, d.consequence});
    }
    add_table(paper, std::move(rows), {0.6, 1.6, 5, 4});
}

void paper_figures(Paper& paper, const Page& page) {
    if (page.figures.empty()) {
        return;
    }
    add_text(paper, Kind::heading, "Figures");
    for (const FigureGroup& group : page.figures) {
        add_text(paper, Kind::subheading, group.title);
        Rows rows = {{"Figure", "Result", "Arithmetic"}};
        for (const FigureView& figure : group.figures) {
            rows.push_back(row_of(figure));
        }
        add_table(paper, std::move(rows), {3, 2.2, 5.5});
    }
}

}  // namespace etchback::report::detail
