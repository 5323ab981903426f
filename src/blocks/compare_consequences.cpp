#include "blocks/compare_consequences.h"

#include <algorithm>
#include <map>

#include "base/file.h"
#include "base/toml_reader.h"
#include "blocks/kinds.h"

namespace etchback::blocks {
namespace {

using circuit::Circuit;
using circuit::Part;

constexpr std::string_view cases[] = {"lower_rating",
                                      "larger_capacitor_at_mains",
                                      "larger_capacitor_behind_bridge",
                                      "missing_y_capacitor",
                                      "missing_fuse",
                                      "missing_bleeder"};

bool is_x_capacitor(const Part& part) {
    return is_capacitor(part) && part.kind.safety_class.substr(0, 1) == "X";
}

bool behind_bridge(const Circuit& circuit, const Part& part) {
    const auto at = ends(part);
    return at && std::any_of(circuit.parts.begin(), circuit.parts.end(), [&](const Part& other) {
               if (!is_bridge(other)) {
                   return false;
               }
               const auto out = std::minmax(other.net("plus"), other.net("minus"));
               return std::minmax(at->first, at->second) == out;
           });
}

bool bleeds(const Circuit& circuit, const Part& part) {
    const auto at = ends(part);
    return at && is_resistor(part) &&
           std::any_of(circuit.parts.begin(), circuit.parts.end(), [&](const Part& other) {
               const auto across = ends(other);
               return is_x_capacitor(other) && across &&
                      std::minmax(at->first, at->second) ==
                          std::minmax(across->first, across->second);
           });
}

std::string case_of_missing(const Difference& difference, const Circuit& reference) {
    for (const circuit::PartId id : difference.reference) {
        const Part& part = reference[id];
        if (is_fuse(part)) {
            return "missing_fuse";
        }
        if (is_capacitor(part) && part.kind.safety_class.substr(0, 1) == "Y") {
            return "missing_y_capacitor";
        }
        if (bleeds(reference, part)) {
            return "missing_bleeder";
        }
    }
    return {};
}

std::string case_of(const Difference& difference, const Circuit& found, const Circuit& reference) {
    if (difference.kind == DifferenceKind::missing) {
        return case_of_missing(difference, reference);
    }
    if (difference.reference.empty() || difference.found.empty()) {
        return {};
    }
    const Part& there = reference[difference.reference.front()];
    const Part& here = found[difference.found.front()];
    if (difference.kind == DifferenceKind::rating) {
        return "lower_rating";
    }
    if (difference.kind != DifferenceKind::value || !is_capacitor(here) || !there.value() ||
        !here.value() || *here.value() <= *there.value()) {
        return {};
    }
    if (is_x_capacitor(here)) {
        return "larger_capacitor_at_mains";
    }
    return here.kind.id == "film_capacitor" && behind_bridge(found, here)
               ? "larger_capacitor_behind_bridge"
               : "";
}

std::string filled(std::string text, const std::string& slot, const std::string& with) {
    const std::size_t at = text.find(slot);
    return at == std::string::npos ? text : text.replace(at, slot.size(), with);
}

std::string lower_of(const Part& there, const Part& here, bool of_here) {
    const auto text = [&](const auto& a, const auto& b) {
        return base::to_text((of_here ? b : a)->value);
    };
    const auto& va = there.said.rated_voltage;
    const auto& vb = here.said.rated_voltage;
    if (va && vb && vb->value.value < va->value.value) {
        return text(va, vb);
    }
    return text(there.said.rated_current, here.said.rated_current);
}

Consequence in_words(const Consequence& row,
                     const std::string& which,
                     const Difference& difference,
                     const Circuit& found,
                     const Circuit& reference) {
    Consequence out = row;
    if (which == "lower_rating") {
        const Part& there = reference[difference.reference.front()];
        const Part& here = found[difference.found.front()];
        out.words = filled(out.words, "{found}", here.name);
        out.words = filled(out.words, "{here}", lower_of(there, here, true));
        out.words = filled(out.words, "{there}", lower_of(there, here, false));
    } else if (which == "missing_fuse") {
        for (const circuit::PartId id : difference.reference) {
            if (is_fuse(reference[id])) {
                out.words = filled(out.words, "{there}", reference[id].name);
            }
        }
    }
    return out;
}

}  // namespace

base::Result<KnowConsequence> load_consequences(const std::filesystem::path& folder) {
    const std::filesystem::path file = folder / "comparison" / "consequences.toml";
    const auto parsed = base::parse_toml(base::read_file(file), file.string());
    if (!parsed) {
        return parsed.errors();
    }
    base::Errors errors;
    std::map<std::string, Consequence> rows;
    base::TableReader root(*parsed, file.string(), "consequences", errors);
    for (const toml::table* table : root.tables("consequence")) {
        base::TableReader reader(*table, file.string(), "consequence", errors);
        std::vector<std::string> known(std::begin(cases), std::end(cases));
        reader.require("when", "name one of the cases");
        reader.require("words", "say what the difference means");
        reader.require("source", "say where that comes from");
        const auto when = reader.word("when", known);
        const auto words = reader.text("words");
        const auto source = reader.text("source");
        reader.finish();
        if (when && words && source) {
            rows[when->value] = {words->value, source->value};
        }
    }
    root.finish();
    if (!errors.empty()) {
        return errors;
    }
    return KnowConsequence(
        [rows](const Difference& difference, const Circuit& found, const Circuit& reference) {
            const std::string which = case_of(difference, found, reference);
            const auto it = rows.find(which);
            return it == rows.end() ? Consequence{}
                                    : in_words(it->second, which, difference, found, reference);
        });
}

}  // namespace etchback::blocks
