#include "bench/claims.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>

#include "bench/meters.h"

namespace etchback::bench {
namespace {

using base::Unit;

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
    } else if (claim.note.value.find("the least") != std::string::npos) {
        check.low = q.value;
        check.high = 1e300;
    }
}

bool is_condition(const std::string& quantity) {
    return quantity == "supply voltage" || quantity == "supply frequency";
}

// What figures say of a claimed quantity: the beginning of their ids.
struct Same {
    std::string_view quantity;
    std::string_view figure;
};
constexpr Same same[] = {
    {"supply voltage", "voltage"},
    {"supply frequency", "frequency"},
    {"supply current", "current"},
    {"input power", "power"},
    {"apparent power", "apparent_power"},
    {"power factor", "power_factor"},
    {"displacement factor", "displacement_factor"},
    {"total harmonic distortion", "current_thd_40"},
    {"percent flicker", "percent_flicker"},
    {"flicker index", "flicker_index"},
    {"stroboscopic visibility", "svm"},
    {"flicker severity", "pst_light"},
    {"start-up time", "start_up"},
    {"hold-up time", "hold_up"},
    {"inrush current", "inrush_peak"},
    {"switching frequency", "switching_frequency"},
    {"ripple", "ripple"},
    {"efficiency", "efficiency"},
    {"output power", "output_power"},
};

bool speaks_of(const base::Figure& figure, const std::string& quantity) {
    const std::string_view id = std::string_view(figure.id).substr(0, figure.id.find('.'));
    return std::any_of(std::begin(same), std::end(same), [&](const Same& row) {
        return row.quantity == quantity && row.figure == id;
    });
}

// Judged and put into words. Nothing for a condition of the readings that lies inside.
std::optional<ClaimCheck> judged(const dossier::Claim& claim,
                                 const Estimate& value,
                                 const std::string& from,
                                 std::string_view what) {
    ClaimCheck check;
    check.quantity = claim.quantity.value;
    check.unit = claim.value.value.unit;
    check.value = value;
    set_limits(check, claim);
    check.verdict = between(check.value, check.low, check.high);
    if (is_condition(check.quantity) && check.verdict != Verdict::outside) {
        return std::nullopt;
    }
    check.claimed = base::to_text(claim.value.value);
    check.read = fmt::format("{} ± {}{}",
                             base::to_engineering(check.value.value, check.unit),
                             base::to_engineering(2.0 * check.value.u, check.unit, {2, false}),
                             from.empty() ? "" : " (" + from + ")");
    const char* verb = check.verdict == Verdict::within    ? "agrees with"
                       : check.verdict == Verdict::outside ? "contradicts"
                                                           : "can neither confirm nor refute";
    check.words = fmt::format("{}: the {} {} {} the claim {}{}.",
                              check.quantity,
                              what,
                              check.read,
                              verb,
                              check.claimed,
                              claim.where.value.empty() ? "" : " (" + claim.where.value + ")");
    check.claim = claim.place;
    return check;
}

}  // namespace

std::vector<ClaimCheck> check_claims(const std::vector<dossier::Claim>& claims,
                                     const std::vector<dossier::Reading>& readings,
                                     const std::vector<base::Figure>& figures) {
    std::vector<ClaimCheck> checks;
    for (const dossier::Claim& claim : claims) {
        const base::Unit unit = claim.value.value.unit;
        for (const dossier::Reading& reading : readings) {
            if (claim.quantity.value != reading.quantity.value ||
                unit != reading.value.value.unit) {
                continue;
            }
            if (auto check = judged(claim, estimate_of(reading), reading.group, "reading")) {
                check->reading = reading.place;
                checks.push_back(*std::move(check));
            }
        }
        for (const base::Figure& figure : figures) {
            const bool to_percent = unit == Unit::percent && figure.unit == Unit::none;
            if (!speaks_of(figure, claim.quantity.value) || !(unit == figure.unit || to_percent)) {
                continue;
            }
            const double scale = to_percent ? 100.0 : 1.0;
            const Estimate value{scale * figure.value, scale * figure.uncertainty.value_or(0.0)};
            const std::string from = figure.evidence.size() == 1 ? figure.evidence[0].name : "";
            if (auto check = judged(claim, value, from, from.empty() ? "figure" : "waveform")) {
                check->reading = figure.evidence.empty() ? base::Place{} : figure.evidence[0].place;
                checks.push_back(*std::move(check));
            }
        }
    }
    return checks;
}

}  // namespace etchback::bench
