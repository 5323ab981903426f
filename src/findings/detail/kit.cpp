#include "findings/detail/kit.h"

#include <algorithm>
#include <cassert>

#include "base/text.h"
#include "findings/detail/placeholders.h"

namespace etchback::findings::detail {
namespace {

void add_once(std::vector<base::Evidence>& all, base::Evidence evidence) {
    if (std::find(all.begin(), all.end(), evidence) == all.end()) {
        all.push_back(std::move(evidence));
    }
}

std::string words_of(std::string_view field) {
    std::string words(field);
    std::replace(words.begin(), words.end(), '_', ' ');
    return words;
}

// A placeholder may open the text with a small letter; a part's name stays as it is.
std::string sentence(std::string text, const std::vector<std::string>& parts) {
    const std::string first = text.substr(0, text.find(' '));
    const bool small = !text.empty() && text.front() >= 'a' && text.front() <= 'z';
    if (small && std::find(parts.begin(), parts.end(), first) == parts.end()) {
        text.front() = static_cast<char>(text.front() - 'a' + 'A');
    }
    return text;
}

Confidence confidence_of(int doubts) {
    return doubts == 0   ? Confidence::certain
           : doubts == 1 ? Confidence::likely
                         : Confidence::possible;
}

}  // namespace

void rest_on(Draft& draft,
             const circuit::Part& part,
             std::initializer_list<std::string_view> fields,
             std::string detail) {
    if (std::find(draft.parts.begin(), draft.parts.end(), part.name) == draft.parts.end()) {
        draft.parts.push_back(part.name);
    }
    add_once(draft.evidence,
             {base::Evidence::Kind::part, part.name, std::move(detail), part.said.place});
    for (const std::string_view field : fields) {
        if (field == "kind" && (part.kind.id == "unknown" || part.kind.id == "capacitor")) {
            ++draft.doubts;
            add_once(draft.evidence,
                     {base::Evidence::Kind::assumption,
                      part.name,
                      part.kind.id == "unknown" ? "what it is is not known"
                                                : "its dielectric and class are not noted",
                      part.said.place});
        }
        if (part.said.basis(field) == dossier::Basis::assumed) {
            ++draft.doubts;
            add_once(draft.evidence,
                     {base::Evidence::Kind::assumption,
                      part.name,
                      words_of(field) + " is assumed",
                      part.said.place});
        }
        for (const dossier::Alternative& other : part.said.alternatives) {
            if (other.field == field) {
                ++draft.doubts;
                add_once(draft.evidence,
                         {base::Evidence::Kind::assumption,
                          part.name,
                          words_of(field) + " may be " + other.reading.value +
                              (other.because.value.empty() ? "" : ": " + other.because.value),
                          other.reading.place});
            }
        }
    }
}

void rest_on(Draft& draft, const blocks::VoltageBetween& voltage) {
    rest_on(draft, voltage.figure);
}

void rest_on(Draft& draft, const base::Figure& figure) {
    draft.doubts += figure.assumed ? 1 : 0;
    add_once(draft.evidence, {base::Evidence::Kind::figure, figure.id, figure.worked, {}});
    rest_on(draft, figure.evidence);
}

void rest_on(Draft& draft, const std::vector<base::Evidence>& evidence) {
    for (const base::Evidence& each : evidence) {
        add_once(draft.evidence, each);
    }
}

void report(const Kit& kit, Draft draft) {
    const auto it = kit.texts.find(draft.text_id);
    if (it == kit.texts.end()) {
        return;  // a caller may hand in fewer rules; load_rule_texts demands them all
    }
    const RuleText& text = it->second;
    Finding f;
    f.rule = draft.text_id.substr(0, draft.text_id.find('.'));
    f.id = draft.about.empty() ? f.rule : f.rule + "." + draft.about;
    f.severity = text.severity;
    f.confidence = confidence_of(draft.doubts);
    f.title = sentence(filled(text.title, draft.words), draft.parts);
    f.text = sentence(filled(text.text, draft.words), draft.parts);
    f.remedy = filled(text.remedy, draft.words);
    f.basis = filled(text.basis, draft.words);
    f.caution = filled(text.caution, draft.words);
    f.parts = std::move(draft.parts);
    f.nets = std::move(draft.nets);
    f.evidence = std::move(draft.evidence);
    kit.out.push_back(std::move(f));
}

std::string volts(double v) {
    return text_of(v, base::Unit::volt);
}

std::string text_of(double value, base::Unit unit) {
    return base::to_engineering(value, unit, {.digits = 3});
}

std::string names(const circuit::Circuit& circuit, const std::vector<circuit::PartId>& parts) {
    std::vector<std::string> words;
    for (const circuit::PartId id : parts) {
        words.push_back(circuit[id].name);
    }
    return base::listed(words);
}

}  // namespace etchback::findings::detail
