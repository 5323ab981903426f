#include "behaviour/detail/campaign_sampling.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numeric>

namespace etchback::behaviour::detail {
namespace {

TEST(Sampling, GivesNumbersThatAreUniformAndDoNotDependOnEachOther) {
    constexpr int n = 20000;
    double sum = 0.0, squares = 0.0, product = 0.0;
    for (int i = 0; i < n; ++i) {
        const double u = uniform(7, static_cast<std::uint64_t>(i), 0);
        const double v = uniform(7, static_cast<std::uint64_t>(i), 1);
        EXPECT_GE(u, 0.0);
        EXPECT_LT(u, 1.0);
        sum += u;
        squares += (u - 0.5) * (u - 0.5);
        product += (u - 0.5) * (v - 0.5);
    }
    // Four standard deviations of a mean, a variance and a covariance of that many.
    EXPECT_NEAR(sum / n, 0.5, 4.0 * std::sqrt(1.0 / 12.0 / n));
    EXPECT_NEAR(squares / n, 1.0 / 12.0, 4.0 * std::sqrt(1.0 / 180.0 / n));
    EXPECT_NEAR(product / n, 0.0, 4.0 / 12.0 / std::sqrt(static_cast<double>(n)));
}

TEST(Sampling, DependsOnSeedSampleAndParameterAlone) {
    EXPECT_EQ(uniform(1, 2, 3), uniform(1, 2, 3));
    EXPECT_NE(uniform(1, 2, 3), uniform(2, 2, 3));
    EXPECT_NE(uniform(1, 2, 3), uniform(1, 3, 2));
}

TEST(Sampling, StaysWithinTheToleranceAndIsAsOftenBelowTheNominalAsAbove) {
    const Parameter lopsided{"D1", "capacitance", 10.0, 8.0, 40.0, base::Unit::farad, true};
    EXPECT_EQ(sampled(lopsided, 0.0), 8.0);
    EXPECT_EQ(sampled(lopsided, 0.25), 9.0);
    EXPECT_EQ(sampled(lopsided, 0.5), 10.0);
    EXPECT_EQ(sampled(lopsided, 0.75), 25.0);
}

TEST(Sampling, QuantilesLieBetweenTheSortedValues) {
    const std::vector<double> sorted = {1.0, 2.0, 3.0, 4.0, 10.0};
    EXPECT_EQ(quantile(sorted, 0.0), 1.0);
    EXPECT_EQ(quantile(sorted, 0.5), 3.0);
    EXPECT_NEAR(quantile(sorted, 0.95), 4.0 + 0.8 * 6.0, 1e-12);
    EXPECT_EQ(quantile(sorted, 1.0), 10.0);
    EXPECT_EQ(quantile({5.0}, 0.3), 5.0);
}

std::vector<std::vector<double>> uniform_rows(int samples, int columns) {
    std::vector<std::vector<double>> rows;
    for (int i = 0; i < samples; ++i) {
        rows.emplace_back();
        for (int j = 0; j < columns; ++j) {
            rows.back().push_back(
                uniform(1, static_cast<std::uint64_t>(i), static_cast<std::uint64_t>(j)) - 0.5);
        }
    }
    return rows;
}

// y = 3 a + b: of the variance, 9 parts of 10 come from a and one from b.
TEST(VarianceShares, AreThoseOfTheLinearLaw) {
    const auto rows = uniform_rows(400, 40);
    std::vector<double> y;
    for (const auto& row : rows) {
        y.push_back(3.0 * row[5] + row[17]);
    }
    const auto shares = variance_shares(rows, y);
    ASSERT_EQ(shares.size(), 2U);
    EXPECT_EQ(shares[0].first, 5);
    EXPECT_NEAR(shares[0].second, 0.9, 0.03);
    EXPECT_EQ(shares[1].first, 17);
    EXPECT_NEAR(shares[1].second, 0.1, 0.03);
    EXPECT_NEAR(shares[0].second + shares[1].second, 1.0, 1e-9);
}

TEST(VarianceShares, AreFoundWithFewerSamplesThanParameters) {
    const auto rows = uniform_rows(60, 100);
    std::vector<double> y;
    for (const auto& row : rows) {
        y.push_back(100.0 - 2.0 * row[50]);
    }
    const auto shares = variance_shares(rows, y);
    ASSERT_EQ(shares.size(), 1U);
    EXPECT_EQ(shares[0].first, 50);
    EXPECT_NEAR(shares[0].second, 1.0, 1e-9);
}

// Over many figures of pure chance, hardly a parameter is accused.
TEST(VarianceShares, SeldomAccuseAParameterOfChance) {
    int accused = 0;
    for (int trial = 0; trial < 100; ++trial) {
        const auto rows = uniform_rows(100, 50);
        std::vector<double> noise;
        for (int i = 0; i < 100; ++i) {
            noise.push_back(
                uniform(99, static_cast<std::uint64_t>(i), static_cast<std::uint64_t>(trial)));
        }
        accused += variance_shares(rows, noise).empty() ? 0 : 1;
    }
    EXPECT_LE(accused, 5);
}

TEST(VarianceShares, OfAFigureThatDoesNotVaryAreNone) {
    const auto rows = uniform_rows(50, 3);
    EXPECT_TRUE(variance_shares(rows, std::vector<double>(50, 230.0)).empty());
}

}  // namespace
}  // namespace etchback::behaviour::detail
