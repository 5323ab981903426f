#include "parts/series.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <random>

namespace etchback::parts {
namespace {

TEST(Series, MembersRiseAndAreAsManyAsTheNameSays) {
    for (const Series series : all_series) {
        const std::vector<double> all = members(series);
        ASSERT_EQ(static_cast<int>(all.size()), size_of(series));
        EXPECT_EQ(all.front(), 1.0);
        EXPECT_LT(all.back(), 10.0);
        EXPECT_TRUE(std::is_sorted(all.begin(), all.end()));
    }
}

TEST(Series, NearestGoesByRatioAndAcrossDecades) {
    EXPECT_EQ(nearest_preferred(4700, Series::e12), 4700);
    EXPECT_EQ(nearest_preferred(4650, Series::e96), 4640);
    EXPECT_EQ(nearest_preferred(5000, Series::e12), 4700);
    EXPECT_EQ(nearest_preferred(9.6, Series::e24), 10);
    EXPECT_EQ(nearest_preferred(0.98e-9, Series::e3), 1e-9);
    EXPECT_EQ(nearest_preferred(1e6, Series::e6), 1e6);
    EXPECT_EQ(nearest_preferred(0.22, Series::e6), 0.22);
}

TEST(Series, MembersArePreferredInEveryDecade) {
    for (const Series series : all_series) {
        for (int decade = -12; decade <= 9; ++decade) {
            for (const double member : members(series)) {
                EXPECT_TRUE(is_preferred(member * std::pow(10.0, decade), series))
                    << member << "e" << decade;
            }
        }
    }
}

TEST(Series, NoOtherMemberIsNearer) {
    std::mt19937_64 random(63);
    std::uniform_real_distribution<double> exponent(-12, 9);
    for (int i = 0; i < 2000; ++i) {
        const double value = std::pow(10.0, exponent(random));
        for (const Series series : {Series::e6, Series::e24, Series::e96}) {
            const double off = std::fabs(std::log(nearest_preferred(value, series) / value));
            const double decade = std::pow(10.0, std::floor(std::log10(value)));
            for (const double member : members(series)) {
                ASSERT_LE(off, std::fabs(std::log(member * decade / value)) + 1e-12) << value;
            }
            ASSERT_LE(off, std::log(10.0) / size_of(series) * 0.75) << value;
        }
    }
}

TEST(Series, TheCoarsestSeriesIsFound) {
    EXPECT_EQ(coarsest_series(4700), Series::e3);
    EXPECT_EQ(coarsest_series(330e3), Series::e6);
    EXPECT_EQ(coarsest_series(560e-9), Series::e12);
    EXPECT_EQ(coarsest_series(5.1), Series::e24);
    EXPECT_EQ(coarsest_series(1.21e3), Series::e48);
    EXPECT_EQ(coarsest_series(4990), Series::e96);
    EXPECT_EQ(coarsest_series(9.2), Series::e192);
    EXPECT_EQ(coarsest_series(5000), std::nullopt);
    EXPECT_EQ(coarsest_series(0), std::nullopt);
    EXPECT_EQ(coarsest_series(-4700), std::nullopt);
    EXPECT_EQ(coarsest_series(std::numeric_limits<double>::quiet_NaN()), std::nullopt);
    EXPECT_EQ(coarsest_series(std::numeric_limits<double>::infinity()), std::nullopt);
}

}  // namespace
}  // namespace etchback::parts
