// What a sheet says, from the dossier's own words.
#include <fmt/format.h>

#include <algorithm>

#include "base/text.h"
#include "drawing/sheet.h"

namespace etchback::drawing {

namespace {

bool is_assumed(const dossier::Part& part, std::string_view fact) {
    return part.basis(fact) == dossier::Basis::assumed;
}

// "R1: value 470k may be 47k (the 4 at the end may be a 3)."
void add_doubts(const dossier::Part& part, std::vector<std::string>& notes) {
    std::vector<std::string> fields;
    for (const dossier::Alternative& one : part.alternatives) {
        if (std::find(fields.begin(), fields.end(), one.field) == fields.end()) {
            fields.push_back(one.field);
        }
    }
    for (const std::string& field : fields) {
        std::vector<std::string> readings;
        for (const dossier::Alternative& one : part.alternatives) {
            if (one.field == field) {
                readings.push_back(
                    one.reading.value +
                    (one.because.value.empty()
                         ? std::string()
                         : " (" + std::string(base::trimmed(one.because.value)) + ")"));
            }
        }
        notes.push_back(fmt::format(
            "{}: its {} may also be {}.", part.name, field, base::listed(readings, "or")));
    }
}

}  // namespace

TitleBlock title_block_of(const dossier::Dossier& dossier) {
    const dossier::Item& item = dossier.item;
    TitleBlock title;
    title.title = item.name.value;
    title.maker = item.maker.value +
                  (item.maker.value.empty() || item.model.value.empty() ? "" : " ") +
                  item.model.value;
    title.author = item.author.value;
    title.date = item.date.value;
    title.revision = dossier.drawing.revision.value;
    title.licence = item.licence.value;
    title.invented = item.invented;
    return title;
}

std::vector<std::string> notes_of(const dossier::Dossier& dossier) {
    std::vector<std::string> notes;
    for (const dossier::Text& note : dossier.drawing.notes) {
        notes.push_back(note.value);
    }
    std::vector<std::string> assumed;
    for (const dossier::Part& part : dossier.parts) {
        if (part.fitted && part.value && is_assumed(part, "value")) {
            assumed.push_back(part.name);
        }
    }
    if (!assumed.empty()) {
        notes.push_back(fmt::format("{} of {} {} assumed.",
                                    assumed.size() == 1 ? "The value" : "The values",
                                    base::listed(assumed),
                                    assumed.size() == 1 ? "is" : "are"));
    }
    for (const dossier::Part& part : dossier.parts) {
        if (part.fitted) {
            add_doubts(part, notes);
        }
    }
    return notes;
}

}  // namespace etchback::drawing
