#include "report/detail/page.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <sstream>

#include "base/text.h"
#include "report/detail/words.h"

namespace etchback::report::detail {
namespace {

// Paragraphs are parted by an empty line.
std::vector<std::string> paragraphs(const std::string& text) {
    std::vector<std::string> all;
    std::istringstream lines(text);
    std::string line;
    bool open = false;
    while (std::getline(lines, line)) {
        const std::string_view words = base::trimmed(line);
        if (words.empty()) {
            open = false;
            continue;
        }
        if (!open) {
            all.emplace_back(words);
            open = true;
        } else {
            all.back() += " " + std::string(words);
        }
    }
    return all;
}

std::string verdict_of(const Study& study) {
    if (study.findings.empty()) {
        return "No rule of this program found fault with what the dossier holds. That is not the "
               "same as safe.";
    }
    return "Found: " + severity_counts(study.findings) + ". Worst first.";
}

std::vector<std::string> cautions_of(const Study& study) {
    std::vector<std::string> cautions;
    const bool mains = std::any_of(
        study.domains.domains.begin(), study.domains.domains.end(), [](const circuit::Domain& d) {
            return d.nature == circuit::Domain::Nature::mains;
        });
    const bool unknown = !mains && supply_unknown(study.dossier.supply);
    const bool ac = study.dossier.supply.kind == dossier::Supply::Kind::ac;
    if (mains || unknown || ac) {
        cautions.push_back(
            std::string(unknown
                            ? "The dossier does not say what feeds the item. Mains kills: if it "
                              "is that, unplug "
                            : "Mains kills. Unplug ") +
            "before you open or touch anything; work on live parts only through an isolating "
            "transformer, with one hand, and never alone.");
    }
    cautions.push_back(
        "Capacitors stay charged after the plug is out. Discharge them through a resistor and "
        "measure "
        "before you touch.");
    cautions.push_back(
        "This judgement is an aid, not a certificate. It knows only what the dossier holds, and "
        "its "
        "rules are few. Local codes, the full text of the standards and qualified people decide.");
    return cautions;
}

std::string licence_url(const std::string& licence) {
    static constexpr std::pair<std::string_view, std::string_view> known[] = {
        {"CC-BY-4.0", "https://creativecommons.org/licenses/by/4.0/"},
        {"CC-BY-SA-4.0", "https://creativecommons.org/licenses/by-sa/4.0/"},
        {"CC0-1.0", "https://creativecommons.org/publicdomain/zero/1.0/"},
    };
    for (const auto& [name, url] : known) {
        if (name == licence) {
            return std::string(url);
        }
    }
    return "";
}

std::vector<ComplaintView> complaints_of(const Study& study) {
    std::vector<ComplaintView> views;
    for (const circuit::Complaint& complaint : study.complaints) {
        views.push_back({.what = first_upper(complaint.error.what),
                         .todo = complaint.error.todo,
                         .place = text_of(complaint.error.place),
                         .doubtful = complaint.doubtful,
                         .parts = part_links(complaint.parts),
                         .nets = net_links(complaint.nets)});
    }
    return views;
}

// Evidence names a figure by its id; a reader wants its title.
void give_titles(std::vector<EvidenceView>& evidence,
                 const std::map<std::string, std::string>& titles) {
    for (EvidenceView& one : evidence) {
        if (one.what.anchor.starts_with("figure-")) {
            const auto title = titles.find(one.what.anchor);
            one.what.text = title != titles.end() ? title->second : one.what.text;
            one.what.anchor = title != titles.end() ? one.what.anchor : "";
        }
    }
}

void give_titles(Page& page) {
    std::map<std::string, std::string> titles;
    for (const FigureGroup& group : page.figures) {
        for (const FigureView& figure : group.figures) {
            titles[figure.anchor] = figure.title;
        }
    }
    for (FindingView& finding : page.findings) {
        give_titles(finding.evidence, titles);
    }
    for (FigureGroup& group : page.figures) {
        for (FigureView& figure : group.figures) {
            give_titles(figure.evidence, titles);
        }
    }
}

}  // namespace

std::vector<FindingView> findings_of(const Study& study) {
    std::vector<FindingView> views;
    for (const findings::Finding& finding : study.findings) {
        FindingView view;
        view.number = static_cast<int>(views.size()) + 1;
        view.anchor = anchor("finding", finding.id);
        view.severity = findings::name_of(finding.severity);
        view.confidence = findings::name_of(finding.confidence);
        view.title = finding.title;
        view.text = finding.text;
        view.remedy = finding.remedy;
        view.basis = finding.basis;
        view.caution = finding.caution;
        view.parts = part_links(finding.parts);
        view.nets = net_links(finding.nets);
        for (const base::Evidence& evidence : finding.evidence) {
            view.evidence.push_back(view_of(evidence));
        }
        views.push_back(std::move(view));
    }
    return views;
}

Page page_of(const Study& study) {
    const dossier::Item& item = study.dossier.item;
    Page page;
    page.name = item.name.value;
    page.author = item.author.value;
    page.licence = item.licence.value;
    page.licence_url = licence_url(page.licence);
    page.date = item.date.value;
    page.maker = item.maker.value;
    page.model = item.model.value;
    page.invented = item.invented;
    page.story = paragraphs(item.story.value);
    page.verdict = verdict_of(study);
    page.findings = findings_of(study);
    page.cautions = cautions_of(study);
    for (const dossier::Photo& photo : study.dossier.photos) {
        page.photos.push_back({photo.file.value, photo.side.value, photo.note.value});
    }
    page.parts = parts_of(study);
    page.nets = nets_of(study);
    add_domains(page, study);
    page.figures = figures_of(study);
    add_blocks(page, study);
    add_against(page, study);
    give_titles(page);
    if (study.behaviour) {
        page.has_behaviour = true;
        page.behaviour = report::view_of(*study.behaviour, study.dossier);
    }
    add_bench(page, study);
    page.complaints = complaints_of(study);
    page.sureness = sureness_of(study);
    page.summary = summary_of(page, study);
    if (study.dossier.reference) {
        const dossier::Reference& reference = *study.dossier.reference;
        page.reference = reference.title.value;
        if (!reference.source.value.empty()) {
            page.reference += " (" + reference.source.value + ")";
        }
    }
    return page;
}

}  // namespace etchback::report::detail
