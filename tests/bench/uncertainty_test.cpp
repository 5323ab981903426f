#include "bench/uncertainty.h"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

namespace etchback::bench {
namespace {

using Values = std::span<const double>;

TEST(Uncertainty, OfASumAddsInQuadrature) {
    const Estimate inputs[] = {{10.0, 0.3}, {20.0, 0.4}};
    const Estimate sum = propagate([](Values x) { return x[0] + x[1]; }, inputs);
    EXPECT_NEAR(sum.value, 30.0, 1e-12);
    EXPECT_NEAR(sum.u, 0.5, 1e-9);
}

TEST(Uncertainty, OfASumOfFullyCorrelatedInputsAddsDirectly) {
    const Estimate inputs[] = {{10.0, 0.3}, {20.0, 0.4}};
    const Correlation together{2, {1.0, 1.0, 1.0, 1.0}};
    const Model sum = [](Values x) { return x[0] + x[1]; };
    const Model difference = [](Values x) { return x[1] - x[0]; };
    EXPECT_NEAR(propagate(sum, inputs, together).u, 0.7, 1e-9);
    EXPECT_NEAR(propagate(difference, inputs, together).u, 0.1, 1e-9);
}

TEST(Uncertainty, SensitivitiesAreThePartialDerivatives) {
    std::mt19937 random(20260314);
    std::uniform_real_distribution<double> size(0.5, 300.0);
    std::uniform_real_distribution<double> share(1e-4, 0.1);
    for (int i = 0; i < 200; ++i) {
        const double a = size(random);
        const double b = size(random);
        const Estimate inputs[] = {{a, a * share(random)}, {b, b * share(random)}};
        const auto c = sensitivities([](Values x) { return x[0] / x[1]; }, inputs);
        EXPECT_NEAR(c[0] * b, 1.0, 1e-6);
        EXPECT_NEAR(c[1] * b * b / a, -1.0, 1e-6);
    }
}

TEST(Uncertainty, ResultsFromTheSameInputAreCorrelated) {
    const Estimate inputs[] = {{5.0, 0.1}};
    const Model models[] = {[](Values x) { return 2.0 * x[0]; }, [](Values x) { return -x[0]; }};
    const Estimates out = propagate(models, inputs);
    EXPECT_NEAR(out.values[0].u, 0.2, 1e-9);
    EXPECT_NEAR(out.correlation(0, 1), -1.0, 1e-9);
    EXPECT_EQ(out.correlation(1, 1), 1.0);
}

TEST(Uncertainty, AnExactlyKnownInputAddsNothing) {
    const Estimate inputs[] = {{3.0, 0.0}, {4.0, 0.2}};
    const Estimate product = propagate([](Values x) { return x[0] * x[1]; }, inputs);
    EXPECT_NEAR(product.u, 0.6, 1e-9);
    const Estimate nothing[] = {{0.0, 0.0}};
    EXPECT_EQ(propagate([](Values x) { return x[0] * x[0]; }, nothing).u, 0.0);
}

// Against a simulation with random numbers, an independent way to the same answer.
TEST(Uncertainty, AgreesWithRandomTrials) {
    std::mt19937 random(7);
    std::normal_distribution<double> unit(0.0, 1.0);
    const Estimate inputs[] = {{230.0, 1.2}, {0.084, 0.0005}, {0.95, 0.004}};
    const Model power = [](Values x) { return x[0] * x[1] * x[2]; };
    const Estimate linear = propagate(power, inputs);
    constexpr int trials = 200000;
    double sum = 0.0;
    double squares = 0.0;
    for (int i = 0; i < trials; ++i) {
        double x[3];
        for (int k = 0; k < 3; ++k) {
            x[k] = inputs[k].value + inputs[k].u * unit(random);
        }
        const double p = power(x) - linear.value;
        sum += p;
        squares += p * p;
    }
    const double mean = sum / trials;
    EXPECT_NEAR(mean, 0.0, 4.0 * linear.u / std::sqrt(trials));
    EXPECT_NEAR(std::sqrt(squares / trials - mean * mean), linear.u, 0.01 * linear.u);
}

TEST(Uncertainty, OfMeansShrinksWithTheRootOfTheirNumber) {
    const std::vector<double> rows[] = {{1.0, 10.0}, {3.0, 8.0}, {2.0, 9.0}};
    const Estimates out = means(rows);
    EXPECT_NEAR(out.values[0].value, 2.0, 1e-12);
    EXPECT_NEAR(out.values[0].u, 1.0 / std::sqrt(3.0), 1e-12);
    EXPECT_NEAR(out.correlation(0, 1), -1.0, 1e-12);
}

TEST(Uncertainty, OfAMeanThatNeverVariesIsNothing) {
    const std::vector<double> rows[] = {{1.0, 10.0}, {1.0, 8.0}};
    const Estimates out = means(rows);
    EXPECT_EQ(out.values[0].u, 0.0);
    EXPECT_EQ(out.correlation(0, 1), 0.0);
}

}  // namespace
}  // namespace etchback::bench
