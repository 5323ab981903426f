// What the galvanic domains mean to a person, in a sentence.
#include <algorithm>

#include "base/text.h"
#include "blocks/kinds.h"
#include "report/detail/page.h"
#include "report/detail/words.h"

namespace etchback::report::detail {
namespace {

using Nature = circuit::Domain::Nature;

bool has(const circuit::Domains& domains, Nature nature) {
    return std::any_of(domains.domains.begin(),
                       domains.domains.end(),
                       [&](const circuit::Domain& domain) { return domain.nature == nature; });
}

bool reaches(const Study& study, const circuit::Part& part, Nature nature) {
    return std::any_of(part.pins.begin(), part.pins.end(), [&](const circuit::Pin& pin) {
        return pin.net.known() &&
               study.domains.domains[static_cast<std::size_t>(study.domains.of(pin.net))].nature ==
                   nature;
    });
}

// What hangs on the board: connectors, and things that are not soldered to it.
std::vector<Link> loads_on(const Study& study, Nature nature) {
    std::vector<Link> loads;
    for (const circuit::Part& part : study.circuit.parts) {
        const bool load = (part.kind.off_board && !blocks::is_mains(part)) ||
                          part.kind.family == "connector" || blocks::is_led_string(part);
        if (load && reaches(study, part, nature)) {
            loads.push_back(part_link(part.name));
        }
    }
    return loads;
}

// "C7 (ceramic capacitor), T1 (transformer) and U2 (optocoupler)": between mains and isolated.
void add_bridges(Sentence& sentence, const Study& study) {
    std::vector<const circuit::Part*> parts;
    for (const circuit::Bridge& bridge : study.domains.bridges) {
        const circuit::Part& part = study.circuit[bridge.part];
        if (reaches(study, part, Nature::mains) && reaches(study, part, Nature::isolated)) {
            parts.push_back(&part);
        }
    }
    for (std::size_t i = 0; i < parts.size(); ++i) {
        sentence.push_back(words(i == 0 ? "" : i + 1 < parts.size() ? ", " : " and "));
        sentence.push_back(part_link(parts[i]->name));
        sentence.push_back(words(" (" + parts[i]->kind.title + ")"));
    }
    if (parts.empty()) {
        sentence.push_back(words("no part that was written down"));
    }
}

void add_list(Sentence& sentence, const std::vector<Link>& links) {
    for (std::size_t i = 0; i < links.size(); ++i) {
        sentence.push_back(words(i == 0 ? "" : i + 1 < links.size() ? ", " : " and "));
        sentence.push_back(links[i]);
    }
}

}  // namespace

Sentence isolation_of(const Study& study) {
    const circuit::Domains& domains = study.domains;
    if (domains.domains.empty()) {
        return {words("No net was traced, so nothing can be said about isolation.")};
    }
    if (!has(domains, Nature::mains)) {
        return {words("No net is tied to the mains.")};
    }
    if (!has(domains, Nature::isolated)) {
        return {words("Nothing here is isolated from the mains: treat every point of it as live.")};
    }
    Sentence sentence;
    const std::vector<Link> loads = loads_on(study, Nature::isolated);
    if (loads.empty()) {
        sentence.push_back(words("One side is isolated from the mains; that rests on "));
    } else {
        sentence.push_back(words(loads.size() == 1 ? "The load side, " : "The load sides, "));
        add_list(sentence, loads);
        sentence.push_back(words(loads.size() == 1 ? ", is" : ", are"));
        sentence.push_back(words(" isolated from the mains; that rests on "));
    }
    add_bridges(sentence, study);
    sentence.push_back(words("."));
    return sentence;
}

}  // namespace etchback::report::detail
