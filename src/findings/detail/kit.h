// What every rule works with: the subject, the mains lines, and a way to say what it found.
#pragma once

#include <initializer_list>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "blocks/insulation.h"
#include "blocks/mains.h"
#include "findings/finding.h"

namespace etchback::findings::detail {

struct Kit {
    const Subject& subject;
    const RuleTexts& texts;
    blocks::MainsLines mains;
    blocks::Insulation insulation;  // its domains, not the subject's, say what is isolated
    std::vector<Finding>& out;

    const circuit::Circuit& circuit() const { return subject.circuit; }
    // Mains lines are known and their voltage is dangerous (above 50 V RMS).
    bool on_mains() const { return mains.found() && mains.high_v_rms > 50.0; }
};

// One finding while it is put together.
struct Draft {
    // Id of the text: the rule's id, or "rule.variant".
    std::string text_id;
    std::string about;  // makes the finding's id unique: a part's name; empty for one of a kind
    std::vector<std::string> also;  // further parts of which the same is said
    std::map<std::string, std::string, std::less<>> words;  // for the {placeholders}
    std::vector<std::string> parts;
    std::vector<std::string> nets;
    std::vector<base::Evidence> evidence;
    int doubts = 0;  // none: certain, one: likely, more: possible
};

// The part, and those of its fields that the finding rests on. A field that is assumed or has
// another reading is a doubt, and the evidence names it.
void rest_on(Draft& draft,
             const circuit::Part& part,
             std::initializer_list<std::string_view> fields,
             std::string detail = {});
// A derived voltage with all the evidence under it; one doubt if any of that is assumed.
void rest_on(Draft& draft, const blocks::VoltageBetween& voltage);
void rest_on(Draft& draft, const base::Figure& figure);
void rest_on(Draft& draft, const std::vector<base::Evidence>& evidence);

// Fills the text's placeholders and adds the finding.
void report(const Kit& kit, Draft draft);

std::string volts(double v);
std::string text_of(double value, base::Unit unit);
std::string names(const circuit::Circuit& circuit, const std::vector<circuit::PartId>& parts);

}  // namespace etchback::findings::detail
