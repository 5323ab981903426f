// Waveforms as SVG: nothing lost, nothing outside, ticks that are right.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <regex>

#include "drawing/symbol.h"
#include "report/behaviour_outcome.h"
#include "report/curve.h"
#include "report/plot.h"
#include "report/plot_data.h"
#include "report/ticks.h"

namespace etchback::report {
namespace {

using behaviour::Plot;
using behaviour::PlotCurve;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::Not;

constexpr const char* space = "\u00a0";

std::vector<std::string> texts_of(double low, double high, int most, base::Unit unit) {
    const Ticks ticks = ticks_in(low, high, most, unit);
    std::vector<std::string> texts;
    for (const double value : ticks.values) {
        std::string text = tick_text(value, ticks, unit);
        if (const auto at = text.find(space); at != std::string::npos) {
            text.replace(at, 2, " ");
        }
        texts.push_back(text);
    }
    return texts;
}

TEST(Ticks, AreRoundAndShareOnePrefix) {
    EXPECT_THAT(texts_of(-10.0, 330.0, 4, base::Unit::volt),
                ElementsAre("0", "100 V", "200 V", "300 V"));
    EXPECT_THAT(texts_of(0.0, 0.45, 4, base::Unit::ampere), ElementsAre("0", "200 mA", "400 mA"));
    EXPECT_THAT(texts_of(39.3, 41.3, 5, base::Unit::volt),
                ElementsAre("39.5 V", "40.0 V", "40.5 V", "41.0 V"));
    EXPECT_THAT(texts_of(-1.5e-3, 1.5e-3, 4, base::Unit::ampere),
                ElementsAre("−1 mA", "0", "1 mA"));
    EXPECT_THAT(texts_of(0.0, 33.6e-6, 8, base::Unit::second),
                ElementsAre("0", "5 µs", "10 µs", "15 µs", "20 µs", "25 µs", "30 µs"));
    EXPECT_THAT(texts_of(0.0, 2400.0, 3, base::Unit::watt), ElementsAre("0", "1 kW", "2 kW"));
    EXPECT_THAT(texts_of(0.0, 1100.0, 3, base::Unit::none), ElementsAre("0", "500", "1000"));
}

TEST(Ticks, StandInsideAndAsManyAsAllowed) {
    for (int decade = -12; decade <= 8; ++decade) {
        for (const double mantissa : {1.0, 1.3, 2.0, 3.7, 5.0, 9.99}) {
            const double high = mantissa * std::pow(10.0, decade);
            for (const double low : {0.0, -high, 0.9 * high, -2.7 * high}) {
                const Ticks ticks = ticks_in(low, high, 5, base::Unit::volt);
                EXPECT_GE(ticks.values.size(), 2u) << low << " " << high;
                EXPECT_LE(ticks.values.size(), 5u) << low << " " << high;
                std::set<std::string> texts;
                for (const double value : ticks.values) {
                    EXPECT_GE(value, low - 1e-8 * (high - low));
                    EXPECT_LE(value, high + 1e-8 * (high - low));
                    texts.insert(tick_text(value, ticks, base::Unit::volt));
                }
                EXPECT_EQ(texts.size(), ticks.values.size()) << "two ticks say the same";
            }
        }
    }
}

TEST(Ticks, OfNothingAreNone) {
    EXPECT_TRUE(ticks_in(1.0, 1.0, 4, base::Unit::volt).values.empty());
    EXPECT_TRUE(ticks_in(2.0, 1.0, 4, base::Unit::volt).values.empty());
    EXPECT_TRUE(ticks_in(0.0, std::nan(""), 4, base::Unit::volt).values.empty());
}

PlotCurve spiky(int count) {
    PlotCurve curve =
        samples_from("X", "Spikes", base::Unit::volt, 0.0, 1.0, count, [](double) { return 0.0; });
    curve.value[static_cast<std::size_t>(count / 3)] = 7.0;
    curve.value[static_cast<std::size_t>(count / 3 + 1)] = -3.0;
    return curve;
}

TEST(Curve, KeepsEveryPeakWhenMadeSmaller) {
    const PlotCurve curve = spiky(100000);
    const auto points = samples_of(curve, 0.0, 1.0, 200);
    EXPECT_LE(points.size(), 4u * 200u + 4u);
    EXPECT_GE(points.size(), 200u);
    double least = 0.0, largest = 0.0;
    for (std::size_t i = 0; i < points.size(); ++i) {
        least = std::min(least, points[i].value);
        largest = std::max(largest, points[i].value);
        EXPECT_TRUE(i == 0 || points[i].t_s >= points[i - 1].t_s);
    }
    EXPECT_EQ(least, -3.0);
    EXPECT_EQ(largest, 7.0);
}

TEST(Curve, KeepsAllOfFewSamplesAndBothSidesOfAJump) {
    PlotCurve curve;
    curve.t_s = {0.0, 1.0, 1.0, 2.0};
    curve.value = {0.0, 0.0, 5.0, 5.0};
    EXPECT_THAT(samples_of(curve, 0.0, 2.0, 100),
                ElementsAre(CurvePoint{0.0, 0.0},
                            CurvePoint{1.0, 0.0},
                            CurvePoint{1.0, 5.0},
                            CurvePoint{2.0, 5.0}));
}

TEST(Curve, TakesANeighbourOnEitherSideOfTheWindow) {
    PlotCurve curve;
    curve.t_s = {0.0, 1.0, 2.0, 3.0, 4.0};
    curve.value = {0.0, 1.0, 2.0, 3.0, 4.0};
    EXPECT_THAT(samples_of(curve, 1.5, 2.5, 100),
                ElementsAre(CurvePoint{1.0, 1.0}, CurvePoint{2.0, 2.0}, CurvePoint{3.0, 3.0}));
}

TEST(Curve, LeavesOutWhatIsNoNumber) {
    PlotCurve curve;
    curve.t_s = {0.0, 1.0, 2.0};
    curve.value = {1.0, std::nan(""), 3.0};
    EXPECT_EQ(samples_of(curve, 0.0, 2.0, 10).size(), 2u);
    EXPECT_EQ(range_of(curve)->high, 3.0);
    EXPECT_FALSE(range_of(PlotCurve{}));
}

TEST(Curve, MergedCellsHaveTheLeastLowTheLargestHighAndTheMeanOfMeans) {
    PlotCurve curve;
    curve.cell_s = 1.0;
    curve.low = {0.0, -5.0, 1.0, 1.0, 2.0};
    curve.high = {1.0, 1.0, 9.0, 2.0, 3.0};
    curve.mean = {0.5, 0.7, 2.0, 1.5, 2.5};
    const CurveCells cells = cells_of(curve, 3);
    EXPECT_EQ(cells.cell_s, 2.0);
    EXPECT_THAT(cells.low, ElementsAre(-5.0, 1.0, 2.0));
    EXPECT_THAT(cells.high, ElementsAre(1.0, 9.0, 3.0));
    EXPECT_THAT(cells.mean, ElementsAre(0.6, 1.75, 2.5));
    EXPECT_EQ(range_of(curve)->low, -5.0);
    EXPECT_EQ(range_of(curve)->high, 9.0);
}

TEST(Curve, CutsCellsThatARunDidNotReach) {
    constexpr double far = std::numeric_limits<double>::infinity();
    PlotCurve curve;
    curve.cell_s = 1.0;
    curve.low = {far, 1.0, far, 3.0, far};
    curve.high = {-far, 2.0, -far, 4.0, -far};
    curve.mean = {0.0, 1.5, 0.0, 3.5, 0.0};
    const CurveCells cells = cells_of(curve, 10);
    EXPECT_EQ(cells.start_s, 1.0);
    EXPECT_THAT(cells.mean, ElementsAre(1.5, 1.5, 3.5));
    EXPECT_EQ(range_of(curve)->high, 4.0);
    EXPECT_EQ(range_of(curve)->low, 1.0);
    curve.low = curve.high = {far, far, far, far, far};
    EXPECT_FALSE(range_of(curve));
    const Plot plot{"x", "Nothing met", 0.0, 5.0, {curve}};
    EXPECT_THAT(plot_svg(plot), Not(HasSubstr("inf")));
}

TEST(Curve, HeightShowsZeroWhereThatCostsLittleAndTheRippleWhereItWouldDrown) {
    EXPECT_LT(extent_of({100.0, 325.0, 200.0}).low, 0.0);
    EXPECT_GT(extent_of({39.8, 40.8, 40.3}).low, 39.0);
    const Extent level = extent_of({5.0, 5.0, 5.0});
    EXPECT_LT(level.low, 5.0);
    EXPECT_GT(level.high, 5.0);
    const Extent nothing = extent_of({0.0, 0.0, 0.0});
    EXPECT_LT(nothing.low, nothing.high);
}

// Numbers of a path's points, which stand in pairs.
std::vector<std::pair<double, double>> points_of(const std::string& path) {
    std::vector<std::pair<double, double>> points;
    const std::regex pair(R"([ML](-?[0-9.]+) (-?[0-9.]+))");
    for (std::sregex_iterator it(path.begin(), path.end(), pair), end; it != end; ++it) {
        points.emplace_back(std::stod((*it)[1]), std::stod((*it)[2]));
    }
    return points;
}

std::vector<std::string> paths_of(const std::string& svg, const std::string& type) {
    std::vector<std::string> paths;
    const std::string begin = "<path class=\"" + type + "\" d=\"";
    for (auto at = svg.find(begin); at != std::string::npos; at = svg.find(begin, at + 1)) {
        const auto from = at + begin.size();
        paths.push_back(svg.substr(from, svg.find('"', from) - from));
    }
    return paths;
}

TEST(PlotPicture, DrawsThePeaksOfTheCurve) {
    Plot plot{"x", "Spikes", 0.0, 1.0, {spiky(50000)}};
    const auto lines = paths_of(plot_svg(plot), "line");
    ASSERT_EQ(lines.size(), 1u);
    double top = 1e9, bottom = -1e9, level = 0.0;
    for (const auto& [x, y] : points_of(lines[0])) {
        top = std::min(top, y);
        bottom = std::max(bottom, y);
        level = x < 100.0 ? y : level;
    }
    // 7 V up and 3 V down.
    EXPECT_NEAR((level - top) / (bottom - level), 7.0 / 3.0, 0.02);
}

TEST(PlotPicture, StaysInsideItsPanels) {
    for (const Plot& plot : {mains_cycle_plot(), switching_plot(), start_plot()}) {
        const std::string svg = plot_svg(plot);
        std::smatch box;
        ASSERT_TRUE(
            std::regex_search(svg, box, std::regex(R"(viewBox="0 0 ([0-9.]+) ([0-9.]+)\")")));
        for (const std::string type : {"line", "band"}) {
            for (const std::string& path : paths_of(svg, type)) {
                for (const auto& [x, y] : points_of(path)) {
                    EXPECT_TRUE(x >= 0.0 && x <= std::stod(box[1])) << x;
                    EXPECT_TRUE(y >= 0.0 && y <= std::stod(box[2])) << y;
                }
            }
        }
    }
}

struct Placed {
    double left, right, y;
    std::string words;
};

std::vector<Placed> texts_in(const std::string& svg) {
    std::vector<Placed> texts;
    const std::regex text(
        R"rx(<text class="(\w+)" x="([0-9.-]+)" y="([0-9.-]+)"( text-anchor="(\w+)")?>([^<]*)<)rx");
    for (std::sregex_iterator it(svg.begin(), svg.end(), text), end; it != end; ++it) {
        const std::string type = (*it)[1];
        const double size = type == "title" ? 16.0 : type == "name" ? 13.0 : 12.5;
        const double width =
            drawing::text_width((*it)[6].str(), size, type == "title" || type == "name");
        const double x = std::stod((*it)[2]);
        const std::string anchor = (*it)[5];
        const double left = anchor == "end" ? x - width : anchor == "middle" ? x - width / 2 : x;
        texts.push_back({left, left + width, std::stod((*it)[3]), (*it)[6]});
    }
    return texts;
}

TEST(PlotPicture, TextsStandInsideAndApart) {
    Plot crowded = mains_cycle_plot();
    crowded.curves.push_back(samples_from("Y",
                                          std::string(300, 'W'),
                                          base::Unit::ampere,
                                          crowded.start_s,
                                          crowded.end_s,
                                          50,
                                          [](double t) { return 1.2345e-7 + 1e-12 * t; }));
    for (const Plot& plot : {crowded, switching_plot(), start_plot()}) {
        const PlotStyle style{.marks = {{plot.start_s, 1},
                                        {plot.start_s + 1e-7, 2},
                                        {(plot.start_s + plot.end_s) / 2, 3}}};
        const std::string svg = plot_svg(plot, style);
        const auto texts = texts_in(svg);
        ASSERT_GT(texts.size(), 10u);
        for (const Placed& one : texts) {
            EXPECT_GE(one.left, 0.0) << one.words;
            EXPECT_LE(one.right, 880.0) << one.words;
        }
        for (std::size_t i = 0; i < texts.size(); ++i) {
            for (std::size_t k = i + 1; k < texts.size(); ++k) {
                const bool beside =
                    texts[i].right <= texts[k].left || texts[k].right <= texts[i].left;
                const bool over = std::abs(texts[i].y - texts[k].y) >= 12.0;
                EXPECT_TRUE(beside || over) << texts[i].words << " | " << texts[k].words;
            }
        }
    }
}

TEST(PlotPicture, SaysWhatACurveReaches) {
    const std::string svg = plot_svg(switching_plot());
    EXPECT_THAT(svg, HasSubstr("max 450\u00a0mA"));
    EXPECT_THAT(svg, HasSubstr("Voltage of DRAIN"));
    EXPECT_THAT(svg, HasSubstr("Time from 486.21\u00a0ms on"));
}

TEST(PlotPicture, OfNothingIsStillAPicture) {
    const Plot empty{"x", "Empty", 0.0, 0.0, {PlotCurve{}}};
    EXPECT_THAT(plot_svg(empty), HasSubstr("</svg>"));
    EXPECT_THAT(plot_svg(empty), Not(HasSubstr("nan")));
    EXPECT_THAT(plot_svg(Plot{}), Not(HasSubstr("inf")));
}

TEST(PlotPicture, HostileNamesAreOnlyText) {
    Plot plot = switching_plot();
    plot.title = "</svg><script>alert(1)</script>";
    plot.curves[0].title = "A & B \"quoted\" \x01 <b>";
    const std::string svg = plot_svg(plot);
    EXPECT_THAT(svg, Not(HasSubstr("<script>")));
    EXPECT_THAT(svg, Not(HasSubstr("<b>")));
    EXPECT_THAT(svg, Not(HasSubstr("\x01")));
    EXPECT_THAT(plot_data_json({{&plot, {}}}), Not(HasSubstr("</")));
}

TEST(PlotPicture, SeveralStandOneBelowTheOther) {
    const Plot first = switching_plot(), second = start_plot();
    const std::string both = plots_svg({{&first, {.heading = "Normal use"}}, {&second, {}}});
    EXPECT_THAT(both, HasSubstr("Normal use: A few switching cycles"));
    EXPECT_THAT(both, HasSubstr("From switching on"));
    EXPECT_THAT(both, HasSubstr("translate(0 0)"));
}

TEST(PlotPicture, SamePlotGivesTheSameBytes) {
    EXPECT_EQ(plot_svg(mains_cycle_plot()), plot_svg(mains_cycle_plot()));
}

}  // namespace
}  // namespace etchback::report
