// Harmonic currents against IEC 61000-3-2:2018 (edition 5) with AMD1:2020.
//
// The limits hold for equipment up to 16 A a phase on public systems of 220 V and more. Harmonics
// below 0.6 % of the input current or below 5 mA, whichever is greater, are disregarded. The
// standard's test has its own set-up (a source of little distortion, 200 ms windows, averages over
// the observation time): a capture of some cycles shows where an item stands, it is no such test.
//
// What decides the class is what the item is for: lighting is class C; personal computers, monitors
// and television receivers are class D; all else that is here is class A.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/quantity.h"
#include "bench/mains.h"
#include "bench/verdict.h"

namespace etchback::bench {

enum class LimitClass {
    a,
    c_above_25_w,
    c_to_25_w_by_power,
    c_to_25_w_by_shape,
    c_to_25_w_by_thd,
    d
};

struct LimitRow {
    std::string what;  // "3", "third harmonic", "THD", "starts by"
    int order = 0;     // 0: no harmonic
    Estimate value;
    double limit = 0.0;
    base::Unit unit = base::Unit::ampere;
    Verdict verdict = Verdict::cannot_tell;
    bool disregarded = false;  // below the floor
};

struct LimitCheck {
    LimitClass of = LimitClass::a;
    std::string title;   // "Class C, 5 W to 25 W, by wave shape"
    std::string source;  // "IEC 61000-3-2:2018, Table 2"
    std::vector<LimitRow> rows;
    Verdict verdict = Verdict::cannot_tell;  // the worst of the rows
};

// In ampere; of class C above 25 W it depends on the fundamental, of class D and C to 25 W on the
// power. Nothing where the class has no limit for the order.
std::optional<double> limit_a(LimitClass of, int order, double fundamental_a, double power_w);

LimitCheck check_limits(LimitClass of, const MainsFigures& figures);

// Those that apply to lighting or to other equipment, with a sentence that says why or that none
// do. Of the three options of lighting from 5 W to 25 W one is enough.
struct LimitJudgement {
    std::vector<LimitCheck> checks;
    Verdict verdict = Verdict::within;
    std::string words;
};
LimitJudgement judge_harmonics(const MainsFigures& figures, bool lighting);

}  // namespace etchback::bench
