// What a reader has to know in the first minute: what it is, what feeds it, whether the load is
// isolated, the worst, and how far all that can be believed.
#include <fmt/format.h>

#include <algorithm>

#include "base/text.h"
#include "report/detail/page.h"
#include "report/detail/words.h"

namespace etchback::report::detail {
namespace {

using findings::Severity;

constexpr std::size_t worst_shown = 3;

std::string supply_text(const dossier::Supply& supply) {
    std::string text = text_of(supply.voltage);
    text += text.empty() ? "" : " ";
    text += supply.kind == dossier::Supply::Kind::ac ? "AC" : "DC";
    if (supply.frequency) {
        text += ", " + text_of(supply.frequency);
    }
    if (supply.earthed) {
        text += *supply.earthed ? ", with protective earth" : ", without protective earth";
    }
    if (!supply.note.value.empty()) {
        text += "; " + supply.note.value;
    }
    return text;
}

std::string item_text(const Study& study) {
    const dossier::Item& item = study.dossier.item;
    std::vector<std::string> words;
    if (!item.model.value.empty()) {
        words.push_back("model " + item.model.value);
    }
    if (!item.maker.value.empty()) {
        words.push_back("maker " + item.maker.value);
    }
    words.push_back(counted(study.circuit.parts.size(), "part", "parts") + " on " +
                    counted(study.circuit.nets.size(), "net", "nets"));
    const auto empty = static_cast<std::size_t>(std::count_if(
        study.dossier.parts.begin(), study.dossier.parts.end(), [](const dossier::Part& p) {
            return !p.fitted;
        }));
    if (empty > 0) {
        words.push_back(counted(empty, "empty place", "empty places"));
    }
    return fmt::format("{}", fmt::join(words, "; "));
}

std::string claims_text(const std::vector<ClaimView>& claims) {
    std::vector<std::string> words;
    for (const ClaimView& claim : claims) {
        words.push_back(claim.quantity + " " + claim.claimed);
    }
    return fmt::format("{}", fmt::join(words, "; "));
}

Sentence worst_of(const std::vector<FindingView>& findings) {
    if (findings.empty()) {
        return {words("None by the rules of this program. That is not the same as safe.")};
    }
    Sentence sentence;
    const std::size_t shown = std::min(findings.size(), worst_shown);
    for (std::size_t i = 0; i < shown; ++i) {
        sentence.push_back(words((i > 0 ? "\n" : "") + first_upper(findings[i].severity) + ": "));
        sentence.push_back({findings[i].title, "", "", findings[i].anchor});
    }
    if (findings.size() > shown) {
        sentence.push_back(words("\nand "));
        sentence.push_back({fmt::format("{} more", findings.size() - shown), "", "", "findings"});
    }
    return sentence;
}

}  // namespace

bool supply_unknown(const dossier::Supply& supply) {
    return !supply.voltage && !supply.frequency && !supply.earthed && supply.note.value.empty();
}

std::string severity_counts(const std::vector<findings::Finding>& all) {
    const auto number = [&](Severity severity) {
        return static_cast<std::size_t>(std::count_if(
            all.begin(), all.end(), [&](const auto& f) { return f.severity == severity; }));
    };
    std::vector<std::string> words;
    const auto add = [&](Severity severity, const char* one, const char* many) {
        if (const std::size_t n = number(severity); n > 0) {
            words.push_back(counted(n, one, many));
        }
    };
    add(Severity::danger, "danger", "dangers");
    add(Severity::warning, "warning", "warnings");
    add(Severity::weakness, "weakness", "weaknesses");
    add(Severity::note, "note", "notes");
    return base::listed(words);
}

std::vector<SummaryLine> summary_of(const Page& page, const Study& study) {
    std::vector<SummaryLine> lines = {{"What it is", {words(item_text(study))}}};
    lines.push_back(
        {"Fed by",
         {words(supply_unknown(study.dossier.supply) ? "not written down"
                                                     : supply_text(study.dossier.supply))}});
    lines.push_back({"Isolation", page.isolation});
    lines.push_back({"Worst findings", worst_of(page.findings)});
    if (!page.sureness.headline.empty()) {
        lines.push_back({"How sure", {{page.sureness.headline, "", "", "sureness"}}});
    }
    if (!page.claims.empty()) {
        lines.push_back({"It claims", {words(claims_text(page.claims))}});
    }
    return lines;
}

}  // namespace etchback::report::detail
