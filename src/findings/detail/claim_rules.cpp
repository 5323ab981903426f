// Rule: claims that cannot all be true.
#include <algorithm>

#include "base/text.h"
#include "findings/detail/claims.h"
#include "findings/detail/rules.h"

namespace etchback::findings::detail {
namespace {

void contradict(const Kit& kit,
                const std::string& about,
                const std::string& what,
                const std::string& why,
                const std::vector<const dossier::Claim*>& claims) {
    Draft draft;
    draft.text_id = "claims_contradict";
    draft.about = about;
    draft.words = {{"what", what},
                   {"why", why},
                   {"so", claims.size() > 1 ? " At least one of the claims is wrong." : ""}};
    for (const dossier::Claim* claim : claims) {
        draft.evidence.push_back(evidence_of(*claim));
    }
    report(kit, std::move(draft));
}

std::string said(const ClaimedSpan& c) {
    const base::Quantity& q = c.claim->value.value;
    // An efficiency of 0.85 is meant as 85 %.
    if (q.unit == base::Unit::percent && c.span.low > q.high) {
        return text_of(100.0 * q.value, base::Unit::percent);
    }
    return base::to_text(q);
}

// A rail of -12 V has a size, too.
Span size_of(const Span& s) {
    return s.high < 0.0 ? Span{-s.high, -s.low} : s;
}

std::string slug(std::string text) {
    for (char& c : text) {
        c = c == ' ' ? '_' : c;
    }
    return text;
}

// One quantity said twice, differently.
void said_twice(const Kit& kit) {
    std::vector<std::string> seen;
    for (const dossier::Claim& claim : kit.subject.dossier.claims) {
        const std::string quantity = base::lowered(base::trimmed(claim.quantity.value));
        if (std::find(seen.begin(), seen.end(), quantity) != seen.end()) {
            continue;
        }
        seen.push_back(quantity);
        const auto all = claims_of(kit.subject.dossier, quantity);
        for (std::size_t i = 1; i < all.size(); ++i) {
            const bool same_unit = all[i].claim->value.value.unit == all[0].claim->value.value.unit;
            if (same_unit && !all[0].span.meets(all[i].span)) {
                contradict(kit,
                           slug(quantity),
                           quantity,
                           "The " + quantity + " is given as " + said(all[0]) + " (" +
                               all[0].claim->where.value + ") and as " + said(all[i]) + " (" +
                               all[i].claim->where.value + ").",
                           {all[0].claim, all[i].claim});
                break;
            }
        }
    }
}

// A number that nothing can have.
void impossible(const Kit& kit) {
    const auto check =
        [&](std::string_view quantity, double least, double most, const std::string& why) {
            for (const ClaimedSpan& c : claims_of(kit.subject.dossier, quantity)) {
                const base::Quantity& q = c.claim->value.value;
                if (q.low <= least || q.high > most || q.low > q.high) {
                    contradict(kit,
                               slug(std::string(quantity)) + "_impossible",
                               std::string(quantity),
                               "The " + std::string(quantity) + " is given as " + said(c) +
                                   ", but " + why + ".",
                               {c.claim});
                    return;
                }
            }
        };
    check("power factor", 0.0, 1.0, "a power factor lies between 0 and 1");
    check("efficiency", 0.0, 100.0, "an efficiency lies between 0 and 100 %");
    check("supply voltage", 0.0, 1e6, "a range must rise and begin above 0 V");
    check("supply frequency", -1.0, 1e9, "a range must rise");
    for (const char* flow : {"supply current", "input power", "output current", "output power"}) {
        check(flow, -1e-12, 1e9, "it cannot be negative");
    }
}

// Output power against output voltage times current.
void output_power(const Kit& kit) {
    const auto& dossier = kit.subject.dossier;
    const auto u = claimed(dossier, "output voltage");
    const auto i = claimed(dossier, "output current");
    const auto p = claimed(dossier, "output power");
    if (!u || !i || !p || !i->positive() || !p->positive()) {
        return;
    }
    const Span product = size_of(u->span) * i->span;
    if (product.meets(p->span)) {
        return;
    }
    contradict(kit,
               "output_power",
               "output power",
               said(*u) + " times " + said(*i) + " is " + text_of(product.low, base::Unit::watt) +
                   " to " + text_of(product.high, base::Unit::watt) + ", but the claim is " +
                   said(*p) + ".",
               {u->claim, i->claim, p->claim});
}

// More out than in: by the power claimed, or by voltage times current. True if it was said.
bool more_out_than_in(const Kit& kit) {
    const auto& dossier = kit.subject.dossier;
    const auto in = claimed(dossier, "input power");
    const auto out = claimed(dossier, "output power");
    const auto u = claimed(dossier, "output voltage");
    const auto i = claimed(dossier, "output current");
    if (!in || !in->positive()) {
        return false;
    }
    if (out && out->span.low > in->span.high) {
        contradict(
            kit,
            "more_out_than_in",
            "output power",
            "More is said to come out (" + said(*out) + ") than goes in (" + said(*in) + ").",
            {in->claim, out->claim});
        return true;
    }
    if (!out && u && i && i->positive() && (size_of(u->span) * i->span).low > in->span.high) {
        contradict(
            kit,
            "more_out_than_in",
            "output power",
            said(*u) + " times " + said(*i) + " is more than the " + said(*in) + " that go in.",
            {u->claim, i->claim, in->claim});
        return true;
    }
    return false;
}

// Active power cannot exceed voltage times current times power factor. The current on a label is
// the most that is drawn, so less power is no contradiction.
void input_power(const Kit& kit) {
    const auto& dossier = kit.subject.dossier;
    const auto p = claimed(dossier, "input power");
    const auto u = claimed(dossier, "supply voltage");
    const auto i = claimed(dossier, "supply current");
    const auto factor = claimed(dossier, "power factor");
    if (!p || !u || !i || !p->positive() || !i->positive()) {
        return;
    }
    const double most = u->span.high * i->span.high * (factor ? factor->span.high : 1.0);
    if (p->span.low <= most) {
        return;
    }
    std::vector<const dossier::Claim*> claims = {p->claim, u->claim, i->claim};
    if (factor) {
        claims.push_back(factor->claim);
    }
    contradict(kit,
               "input_power",
               "input power",
               said(*u) + " times " + said(*i) +
                   (factor ? " times the power factor " + said(*factor) : "") + " is at most " +
                   text_of(most, base::Unit::watt) + ", but the claim is " + said(*p) + ".",
               claims);
}

void efficiency(const Kit& kit) {
    const auto& dossier = kit.subject.dossier;
    const auto in = claimed(dossier, "input power");
    const auto out = claimed(dossier, "output power");
    const auto eta = claimed(dossier, "efficiency");
    if (!in || !out || !eta || !in->positive() || !out->positive()) {
        return;
    }
    const Span ratio{100.0 * out->span.low / in->span.high, 100.0 * out->span.high / in->span.low};
    if (!ratio.meets(eta->span)) {
        contradict(kit,
                   "efficiency",
                   "efficiency",
                   said(*out) + " out of " + said(*in) + " is " +
                       text_of(ratio.low, base::Unit::percent) + " to " +
                       text_of(ratio.high, base::Unit::percent) + ", but the claim is " +
                       said(*eta) + ".",
                   {in->claim, out->claim, eta->claim});
    }
}

}  // namespace

void claims_contradict(const Kit& kit) {
    said_twice(kit);
    impossible(kit);
    output_power(kit);
    const bool more_out = more_out_than_in(kit);
    input_power(kit);
    if (!more_out) {
        efficiency(kit);
    }
}

}  // namespace etchback::findings::detail
