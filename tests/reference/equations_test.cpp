// The hand-written equations by themselves: their Jacobians, their sums, and how far IDA's own
// tolerance moves their figures.
#include <gtest/gtest.h>

#include <cmath>
#include <numbers>
#include <random>

#include "reference/circuits/dropper.h"
#include "reference/circuits/fixed_flyback.h"
#include "reference/circuits/mains_flyback.h"
#include "reference/circuits/rectifier.h"
#include "reference/ida/figures.h"

namespace etchback::ida {
namespace {

constexpr double kCell = 5e-6;

// A slip of the pen in a Jacobian would not change a result, only slow the solver down; this keeps
// the comparison of speeds fair.
template <typename Circuit>
void check_jacobian(const Circuit& circuit) {
    std::mt19937 random(7);
    const auto draw = [&] { return static_cast<double>(random()) / 2147483648.0 - 1.0; };
    std::vector<double> y(static_cast<std::size_t>(circuit.size())), yp(y.size());
    for (std::size_t k = 0; k < y.size(); ++k) {
        y[k] = 3.0 * draw();
        yp[k] = 1e3 * draw();
    }
    EXPECT_LT(jacobian_error(circuit, 3e-3, y, yp, 1e3), 1e-6);
}
TEST(HandWrittenEquations, HaveTheJacobiansThatTheyWrite) {
    check_jacobian(RectifierEquations<Rectifier>({}));
    check_jacobian(DropperEquations({}));
    check_jacobian(FixedFlybackEquations({}));
    check_jacobian(MainsFlybackEquations({}));
}

// The sums of 40 harmonics, on a current whose harmonics are known: 1 A mean, 2 A at 50 Hz, 3 A at
// 1950 Hz, 5 A at 5 kHz (left out): sqrt(1 + 2 + 4.5).
TEST(HandWrittenEquations, HarmonicsOfAKnownCurrent) {
    std::vector<double> charge;
    constexpr double w = 2.0 * std::numbers::pi * 50.0;
    for (int k = 0; k <= 4000; ++k) {
        const double t = kCell * k;
        charge.push_back(t - 2.0 / w * std::cos(w * t) - 3.0 / (39.0 * w) * std::cos(39.0 * w * t) -
                         5.0 / (100.0 * w) * std::cos(100.0 * w * t));
    }
    EXPECT_NEAR(band_rms(charge, kCell, 50.0, 40), std::sqrt(7.5), 1e-9);
}

// A figure of IDA's is worth as much as it stays when the tolerance is cut tenfold. The rest of the
// comparisons ask 0.5 %, so this asks a tenth of that.
template <typename Circuit>
Figures figures(Circuit equations, int peak, double end_s, double hz, double relative) {
    const int first = Circuit::integrals;
    const Course course = solve(equations,
                                {.end_s = end_s,
                                 .relative = relative,
                                 .cell_s = kCell,
                                 .longest_step_s = hz > 0.0 ? 1e-4 : 1e-5,
                                 .sampled = {first, first + 1, first + 2, first + 3},
                                 .extremes = {peak}});
    EXPECT_EQ(course.trouble, "");
    return figures_of(course, kCell, 0.0, end_s, 230.0, hz);
}
void same(const Figures& a, const Figures& b) {
    constexpr double share = 5e-4;
    EXPECT_NEAR(a.load_a, b.load_a, share * b.load_a);
    EXPECT_NEAR(a.input_w, b.input_w, share * b.input_w);
    EXPECT_NEAR(a.input_a_rms, b.input_a_rms, share * b.input_a_rms);
    EXPECT_NEAR(a.peak_v, b.peak_v, share * b.peak_v);
}
TEST(HandWrittenEquations, AreSolvedToATenthOfWhatIsAsked) {
    using R = RectifierEquations<Rectifier>;
    same(figures(R({}), R::bulk, 0.02, 50.0, 1e-6), figures(R({}), R::bulk, 0.02, 50.0, 1e-7));
    using D = DropperEquations;
    same(figures(D({}), D::bulk, 0.02, 50.0, 1e-6), figures(D({}), D::bulk, 0.02, 50.0, 1e-7));
    using F = FixedFlybackEquations;
    same(figures(F({}), F::drain, 1e-3, 0.0, 1e-6), figures(F({}), F::drain, 1e-3, 0.0, 1e-7));
    using M = MainsFlybackEquations;
    same(figures(M({}), M::drain, 5e-3, 50.0, 1e-6), figures(M({}), M::drain, 5e-3, 50.0, 1e-7));
}

}  // namespace
}  // namespace etchback::ida
