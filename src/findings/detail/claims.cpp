#include "findings/detail/claims.h"

#include <algorithm>
#include <cmath>

#include "base/text.h"

namespace etchback::findings::detail {
namespace {

constexpr double most_rounding = 0.05;
constexpr double usual_uncertainty = 0.03;  // of a hand-held meter that nobody vouches for

// The unit of the last digit that is not zero: 0.01 for 0.95, 10 for 350.
double last_digit(double value) {
    for (int exponent = 9; exponent >= -9; --exponent) {
        const double unit = std::pow(10.0, exponent);
        const double times = std::abs(value) / unit;
        if (times >= 0.5 && std::abs(times - std::round(times)) < 1e-6 * times) {
            return unit;
        }
    }
    return 0.0;
}

double rounding(double value) {
    return std::min(0.5 * last_digit(value), most_rounding * std::abs(value));
}

}  // namespace

Span operator*(const Span& a, const Span& b) {
    return {a.low * b.low, a.high * b.high};
}

Span meaning(const base::Quantity& printed) {
    return {printed.low - rounding(printed.low), printed.high + rounding(printed.high)};
}

std::vector<ClaimedSpan> claims_of(const dossier::Dossier& dossier, std::string_view quantity) {
    std::vector<ClaimedSpan> found;
    for (const dossier::Claim& claim : dossier.claims) {
        if (base::lowered(base::trimmed(claim.quantity.value)) == quantity) {
            Span span = meaning(claim.value.value);
            // "0.85" is 85 %: nothing that anybody sells has an efficiency of less than 1 %.
            if (quantity == "efficiency" && span.low > 0.0 && claim.value.value.high <= 1.0) {
                span = {100.0 * span.low, 100.0 * span.high};
            }
            found.push_back({span, &claim});
        }
    }
    return found;
}

std::optional<ClaimedSpan> claimed(const dossier::Dossier& dossier, std::string_view quantity) {
    const auto all = claims_of(dossier, quantity);
    if (all.empty()) {
        return std::nullopt;
    }
    ClaimedSpan common = all.front();
    for (const ClaimedSpan& each : all) {
        if (common.span.meets(each.span)) {
            common.span = {std::max(common.span.low, each.span.low),
                           std::min(common.span.high, each.span.high)};
        }
    }
    return common;
}

double half_width(const dossier::Reading& reading, bool& assumed) {
    const double value = std::abs(reading.value.value.value);
    if (!reading.uncertainty) {
        assumed = true;
        return usual_uncertainty * value;
    }
    const base::Quantity& u = reading.uncertainty->value;
    return u.unit == base::Unit::percent ? u.value / 100.0 * value : u.value;
}

base::Evidence evidence_of(const dossier::Claim& claim) {
    std::string detail = base::to_text(claim.value.value);
    if (!claim.where.value.empty()) {
        detail += ", " + claim.where.value;
    }
    return {base::Evidence::Kind::claim, claim.quantity.value, detail, claim.place};
}

base::Evidence evidence_of(const dossier::Reading& reading) {
    std::string detail = base::to_text(reading.value.value);
    if (reading.uncertainty) {
        detail += " ± " + base::to_text(reading.uncertainty->value);
    }
    if (!reading.group.empty()) {
        detail += " (" + reading.group + ")";
    }
    return {base::Evidence::Kind::reading, reading.quantity.value, detail, reading.place};
}

}  // namespace etchback::findings::detail
