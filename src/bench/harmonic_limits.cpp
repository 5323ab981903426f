#include "bench/harmonic_limits.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

namespace etchback::bench {
namespace {

using base::Unit;

std::optional<double> class_a(int n) {
    constexpr std::array<double, 14> kFirst = {
        0, 0, 1.08, 2.30, 0.43, 1.14, 0.30, 0.77, 0, 0.40, 0, 0.33, 0, 0.21};
    if (n < 2 || n > 40) {
        return std::nullopt;
    }
    if (n % 2 == 1) {
        return n <= 13 ? kFirst[static_cast<std::size_t>(n)] : 0.15 * 15.0 / n;
    }
    return n <= 6 ? kFirst[static_cast<std::size_t>(n)] : 0.23 * 8.0 / n;
}

std::optional<double> milliampere_per_watt(int n) {
    switch (n) {
        case 3:
            return 3.4;
        case 5:
            return 1.9;
        case 7:
            return 1.0;
        case 9:
            return 0.5;
        case 11:
            return 0.35;
        default:
            return n >= 13 && n <= 39 && n % 2 == 1 ? std::optional(3.85 / n) : std::nullopt;
    }
}

std::optional<double> percent_above_25_w(int n) {
    switch (n) {
        case 2:
            return 2.0;
        case 3:
            return 27.0;
        case 5:
            return 10.0;
        case 7:
            return 7.0;
        case 9:
            return 5.0;
        default:
            return n >= 11 && n <= 39 && n % 2 == 1 ? std::optional(3.0) : std::nullopt;
    }
}

std::optional<double> percent_by_thd(int n) {
    switch (n) {
        case 2:
            return 5.0;
        case 3:
            return 35.0;
        case 5:
            return 25.0;
        case 7:
            return 30.0;
        case 9:
        case 11:
            return 20.0;
        default:
            return std::nullopt;
    }
}

LimitCheck head_of(LimitClass of) {
    switch (of) {
        case LimitClass::a:
            return {of, "Class A", "IEC 61000-3-2:2018, Table 1", {}, Verdict::within};
        case LimitClass::c_above_25_w:
            return {of, "Class C, above 25 W", "IEC 61000-3-2:2018, Table 2", {}, Verdict::within};
        case LimitClass::c_to_25_w_by_power:
            return {of,
                    "Class C, 5 W to 25 W, by power",
                    "IEC 61000-3-2:2018, 7.4.3 (from memory)",
                    {},
                    Verdict::within};
        case LimitClass::c_to_25_w_by_shape:
            return {of,
                    "Class C, 5 W to 25 W, by wave shape",
                    "IEC 61000-3-2:2018, 7.4.3 (from memory)",
                    {},
                    Verdict::within};
        case LimitClass::c_to_25_w_by_thd:
            return {of,
                    "Class C, 5 W to 25 W, by distortion",
                    "IEC 61000-3-2:2018, 7.4.3 (from memory)",
                    {},
                    Verdict::within};
        case LimitClass::d:
            break;
    }
    return {of, "Class D", "IEC 61000-3-2:2018, Table 3", {}, Verdict::within};
}

Verdict worse(Verdict a, Verdict b) {
    if (a == Verdict::outside || b == Verdict::outside) {
        return Verdict::outside;
    }
    return a == Verdict::cannot_tell ? a : b;
}

const Harmonic* harmonic_of(const MainsFigures& figures, int order) {
    const auto& all = figures.current.harmonics;
    return static_cast<std::size_t>(order) < all.size() ? &all[static_cast<std::size_t>(order)]
                                                        : nullptr;
}

Estimate percent_of_fundamental(const Harmonic& harmonic, const MainsFigures& figures) {
    const double one = figures.current.harmonics[1].rms.value;
    return one > 0.0 ? Estimate{100.0 * harmonic.rms.value / one, 100.0 * harmonic.rms.u / one}
                     : Estimate{};
}

// Angles at which the current does what the wave shape option asks for: degrees from the voltage's
// zero, over its positive half.
struct Shape {
    double reaches_deg = 180.0, peak_deg = 180.0, leaves_deg = 0.0;
};
Shape shape_of(const MainsFigures& figures) {
    const std::vector<double>& cycle = figures.current.cycle;
    const std::size_t half = cycle.size() / 2;
    double most = 0.0;
    for (const double i : cycle) {
        most = std::max(most, std::abs(i));
    }
    Shape shape;
    double peak = 0.0;
    for (std::size_t k = 0; k < half; ++k) {
        const double at = 360.0 * static_cast<double>(k) / static_cast<double>(cycle.size());
        if (cycle[k] >= 0.05 * most) {
            shape.reaches_deg = std::min(shape.reaches_deg, at);
            shape.leaves_deg = at;
        }
        if (cycle[k] > peak) {
            peak = cycle[k];
            shape.peak_deg = at;
        }
    }
    return shape;
}

void add_row(LimitCheck& check, LimitRow row) {
    if (row.disregarded) {
        row.verdict = Verdict::within;
    }
    check.verdict = worse(check.verdict, row.verdict);
    check.rows.push_back(std::move(row));
}

void add_percent(LimitCheck& check, const MainsFigures& figures, int order, double limit) {
    if (const Harmonic* harmonic = harmonic_of(figures, order)) {
        const Estimate value = percent_of_fundamental(*harmonic, figures);
        add_row(check,
                {fmt::format("{}", order),
                 order,
                 value,
                 limit,
                 Unit::percent,
                 at_most(value, limit),
                 false});
    }
}

void add_angle(LimitCheck& check, const char* what, double value, double limit, bool most) {
    const Estimate angle{value, 0.5};  // of the fitted cycle's points
    add_row(check,
            {what,
             0,
             angle,
             limit,
             Unit::degree,
             most ? at_most(angle, limit) : at_least(angle, limit),
             false});
}

}  // namespace

std::optional<double> limit_a(LimitClass of, int order, double fundamental_a, double power_w) {
    std::optional<double> part;
    switch (of) {
        case LimitClass::a:
            return class_a(order);
        case LimitClass::c_above_25_w:
            part = percent_above_25_w(order);
            return part ? std::optional(*part / 100.0 * fundamental_a) : part;
        case LimitClass::c_to_25_w_by_thd:
            part = percent_by_thd(order);
            return part ? std::optional(*part / 100.0 * fundamental_a) : part;
        case LimitClass::c_to_25_w_by_shape:
            part = order == 3   ? std::optional(0.86)
                   : order == 5 ? std::optional(0.61)
                                : std::nullopt;
            return part ? std::optional(*part * fundamental_a) : part;
        case LimitClass::c_to_25_w_by_power:
            part = milliampere_per_watt(order);
            return part ? std::optional(*part * 1e-3 * power_w) : part;
        case LimitClass::d:
            part = milliampere_per_watt(order);
            return part ? std::optional(std::min(*part * 1e-3 * power_w, *class_a(order))) : part;
    }
    return std::nullopt;
}

LimitCheck check_limits(LimitClass of, const MainsFigures& figures) {
    LimitCheck check = head_of(of);
    const bool by_thd = of == LimitClass::c_to_25_w_by_thd;
    if (of == LimitClass::c_to_25_w_by_shape || by_thd) {
        for (int n = 2; n <= 11; ++n) {
            const auto limit = limit_a(of, n, 100.0, 0.0);
            if (limit) {
                add_percent(check, figures, n, *limit);
            }
        }
        if (by_thd) {
            const Estimate thd{100.0 * figures.current.thd_40.value,
                               100.0 * figures.current.thd_40.u};
            add_row(check, {"THD", 0, thd, 70.0, Unit::percent, at_most(thd, 70.0), false});
        } else {
            const Shape shape = shape_of(figures);
            add_angle(check, "5 % of the peak reached by", shape.reaches_deg, 60.0, true);
            add_angle(check, "peak by", shape.peak_deg, 65.0, true);
            add_angle(check, "flows until", shape.leaves_deg, 90.0, false);
        }
        return check;
    }
    const double one =
        figures.current.harmonics.size() > 1 ? figures.current.harmonics[1].rms.value : 0.0;
    const double floor = std::max(0.005, 0.006 * figures.current.rms.value);
    for (int n = 2; n <= 40; ++n) {
        const Harmonic* harmonic = harmonic_of(figures, n);
        const auto limit = limit_a(of, n, one, figures.power_w.value);
        if (harmonic != nullptr && limit) {
            add_row(check,
                    {fmt::format("{}", n),
                     n,
                     harmonic->rms,
                     *limit,
                     Unit::ampere,
                     at_most(harmonic->rms, *limit),
                     harmonic->rms.value < floor});
        }
    }
    return check;
}

LimitJudgement judge_harmonics(const MainsFigures& figures, bool lighting) {
    LimitJudgement judgement;
    if (!figures.voltage.present || !figures.current.present) {
        judgement.verdict = Verdict::cannot_tell;
        judgement.words = "Voltage and current are needed together.";
        return judgement;
    }
    const double power = figures.power_w.value;
    if (figures.voltage.rms.value < 198.0) {
        judgement.words = "IEC 61000-3-2 has no limits for supplies below 220 V.";
        return judgement;
    }
    if (lighting && power > 25.0) {
        judgement.checks = {check_limits(LimitClass::c_above_25_w, figures)};
        judgement.verdict = judgement.checks[0].verdict;
        judgement.words = "Lighting above 25 W: class C.";
    } else if (lighting && power > 5.0) {
        judgement.checks = {check_limits(LimitClass::c_to_25_w_by_power, figures),
                            check_limits(LimitClass::c_to_25_w_by_shape, figures),
                            check_limits(LimitClass::c_to_25_w_by_thd, figures)};
        judgement.verdict = Verdict::outside;
        for (const LimitCheck& check : judgement.checks) {
            if (check.verdict == Verdict::within) {
                judgement.verdict = Verdict::within;
            } else if (check.verdict == Verdict::cannot_tell &&
                       judgement.verdict == Verdict::outside) {
                judgement.verdict = Verdict::cannot_tell;
            }
        }
        judgement.words = "Lighting from 5 W to 25 W: class C; one of three options must be met.";
    } else if (lighting) {
        judgement.words = "Lighting of 5 W and less: no limits from edition 5 on.";
    } else if (power <= 75.0) {
        judgement.checks = {check_limits(LimitClass::a, figures)};
        judgement.words =
            "Equipment of 75 W and less, lighting excepted: no limits. Class A is shown beside it.";
    } else {
        judgement.checks = {check_limits(LimitClass::a, figures),
                            check_limits(LimitClass::d, figures)};
        judgement.verdict = judgement.checks[0].verdict;
        judgement.words =
            "Class A; class D holds instead for computers, monitors and television receivers.";
    }
    return judgement;
}

}  // namespace etchback::bench
