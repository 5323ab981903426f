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

std::vector<NetVoltage> voltages_of(const dossier::Dossier& dossier,
                                    const circuit::Circuit& circuit,
                                    const circuit::Domains& domains) {
    std::vector<NetVoltage> voltages;
    const auto known = [&](circuit::NetId net) {
        return std::any_of(
            voltages.begin(), voltages.end(), [&](const NetVoltage& v) { return v.net == net; });
    };
    for (const dossier::NetNote& note : dossier.nets) {
        const auto net = circuit.net(note.name);
        if (net && note.voltage && !known(*net)) {
            voltages.push_back({*net, base::to_text(note.voltage->value)});
        }
    }
    for (const dossier::Reading& reading : dossier.readings) {
        if (reading.quantity.value != "voltage" || reading.between.size() != 2) {
            continue;
        }
        const auto net = circuit.net(reading.between[0].value);
        const auto against = circuit.net(reading.between[1].value);
        if (!net || !against || known(*net)) {
            continue;
        }
        const int domain = domains.of(*net);
        if (domain >= 0 &&
            domains.domains[static_cast<std::size_t>(domain)].reference == *against) {
            voltages.push_back({*net, base::to_text(reading.value.value)});
        }
    }
    return voltages;
}

}  // namespace etchback::drawing
