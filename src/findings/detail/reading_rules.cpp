// Rules: readings against claims, and readings against each other.
#include <algorithm>
#include <array>
#include <cmath>

#include "base/text.h"
#include "blocks/kinds.h"
#include "findings/detail/claims.h"
#include "findings/detail/rules.h"

namespace etchback::findings::detail {
namespace {

// Which way a reading contradicts what is claimed. Labels give the most that is drawn or may be
// drawn; only an item with a fixed load (its LEDs) has to come up to it.
enum class Way { both, above, above_or_both_with_fixed_load, below };

struct Comparable {
    std::string_view quantity;
    Way way;
    double tolerance;  // of the claim, beyond its rounding: common practice for rated values
};
constexpr std::array<Comparable, 6> comparables = {{
    {"input power", Way::above_or_both_with_fixed_load, 0.0},
    {"supply current", Way::above, 0.0},
    {"power factor", Way::below, 0.0},
    {"output voltage", Way::both, 0.05},
    {"output current", Way::above_or_both_with_fixed_load, 0.05},
    {"output power", Way::above_or_both_with_fixed_load, 0.05},
}};

bool has_fixed_load(const Kit& kit) {
    const auto& parts = kit.circuit().parts;
    return std::any_of(parts.begin(), parts.end(), blocks::is_led_string);
}

struct Read {
    double value = 0.0;
    double half_width = 0.0;  // k = 2
    bool assumed = false;
    std::string group;
    std::vector<base::Evidence> evidence;
};

std::vector<Read> reads_of(const Kit& kit, std::string_view quantity, base::Unit unit) {
    std::vector<Read> found;
    for (const dossier::Reading& reading : kit.subject.dossier.readings) {
        if (base::lowered(base::trimmed(reading.quantity.value)) != quantity ||
            reading.value.value.unit != unit) {
            continue;
        }
        Read r;
        r.value = reading.value.value.value;
        r.half_width = half_width(reading, r.assumed);
        r.group = reading.group;
        r.evidence = {evidence_of(reading)};
        found.push_back(std::move(r));
    }
    return found;
}

// What nobody read but the power triangle gives.
std::vector<Read> computed(const Kit& kit, std::string_view quantity) {
    std::vector<Read> found;
    for (const bench::PowerTriangle& t : kit.subject.triangles) {
        const auto& estimate = quantity == "power factor"  ? t.power_factor
                               : quantity == "input power" ? t.power_w
                                                           : std::optional<bench::Estimate>();
        if (!estimate) {
            continue;
        }
        Read r;
        r.value = estimate->value;
        r.half_width = 2.0 * estimate->u;
        r.group = t.group;
        for (const base::Figure& f : t.figures) {
            r.evidence.push_back({base::Evidence::Kind::figure, f.id, f.worked, {}});
        }
        found.push_back(std::move(r));
    }
    return found;
}

// How far the reading lies outside the claim, in half-widths; 0 or less: it does not.
double gap(const Read& r, const Span& claim, Way way, bool fixed_load) {
    const bool up = way != Way::below;
    const bool down = way == Way::both || way == Way::below ||
                      (way == Way::above_or_both_with_fixed_load && fixed_load);
    const double above = up ? (r.value - r.half_width) - claim.high : -1.0;
    const double below = down ? claim.low - (r.value + r.half_width) : -1.0;
    return std::max(above, below);
}

void compare(const Kit& kit, const Comparable& c) {
    const auto claim = claimed(kit.subject.dossier, c.quantity);
    if (!claim) {
        return;
    }
    const base::Unit unit = claim->claim->value.value.unit;
    auto reads = reads_of(kit, c.quantity, unit);
    if (reads.empty()) {
        reads = computed(kit, c.quantity);
    }
    const Span allowed{claim->span.low - c.tolerance * std::abs(claim->claim->value.value.low),
                       claim->span.high + c.tolerance * std::abs(claim->claim->value.value.high)};
    const bool fixed_load = has_fixed_load(kit);
    const Read* worst = nullptr;
    double worst_gap = 1e-9 * std::abs(allowed.high);
    for (const Read& r : reads) {
        if (const double g = gap(r, allowed, c.way, fixed_load); g > worst_gap) {
            worst = &r;
            worst_gap = g;
        }
    }
    if (worst == nullptr) {
        return;
    }
    Draft draft;
    draft.text_id = "readings_contradict_claims";
    draft.about = std::string(c.quantity);
    std::replace(draft.about.begin(), draft.about.end(), ' ', '_');
    const auto& where = claim->claim->where.value;
    draft.words = {{"quantity", std::string(c.quantity)},
                   {"claim", base::to_text(claim->claim->value.value)},
                   {"where", where.empty() ? "" : " (" + where + ")"},
                   {"reading",
                    text_of(worst->value, unit) + " ± " +
                        base::to_engineering(worst->half_width, unit, {.digits = 2})},
                   {"group", worst->group.empty() ? "" : " (" + worst->group + ")"},
                   {"gap", base::to_engineering(worst_gap, unit, {.digits = 2})}};
    draft.doubts = worst->assumed ? 1 : 0;
    draft.evidence.push_back(evidence_of(*claim->claim));
    rest_on(draft, worst->evidence);
    if (worst->assumed) {
        draft.evidence.push_back({base::Evidence::Kind::assumption,
                                  std::string(c.quantity),
                                  "uncertainty of the reading taken as 3 %",
                                  {}});
    }
    report(kit, std::move(draft));
}

// The supply is a property of the place, not of the item; but far outside its claim it was misread
// or mistreated.
void supply_outside_claim(const Kit& kit) {
    constexpr double allowed = 0.10;
    const auto claim = claimed(kit.subject.dossier, "supply voltage");
    if (!claim || !claim->positive()) {
        return;
    }
    const base::Quantity& q = claim->claim->value.value;
    for (const Read& r : reads_of(kit, "supply voltage", q.unit)) {
        const bool above = r.value - r.half_width > (1.0 + allowed) * q.high;
        if (!above && r.value + r.half_width >= (1.0 - allowed) * q.low) {
            continue;
        }
        const auto& where = claim->claim->where.value;
        Draft draft;
        draft.text_id = "readings_contradict_claims.supply";
        draft.about = "supply_voltage";
        draft.words = {{"claim", base::to_text(q)},
                       {"where", where.empty() ? "" : " (" + where + ")"},
                       {"reading", text_of(r.value, q.unit)},
                       {"group", r.group.empty() ? "" : " (" + r.group + ")"},
                       {"side", above ? "above" : "below"}};
        draft.doubts = r.assumed ? 1 : 0;
        draft.evidence.push_back(evidence_of(*claim->claim));
        rest_on(draft, r.evidence);
        report(kit, std::move(draft));
        return;
    }
}

void more_read_out_than_in(const Kit& kit) {
    for (const Read& in : reads_of(kit, "input power", base::Unit::watt)) {
        for (const Read& out : reads_of(kit, "output power", base::Unit::watt)) {
            if (in.group != out.group || out.value - out.half_width <= in.value + in.half_width) {
                continue;
            }
            Draft draft;
            draft.text_id = "readings_disagree.more_out_than_in";
            draft.about = "more_out_than_in";
            draft.words = {{"group", in.group.empty() ? "without a group" : "\"" + in.group + "\""},
                           {"output", text_of(out.value, base::Unit::watt)},
                           {"input", text_of(in.value, base::Unit::watt)}};
            draft.doubts = in.assumed || out.assumed ? 1 : 0;
            rest_on(draft, in.evidence);
            rest_on(draft, out.evidence);
            report(kit, std::move(draft));
            return;
        }
    }
}

}  // namespace

void readings_contradict_claims(const Kit& kit) {
    for (const Comparable& c : comparables) {
        compare(kit, c);
    }
    supply_outside_claim(kit);
}

void readings_disagree(const Kit& kit) {
    more_read_out_than_in(kit);
    int number = 0;
    for (const bench::PowerTriangle& t : kit.subject.triangles) {
        ++number;
        if (!t.disagreement || std::abs(*t.disagreement) <= 1.0) {
            continue;
        }
        Draft draft;
        draft.text_id = "readings_disagree";
        draft.about = t.group.empty() ? "group_" + std::to_string(number) : t.group;
        std::replace(draft.about.begin(), draft.about.end(), ' ', '_');
        draft.words = {{"group", t.group.empty() ? "without a group" : "\"" + t.group + "\""},
                       {"why", t.disagreement_text},
                       {"suspect",
                        t.suspect.empty() ? ""
                                          : " The least change that would settle it is in the " +
                                                t.suspect + ": read that one again first."}};
        for (const dossier::Reading& reading : kit.subject.dossier.readings) {
            if (reading.group == t.group) {
                draft.evidence.push_back(evidence_of(reading));
            }
        }
        report(kit, std::move(draft));
    }
}

}  // namespace etchback::findings::detail
