// Which empty places of the board held what is missing, as far as their titles tell.
#include <algorithm>

#include "base/text.h"
#include "blocks/compare.h"

namespace etchback::blocks {
namespace {

bool has_word(const std::string& text, const std::string& word) {
    if (word.empty()) {
        return false;
    }
    const auto joins = [](char c) {
        return std::isalnum(static_cast<unsigned char>(c)) != 0 || c == '_' || c == '+' || c == '-';
    };
    for (std::size_t at = text.find(word); at != std::string::npos; at = text.find(word, at + 1)) {
        const std::size_t end = at + word.size();
        if ((at == 0 || !joins(text[at - 1])) && (end == text.size() || !joins(text[end]))) {
            return true;
        }
    }
    return false;
}

// The words by which a place's title may mean a net: its names in either circuit, the pins of
// chips on it, its role.
std::vector<std::string> words_for(circuit::NetId net,
                                   const Comparison& comparison,
                                   const circuit::Circuit& found,
                                   const circuit::Circuit& reference) {
    std::vector<std::string> words = {reference[net].name, reference[net].role};
    for (const circuit::PinRef pin : reference[net].pins) {
        if (reference[pin.part].kind.open_pins) {
            words.push_back(reference[pin].name);
        }
    }
    for (const NetMatch& match : comparison.nets) {
        if (match.reference == net) {
            words.push_back(found[match.found].name);
            words.push_back(found[match.found].role);
        }
    }
    return words;
}

int fits(const dossier::Part& place,
         const circuit::Part& missing,
         const Comparison& comparison,
         const circuit::Circuit& found,
         const circuit::Circuit& reference) {
    const std::string text = place.title.value + " " + place.note.value;
    int score = 0;
    for (const circuit::Pin& pin : missing.pins) {
        if (!pin.net.known()) {
            continue;
        }
        const auto words = words_for(pin.net, comparison, found, reference);
        score += static_cast<int>(std::any_of(
            words.begin(), words.end(), [&](const auto& word) { return has_word(text, word); }));
    }
    return score;
}

}  // namespace

void name_empty_places(Comparison& comparison,
                       const circuit::Circuit& found,
                       const circuit::Circuit& reference,
                       const std::vector<dossier::Part>& parts_of_board,
                       const parts::Catalogue& catalogue) {
    std::vector<std::string> taken;
    for (int wanted = 4; wanted > 0; --wanted) {  // the surest first
        for (Difference& difference : comparison.differences) {
            if (difference.kind != DifferenceKind::missing ||
                difference.empty_places.size() == difference.reference.size()) {
                continue;
            }
            for (const circuit::PartId id : difference.reference) {
                const circuit::Part& missing = reference[id];
                for (const dossier::Part& place : parts_of_board) {
                    const parts::Kind* kind = catalogue.find(place.kind.value);
                    if (!place.fitted && kind != nullptr && kind->family == missing.kind.family &&
                        std::find(taken.begin(), taken.end(), place.name) == taken.end() &&
                        fits(place, missing, comparison, found, reference) >= wanted) {
                        taken.push_back(place.name);
                        difference.empty_places.push_back(place.name);
                        break;
                    }
                }
            }
        }
    }
    for (Difference& difference : comparison.differences) {
        auto& places = difference.empty_places;
        std::sort(places.begin(), places.end(), base::natural_less);
        if (!places.empty()) {
            difference.words += places.size() == 1
                                    ? "; the place " + places.front() + " is empty"
                                    : "; the places " + base::listed(places) + " are empty";
        }
    }
}

}  // namespace etchback::blocks
