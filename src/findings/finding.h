// Findings: statements about the item that someone should know, worst first.
#pragma once

#include <filesystem>
#include <map>
#include <string>
#include <vector>

#include "base/error.h"
#include "base/figure.h"
#include "bench/power_triangle.h"
#include "blocks/voltages.h"
#include "circuit/circuit.h"
#include "circuit/domains.h"
#include "dossier/dossier.h"

namespace etchback::findings {

// How bad it may be for a person, not how sure we are.
enum class Severity { danger, warning, weakness, note };
enum class Confidence { certain, likely, possible };  // how sure, from the evidence it rests on
std::string_view name_of(Severity severity);
std::string_view name_of(Confidence confidence);

struct Finding {
    std::string rule;  // "no_fuse": a rule's id in data/findings
    std::string id;    // "no_fuse", "resistor_over_voltage.R3": unique in a report
    Severity severity = Severity::note;
    Confidence confidence = Confidence::certain;
    std::string title;    // "R3 sees 325 V; its body usually takes 200 V"
    std::string text;     // why it matters, with the numbers
    std::string remedy;   // what to do or to check
    std::string basis;    // standard, clause or "common practice"; says "from memory" where it is
    std::string caution;  // for whoever goes and looks; may be empty
    std::vector<std::string> parts;
    std::vector<std::string> nets;
    std::vector<base::Evidence> evidence;
    bool operator==(const Finding&) const = default;
};

// The words of a rule, from data/findings/*.toml, with {placeholders} for the numbers.
struct RuleText {
    std::string id;
    Severity severity = Severity::note;
    std::string title, text, remedy, basis, caution;
};
using RuleTexts = std::map<std::string, RuleText, std::less<>>;
base::Result<RuleTexts> load_rule_texts(const std::filesystem::path& folder);

// Everything that rules may look at.
struct Subject {
    const dossier::Dossier& dossier;
    const circuit::Circuit& circuit;
    const circuit::Domains& domains;
    const blocks::Voltages& voltages;
    const std::vector<base::Figure>& figures;
    const std::vector<bench::PowerTriangle>& triangles;
    const parts::Catalogue& catalogue;
};

// Sorted by severity, then confidence, then id.
std::vector<Finding> find(const Subject& subject, const RuleTexts& texts);

}  // namespace etchback::findings
