#include "report/chart.h"

#include <gmock/gmock.h>

#include <cmath>

namespace etchback::report {
namespace {

using testing::HasSubstr;
using testing::Not;

Chart chart() {
    Chart c;
    c.id = "x";
    c.title = "Current <over> voltage";
    c.x = {.title = "Voltage", .unit = base::Unit::volt, .low = {}, .high = {}};
    c.y = {.title = "Current", .unit = base::Unit::ampere, .low = {}, .high = {}};
    c.series = {{ChartSeries::Kind::line,
                 ChartSeries::Tone::measured,
                 "recorded",
                 {-300.0, 0.0, 300.0},
                 {-0.1, 0.0, 0.1},
                 {}},
                {ChartSeries::Kind::line,
                 ChartSeries::Tone::simulated,
                 "simulated",
                 {-300.0, 300.0},
                 {-0.09, 0.09},
                 {}}};
    return c;
}

TEST(Chart, HasTitlesUnitsAndALegendOfWhatIsWhat) {
    const std::string svg = charts_svg({chart()});
    EXPECT_THAT(svg, HasSubstr("Current &lt;over&gt; voltage"));
    EXPECT_THAT(svg, HasSubstr("200\u00a0V"));
    EXPECT_THAT(svg, HasSubstr("50\u00a0mA"));
    EXPECT_THAT(svg, HasSubstr(">recorded<"));
    EXPECT_THAT(svg, HasSubstr(">simulated<"));
    EXPECT_THAT(svg, HasSubstr("stroke-dasharray"));  // not by colour alone
    EXPECT_EQ(svg, charts_svg({chart()}));
}

TEST(Chart, OfThePageHasNoStyleOfItsOwn) {
    const std::string svg = charts_svg({chart()}, {.standalone = false, .width_px = 400.0});
    EXPECT_THAT(svg, Not(HasSubstr("<style>")));
    EXPECT_THAT(svg, Not(HasSubstr("<?xml")));
    EXPECT_THAT(svg, HasSubstr("width=\"400\""));
}

TEST(Chart, OfManyPointsKeepsTheirPeaksInFewBytes) {
    Chart c = chart();
    c.series.resize(1);
    c.series[0].x.clear();
    c.series[0].y.clear();
    for (int k = 0; k < 100'000; ++k) {
        c.series[0].x.push_back(k);
        c.series[0].y.push_back(k == 54'321 ? 7.0 : std::sin(0.01 * k));
    }
    c.y.low = -1.0;
    c.y.high = 7.0;
    const std::string svg = charts_svg({c}, {.standalone = false, .width_px = 460.0});
    EXPECT_LT(svg.size(), 40'000U);
    EXPECT_THAT(svg, testing::ContainsRegex("[0-9.]+ 23L"));  // at the upper edge of the axes
}

TEST(Chart, LeavesGapsWhereSamplesAreMissing) {
    Chart c = chart();
    c.series.resize(1);
    c.series[0].y[1] = std::nan("");
    const std::string svg = charts_svg({c});
    EXPECT_THAT(svg, Not(HasSubstr("nan")));
}

TEST(Chart, LogarithmicAxesHaveDecades) {
    Chart c = chart();
    c.y.logarithmic = true;
    c.series = {{ChartSeries::Kind::bars,
                 ChartSeries::Tone::measured,
                 "recorded",
                 {1.0, 3.0, 5.0},
                 {0.2, 0.01, 3e-4},
                 {0.0, 0.0, 5e-4}}};
    const std::string svg = charts_svg({c});
    EXPECT_THAT(svg, HasSubstr("1\u00a0mA"));
    EXPECT_THAT(svg, HasSubstr("100\u00a0mA"));
    EXPECT_THAT(svg, Not(HasSubstr("inf")));
}

TEST(Chart, OfNothingIsStillAPicture) {
    Chart empty;
    EXPECT_THAT(charts_svg({empty}), HasSubstr("</svg>"));
    EXPECT_THAT(charts_svg({}), HasSubstr("</svg>"));
}

}  // namespace
}  // namespace etchback::report
