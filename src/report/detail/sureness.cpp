// How well the facts of the dossier are known.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <map>

#include "base/text.h"
#include "report/detail/page.h"
#include "report/detail/words.h"

namespace etchback::report::detail {
namespace {

struct Field {
    const char* name;
    bool given;
};

// The facts about a part that somebody had to find out.
std::array<Field, 13> fields_of(const dossier::Part& part) {
    return {{{"kind", !part.kind.value.empty()},
             {"value", part.value.has_value()},
             {"tolerance", part.tolerance.has_value()},
             {"type", !part.type.value.empty()},
             {"body", !part.body.value.empty()},
             {"rated_voltage", part.rated_voltage.has_value()},
             {"rated_current", part.rated_current.has_value()},
             {"rated_power", part.rated_power.has_value()},
             {"rated_temperature", part.rated_temperature.has_value()},
             {"family", !part.family.value.empty()},
             {"thresholds", !part.thresholds.empty()},
             {"windings", !part.windings.empty()},
             {"pins", !part.pins.empty()}}};
}

constexpr std::pair<dossier::Basis, const char*> basis_words[] = {
    {dossier::Basis::seen, "seen on the item"},
    {dossier::Basis::marking, "read from a marking"},
    {dossier::Basis::measured, "measured"},
    {dossier::Basis::traced, "traced on the copper"},
    {dossier::Basis::told, "told by somebody"},
    {dossier::Basis::datasheet, "taken from a data sheet"},
    {dossier::Basis::assumed, "assumed"},
};

std::string headline_of(const Sureness& sureness, std::size_t assumed, std::size_t all) {
    if (all == 0) {
        return "";
    }
    std::string text = fmt::format("{} of {} about the parts {} assumed",
                                   assumed == 0 ? "None" : std::to_string(assumed),
                                   counted(all, "fact", "facts"),
                                   assumed == 1 ? "is" : "are");
    if (sureness.assumed_figures > 0) {
        text += "; " + counted(static_cast<std::size_t>(sureness.assumed_figures),
                               "figure rests on something assumed",
                               "figures rest on something assumed");
    }
    return text + ".";
}

std::string absent_of(const dossier::Dossier& dossier) {
    std::vector<std::string> absent;
    const auto note = [&](bool none, const char* what) {
        if (none) {
            absent.push_back(std::string("no ") + what);
        }
    };
    note(supply_unknown(dossier.supply), "supply");
    note(dossier.claims.empty(), "claims");
    note(dossier.readings.empty(), "readings");
    note(dossier.photos.empty(), "photos");
    return absent.empty() ? "" : "The dossier holds " + base::listed(absent) + ".";
}

}  // namespace

Sureness sureness_of(const Study& study) {
    std::map<dossier::Basis, std::size_t> count;
    Sureness sureness;
    const auto note_assumed = [&](const std::string& field, const std::string& part) {
        auto same = std::find_if(sureness.assumed.begin(),
                                 sureness.assumed.end(),
                                 [&](const Assumed& one) { return one.field == field; });
        if (same == sureness.assumed.end()) {
            sureness.assumed.push_back({.field = field, .parts = {}});
            same = std::prev(sureness.assumed.end());
        }
        same->parts.push_back(part_link(part));
    };
    for (const circuit::Part& part : study.circuit.parts) {
        for (const Field& field : fields_of(part.said)) {
            if (!field.given) {
                continue;
            }
            const dossier::Basis basis = part.said.basis(field.name);
            ++count[basis];
            if (basis == dossier::Basis::assumed) {
                note_assumed(spelled(field.name), part.name);
            }
        }
        for (const dossier::Alternative& other : part.said.alternatives) {
            sureness.alternatives.push_back({part.name, alternative_text(other)});
        }
    }
    for (const auto& [basis, words] : basis_words) {
        if (count[basis] > 0) {
            sureness.counts.push_back({words, std::to_string(count[basis])});
        }
    }
    sureness.assumed_figures = static_cast<int>(
        std::count_if(study.figures.begin(), study.figures.end(), [](const base::Figure& figure) {
            return figure.assumed;
        }));
    std::size_t all = 0;
    for (const auto& [basis, number] : count) {
        all += number;
    }
    sureness.headline = headline_of(sureness, count[dossier::Basis::assumed], all);
    sureness.absent = absent_of(study.dossier);
    return sureness;
}

}  // namespace etchback::report::detail
