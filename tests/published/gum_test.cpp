// JCGM 100:2008, Evaluation of measurement data - Guide to the expression of uncertainty in
// measurement (the GUM). Tolerances are half a unit of the last printed digit unless said.
#include <gtest/gtest.h>

#include <array>
#include <cmath>

#include "bench/uncertainty.h"

namespace etchback::bench {
namespace {

using Values = std::span<const double>;

// Annex H.2, Table H.2: five observations of V (volt), I (ampere) and phi (radian) taken together.
// Means, uncertainties and correlations were read in a secondary text that quotes the guide; the
// five rows are from memory and give exactly those.
const std::array<std::vector<double>, 5> observations = {{
    {5.007, 19.663e-3, 1.0456},
    {4.994, 19.639e-3, 1.0438},
    {5.005, 19.640e-3, 1.0468},
    {4.990, 19.685e-3, 1.0428},
    {4.999, 19.678e-3, 1.0433},
}};

double resistance(Values x) {
    return x[0] / x[1] * std::cos(x[2]);
}
double reactance(Values x) {
    return x[0] / x[1] * std::sin(x[2]);
}
double impedance(Values x) {
    return x[0] / x[1];
}

TEST(PublishedGum, AnnexH2MeansTheirUncertaintiesAndCorrelations) {
    const Estimates in = means(observations);
    EXPECT_NEAR(in.values[0].value, 4.9990, 5e-5);
    EXPECT_NEAR(in.values[0].u, 0.0032, 5e-5);
    EXPECT_NEAR(in.values[1].value, 19.6610e-3, 5e-8);
    EXPECT_NEAR(in.values[1].u, 0.0095e-3, 5e-8);
    EXPECT_NEAR(in.values[2].value, 1.04446, 5e-6);
    EXPECT_NEAR(in.values[2].u, 0.00075, 5e-6);
    EXPECT_NEAR(in.correlation(0, 1), -0.36, 0.005);
    EXPECT_NEAR(in.correlation(0, 2), 0.86, 0.005);
    EXPECT_NEAR(in.correlation(1, 2), -0.65, 0.005);
}

// Table H.3 (approach 1; printed results from memory).
TEST(PublishedGum, AnnexH2ResultsFromCorrelatedMeans) {
    const Estimates in = means(observations);
    const Model models[] = {resistance, reactance, impedance};
    const Estimates out = propagate(models, in.values, in.correlation);
    EXPECT_NEAR(out.values[0].value, 127.732, 0.0005);
    EXPECT_NEAR(out.values[0].u, 0.071, 0.0005);
    EXPECT_NEAR(out.values[1].value, 219.847, 0.0005);
    // Printed 0.295; the observations give 0.2956, and the guide warns of its own rounding.
    EXPECT_NEAR(out.values[1].u, 0.295, 0.001);
    EXPECT_NEAR(out.values[2].value, 254.260, 0.0005);
    EXPECT_NEAR(out.values[2].u, 0.236, 0.0005);
    EXPECT_NEAR(out.correlation(0, 1), -0.588, 0.0005);
    EXPECT_NEAR(out.correlation(0, 2), -0.485, 0.0005);
    EXPECT_NEAR(out.correlation(1, 2), 0.993, 0.0005);
}

// The same with the correlation left out, computed here: the correlation is what counts.
TEST(PublishedGum, AnnexH2WithoutCorrelationOverstatesTheResistance) {
    const Estimates in = means(observations);
    EXPECT_NEAR(propagate(resistance, in.values).u, 0.194, 0.0015);
}

// Table H.4 (approach 2; printed results from memory): results of each row, then their means.
TEST(PublishedGum, AnnexH2ResultsOfEachObservationAveraged) {
    std::vector<std::vector<double>> rows;
    for (const std::vector<double>& row : observations) {
        rows.push_back({resistance(row), reactance(row), impedance(row)});
    }
    EXPECT_NEAR(rows[0][0], 127.67, 0.005);
    EXPECT_NEAR(rows[3][1], 218.97, 0.005);
    const Estimates out = means(rows);
    EXPECT_NEAR(out.values[0].value, 127.732, 0.0005);
    EXPECT_NEAR(out.values[0].u, 0.071, 0.0005);
    EXPECT_NEAR(out.values[1].value, 219.847, 0.0005);
    EXPECT_NEAR(out.values[1].u, 0.295, 0.0005);
    EXPECT_NEAR(out.values[2].value, 254.260, 0.0005);
    EXPECT_NEAR(out.values[2].u, 0.236, 0.0005);
    EXPECT_NEAR(out.correlation(0, 1), -0.588, 0.0005);
    EXPECT_NEAR(out.correlation(1, 2), 0.993, 0.0005);
}

// Annex H.1: the length of an end gauge, l = ls + d - ls·(dalpha·theta + alpha_s·dtheta), in nm and
// K. Inputs and u(l) read in a secondary text that quotes the guide.
TEST(PublishedGum, AnnexH1EndGauge) {
    const double uniform = 1.0 / std::sqrt(3.0);
    const Estimate inputs[] = {
        {50000623.0, 25.0},                             // ls
        {215.0, std::hypot(5.8, 3.9, 6.7)},             // d
        {0.0, 1e-6 * uniform},                          // dalpha
        {-0.1, std::hypot(0.2, 0.5 / std::sqrt(2.0))},  // theta
        {11.5e-6, 2e-6 * uniform},                      // alpha_s
        {0.0, 0.05 * uniform},                          // dtheta
    };
    const Model length = [](Values x) { return x[0] + x[1] - x[0] * (x[2] * x[3] + x[4] * x[5]); };
    const Estimate l = propagate(length, inputs);
    EXPECT_NEAR(l.value, 50000838.0, 0.5);
    EXPECT_NEAR(l.u, 32.0, 0.5);
    const std::vector<double> c = sensitivities(length, inputs);
    EXPECT_NEAR(std::abs(c[2]) * inputs[2].u, 2.9, 0.05);
    EXPECT_NEAR(std::abs(c[5]) * inputs[5].u, 16.6, 0.05);
}

}  // namespace
}  // namespace etchback::bench
