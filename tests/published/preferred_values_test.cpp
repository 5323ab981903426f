// IEC 60063:2015, Preferred number series for resistors and capacitors, tables 1 (E3 to E24) and 2
// (E48 to E192). The standard's own pages were not at hand: the tables are quoted from handbooks
// and, for E96, from a thick-film chip resistor data sheet that lists all 96 values.
#include <gtest/gtest.h>

#include <cmath>

#include "parts/series.h"

namespace etchback::parts {
namespace {

TEST(PublishedPreferredValues, Iec60063Table1E24) {
    const std::vector<double> published = {1.0, 1.1, 1.2, 1.3, 1.5, 1.6, 1.8, 2.0,
                                           2.2, 2.4, 2.7, 3.0, 3.3, 3.6, 3.9, 4.3,
                                           4.7, 5.1, 5.6, 6.2, 6.8, 7.5, 8.2, 9.1};
    EXPECT_EQ(members(Series::e24), published);
}

TEST(PublishedPreferredValues, Iec60063Table1E12E6E3) {
    EXPECT_EQ(members(Series::e12),
              (std::vector{1.0, 1.2, 1.5, 1.8, 2.2, 2.7, 3.3, 3.9, 4.7, 5.6, 6.8, 8.2}));
    EXPECT_EQ(members(Series::e6), (std::vector{1.0, 1.5, 2.2, 3.3, 4.7, 6.8}));
    EXPECT_EQ(members(Series::e3), (std::vector{1.0, 2.2, 4.7}));
}

TEST(PublishedPreferredValues, Iec60063Table2E48) {
    const std::vector<double> published = {
        1.00, 1.05, 1.10, 1.15, 1.21, 1.27, 1.33, 1.40, 1.47, 1.54, 1.62, 1.69,
        1.78, 1.87, 1.96, 2.05, 2.15, 2.26, 2.37, 2.49, 2.61, 2.74, 2.87, 3.01,
        3.16, 3.32, 3.48, 3.65, 3.83, 4.02, 4.22, 4.42, 4.64, 4.87, 5.11, 5.36,
        5.62, 5.90, 6.19, 6.49, 6.81, 7.15, 7.50, 7.87, 8.25, 8.66, 9.09, 9.53};
    EXPECT_EQ(members(Series::e48), published);
}

TEST(PublishedPreferredValues, Iec60063Table2E96) {
    const std::vector<double> published = {
        1.00, 1.02, 1.05, 1.07, 1.10, 1.13, 1.15, 1.18, 1.21, 1.24, 1.27, 1.30, 1.33, 1.37,
        1.40, 1.43, 1.47, 1.50, 1.54, 1.58, 1.62, 1.65, 1.69, 1.74, 1.78, 1.82, 1.87, 1.91,
        1.96, 2.00, 2.05, 2.10, 2.15, 2.21, 2.26, 2.32, 2.37, 2.43, 2.49, 2.55, 2.61, 2.67,
        2.74, 2.80, 2.87, 2.94, 3.01, 3.09, 3.16, 3.24, 3.32, 3.40, 3.48, 3.57, 3.65, 3.74,
        3.83, 3.92, 4.02, 4.12, 4.22, 4.32, 4.42, 4.53, 4.64, 4.75, 4.87, 4.99, 5.11, 5.23,
        5.36, 5.49, 5.62, 5.76, 5.90, 6.04, 6.19, 6.34, 6.49, 6.65, 6.81, 6.98, 7.15, 7.32,
        7.50, 7.68, 7.87, 8.06, 8.25, 8.45, 8.66, 8.87, 9.09, 9.31, 9.53, 9.76};
    EXPECT_EQ(members(Series::e96), published);
}

// Of E192 no full table was at hand: each second member is E96, and 9.20 is the one value that
// departs from the rounding rule (9.19), as handbooks say.
TEST(PublishedPreferredValues, Iec60063Table2E192) {
    const std::vector<double> e192 = members(Series::e192);
    const std::vector<double> e96 = members(Series::e96);
    ASSERT_EQ(e192.size(), 192U);
    for (std::size_t i = 0; i < e96.size(); ++i) {
        EXPECT_EQ(e192[2 * i], e96[i]);
    }
    EXPECT_EQ(e192[185], 9.20);
    int departures = 0;
    for (std::size_t i = 0; i < e192.size(); ++i) {
        const double rule = std::round(100 * std::pow(10.0, static_cast<double>(i) / 192)) / 100;
        departures += rule == e192[i] ? 0 : 1;
    }
    EXPECT_EQ(departures, 1);
}

// Derived from the tables above: only 6 members of E24 are in E96 and 11 in E192, so a value such
// as 4.7 is no 1 % value by the series alone.
TEST(PublishedPreferredValues, FewMembersOfE24AreInTheFinerSeries) {
    int in_e96 = 0;
    int in_e192 = 0;
    for (const double member : members(Series::e24)) {
        in_e96 += is_preferred(member, Series::e96) ? 1 : 0;
        in_e192 += is_preferred(member, Series::e192) ? 1 : 0;
    }
    EXPECT_EQ(in_e96, 6);
    EXPECT_EQ(in_e192, 11);
}

}  // namespace
}  // namespace etchback::parts
