#include "bench/claims.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace etchback::bench {
namespace {

using base::Unit;

Estimate estimate_of(const dossier::Reading& reading) {
    const base::Quantity& value = reading.value.value;
    double half = 0.01 * std::abs(value.value);
    if (reading.uncertainty) {
        const base::Quantity& u = reading.uncertainty->value;
        half = u.unit == Unit::percent && value.unit != Unit::percent
                   ? u.value / 100.0 * std::abs(value.value)
                   : u.value;
    } else if (!value.exact()) {
        half = 0.5 * (value.high - value.low);
    }
    return {value.value, 0.5 * half};
}

// What a claim allows.
void set_limits(ClaimCheck& check, const dossier::Claim& claim) {
    const base::Quantity& q = claim.value.value;
    check.low = q.low;
    check.high = q.high;
    if (!q.exact()) {
        return;
    }
    const double slack = q.unit == Unit::none ? 0.005 : 0.1 * std::abs(q.value);
    check.low = q.value - slack;
    check.high = q.value + slack;
    if (claim.note.value.find("the most") != std::string::npos) {
        check.low = -1e300;
        check.high = q.value;
    }
}

bool is_condition(const std::string& quantity) {
    return quantity == "supply voltage" || quantity == "supply frequency";
}

}  // namespace

std::vector<ClaimCheck> check_claims(const std::vector<dossier::Claim>& claims,
                                     const std::vector<dossier::Reading>& readings) {
    std::vector<ClaimCheck> checks;
    for (const dossier::Claim& claim : claims) {
        for (const dossier::Reading& reading : readings) {
            if (claim.quantity.value != reading.quantity.value ||
                claim.value.value.unit != reading.value.value.unit) {
                continue;
            }
            ClaimCheck check;
            check.quantity = claim.quantity.value;
            check.unit = claim.value.value.unit;
            check.value = estimate_of(reading);
            set_limits(check, claim);
            check.verdict = between(check.value, check.low, check.high);
            if (is_condition(check.quantity) && check.verdict != Verdict::outside) {
                continue;
            }
            check.claimed = base::to_text(claim.value.value);
            check.read =
                fmt::format("{} ± {}{}",
                            base::to_engineering(check.value.value, check.unit),
                            base::to_engineering(2.0 * check.value.u, check.unit, {2, false}),
                            reading.group.empty() ? "" : " (" + reading.group + ")");
            const char* verb = check.verdict == Verdict::within ? "agrees with"
                               : check.verdict == Verdict::outside
                                   ? "contradicts"
                                   : "can neither confirm nor refute";
            check.words =
                fmt::format("{}: the reading {} {} the claim {}{}.",
                            check.quantity,
                            check.read,
                            verb,
                            check.claimed,
                            claim.where.value.empty() ? "" : " (" + claim.where.value + ")");
            check.claim = claim.place;
            check.reading = reading.place;
            checks.push_back(std::move(check));
        }
    }
    return checks;
}

}  // namespace etchback::bench
