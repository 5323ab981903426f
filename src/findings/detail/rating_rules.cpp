// Rules about what parts can stand: resistors' voltage and power, capacitors' voltage.
#include <algorithm>

#include "base/text.h"
#include "blocks/kinds.h"
#include "findings/detail/rules.h"

namespace etchback::findings::detail {
namespace {

using blocks::VoltageBetween;
using circuit::Part;

// Nobody's figure is exact to the last digit; what exceeds by less is not worth a finding.
constexpr double slack = 1.005;
// A resistor at more than this much of its limit is expected to fail, not only to age.
constexpr double far_over = 1.5;
constexpr double little_margin = 0.10;
// At the upper limit of the mains the worst case is in the number already.
constexpr double little_margin_at_mains = 0.05;

const VoltageBetween* voltage_on(const Kit& kit, const Part& part) {
    const auto both = blocks::ends(part);
    return both ? kit.subject.voltages.between(both->first, both->second) : nullptr;
}

struct Limit {
    double value = 0.0;
    std::string words;
    std::string_view field;  // of the part's evidence
    bool usual = false;      // by its body, not by its own rating
};

Limit stated(const std::optional<dossier::Amount>& amount, std::string_view field) {
    Limit limit;
    if (amount) {
        limit.value = amount->value.value;
        limit.words = "it is rated for " + base::to_text(amount->value);
        limit.field = field;
    }
    return limit;
}

Limit usual(double value, base::Unit unit, const parts::Body& body) {
    Limit limit;
    limit.value = value;
    limit.words = "its body (" + body.id + ") usually takes " + text_of(value, unit) +
                  (body.from_memory ? " (from memory)" : "");
    limit.field = "body";
    limit.usual = true;
    return limit;
}

Limit voltage_limit(const Kit& kit, const Part& part) {
    if (part.said.rated_voltage) {
        return stated(part.said.rated_voltage, "rated_voltage");
    }
    const parts::Body* body = kit.subject.catalogue.body(part.said.body.value, part.kind.family);
    return body != nullptr && body->usual_voltage_v > 0.0
               ? usual(body->usual_voltage_v, base::Unit::volt, *body)
               : Limit{};
}

Limit power_limit(const Kit& kit, const Part& part) {
    if (part.said.rated_power) {
        return stated(part.said.rated_power, "rated_power");
    }
    const parts::Body* body = kit.subject.catalogue.body(part.said.body.value, part.kind.family);
    return body != nullptr && body->usual_power_w > 0.0
               ? usual(body->usual_power_w, base::Unit::watt, *body)
               : Limit{};
}

// Does the voltage follow from a chain's values, so that another reading of one would change it?
bool rests_on_values(const VoltageBetween& v) {
    return v.figure.source == "voltage divider";
}

const base::Figure* figure_called(const Kit& kit, const std::string& id) {
    const auto& all = kit.subject.figures;
    const auto it =
        std::find_if(all.begin(), all.end(), [&](const base::Figure& f) { return f.id == id; });
    return it == all.end() ? nullptr : &*it;
}

void judge_resistor(const Kit& kit, const Part& part, const VoltageBetween& v, const Limit& limit) {
    // A rated working voltage is DC or RMS; a resistor at the mains alternates.
    const bool rms = v.alternating && v.working_v_rms > 0.0;
    const double seen = rms ? v.working_v_rms : v.working_v_peak;
    if (seen <= limit.value * slack) {
        return;
    }
    Draft draft;
    draft.text_id =
        seen > far_over * limit.value ? "resistor_over_voltage.far" : "resistor_over_voltage";
    draft.about = part.name;
    draft.words = {{"part", part.name},
                   {"seen", volts(seen) + (rms ? " RMS" : "")},
                   {"limit", volts(limit.value)},
                   {"limit_words", limit.words},
                   {"because", v.because},
                   {"share", text_of(100.0 * seen / limit.value, base::Unit::percent)}};
    rest_on(draft, part, {limit.field, "pins"}, limit.words);
    draft.doubts += limit.usual ? 1 : 0;
    rest_on(draft, v);
    if (rests_on_values(v)) {
        rest_on(draft, part, {"value"}, limit.words);
    }
    report(kit, std::move(draft));
}

Draft about_capacitor(const Part& part, const VoltageBetween& v, double seen, double rated) {
    Draft draft;
    draft.about = part.name;
    draft.words = {{"part", part.name},
                   {"seen", volts(seen)},
                   {"rated", volts(rated)},
                   {"normal", volts(v.working_v_peak)},
                   {"margin", text_of(100.0 * (1.0 - seen / rated), base::Unit::percent)},
                   {"because", v.because}};
    rest_on(draft, part, {"rated_voltage", "pins"}, "rated " + volts(rated));
    rest_on(draft, v);
    return draft;
}

// X and Y capacitors are rated in RMS volts of the mains, all others for direct voltage or its
// peak.
std::optional<Draft> judge_capacitor(const Kit& kit,
                                     const Part& part,
                                     const VoltageBetween& v,
                                     double rated) {
    const bool rated_rms = !part.kind.safety_class.empty();
    const double seen = rated_rms && v.alternating ? v.working_v_rms : v.working_v_peak;
    Draft draft = about_capacitor(part, v, seen, rated);
    if (seen > rated * slack && v.bound_only) {
        ++draft.doubts;
        draft.text_id = "capacitor_over_voltage.bound";
        return draft;
    }
    if (seen > rated * slack) {
        draft.text_id = "capacitor_over_voltage";
        return draft;
    }
    if (v.unlimited_on_open_load) {
        draft.text_id = "capacitor_over_voltage.unlimited";
        draft.words["because"] = v.fault_because;
        return draft;
    }
    if (v.single_fault_v_peak && *v.single_fault_v_peak > rated * slack && !rated_rms) {
        draft.text_id = "capacitor_over_voltage.fault";
        draft.words["seen"] = volts(*v.single_fault_v_peak);
        draft.words["because"] = v.fault_because;
        return draft;
    }
    if (v.bound_only) {
        return std::nullopt;
    }
    const bool at_mains = seen > 0.9 * kit.mains.high_v_peak && kit.mains.found();
    const double wanted = at_mains ? little_margin_at_mains : little_margin;
    if (!rated_rms && seen > rated * (1.0 - wanted)) {
        draft.text_id = "capacitor_little_margin";
        return draft;
    }
    return std::nullopt;
}

// Capacitors of which the same is to be said for the same reason become one finding, under the
// first one's name.
void join(std::vector<Draft>& drafts, Draft next) {
    const auto same = [&](Draft there) {
        there.words["part"] = next.words["part"];
        return there.text_id == next.text_id && there.words == next.words &&
               there.doubts == next.doubts;
    };
    const auto it = std::find_if(drafts.begin(), drafts.end(), same);
    if (it == drafts.end()) {
        drafts.push_back(std::move(next));
        return;
    }
    it->also.push_back(next.about);
    for (const std::string& part : next.parts) {
        if (std::find(it->parts.begin(), it->parts.end(), part) == it->parts.end()) {
            it->parts.push_back(part);
        }
    }
    for (base::Evidence& e : next.evidence) {
        if (std::find(it->evidence.begin(), it->evidence.end(), e) == it->evidence.end()) {
            it->evidence.push_back(std::move(e));
        }
    }
}

void report_all(const Kit& kit, std::vector<Draft> drafts) {
    for (Draft& draft : drafts) {
        std::vector<std::string> who = draft.also;
        who.insert(who.begin(), draft.about);
        const bool several = who.size() > 1;
        draft.words["part"] = base::listed(who);
        draft.words["is"] = several ? "are" : "is";
        draft.words["sees"] = several ? "see" : "sees";
        draft.words["has"] = several ? "have" : "has";
        draft.words["it"] = several ? "them" : "it";
        report(kit, std::move(draft));
    }
}

}  // namespace

void resistor_over_voltage(const Kit& kit) {
    for (const Part& part : kit.circuit().parts) {
        const VoltageBetween* v = blocks::is_resistor(part) ? voltage_on(kit, part) : nullptr;
        const Limit limit = v != nullptr ? voltage_limit(kit, part) : Limit{};
        if (limit.value > 0.0 && !v->bound_only) {
            judge_resistor(kit, part, *v, limit);
        }
    }
}

void resistor_over_power(const Kit& kit) {
    for (const Part& part : kit.circuit().parts) {
        const base::Figure* f =
            blocks::is_resistor(part) ? figure_called(kit, "dissipation." + part.name) : nullptr;
        const Limit limit = f != nullptr ? power_limit(kit, part) : Limit{};
        if (limit.value <= 0.0 || f->value <= limit.value * slack) {
            continue;
        }
        Draft draft;
        draft.text_id = "resistor_over_power";
        draft.about = part.name;
        draft.words = {{"part", part.name},
                       {"power", text_of(f->value, base::Unit::watt)},
                       {"limit", text_of(limit.value, base::Unit::watt)},
                       {"limit_words", limit.words},
                       {"worked", f->worked}};
        rest_on(draft, part, {limit.field, "value", "pins"}, limit.words);
        draft.doubts += limit.usual ? 1 : 0;
        rest_on(draft, *f);
        report(kit, std::move(draft));
    }
}

void capacitor_over_voltage(const Kit& kit) {
    std::vector<Draft> drafts;
    for (const Part& part : kit.circuit().parts) {
        const VoltageBetween* v =
            blocks::is_capacitor(part) && part.said.rated_voltage ? voltage_on(kit, part) : nullptr;
        if (v == nullptr || part.said.rated_voltage->value.value <= 0.0) {
            continue;
        }
        if (auto draft = judge_capacitor(kit, part, *v, part.said.rated_voltage->value.value)) {
            join(drafts, *std::move(draft));
        }
    }
    report_all(kit, std::move(drafts));
}

}  // namespace etchback::findings::detail
