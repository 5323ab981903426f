#include "bench/from_readings.h"

#include <gmock/gmock.h>

#include <cmath>

#include "base/file.h"

namespace etchback::bench {
namespace {

dossier::Reading read(const char* quantity,
                      const char* value,
                      const char* u,
                      const char* meter = "",
                      const char* group = "warm") {
    dossier::Reading r;
    r.quantity.value = quantity;
    r.value.value = *base::parse_quantity(value);
    if (*u != '\0') {
        r.uncertainty = dossier::Amount{*base::parse_quantity(u), {}};
    }
    r.meter.value = meter;
    r.group = group;
    return r;
}

dossier::Dossier lamp() {
    dossier::Dossier d;
    dossier::Part leds;
    leds.name = "LED1";
    leds.kind.value = "LED string";
    leds.pins = {{"+", "LED+", {}}, {"-", "LED-", {}}};
    d.parts = {leds};
    d.supply.voltage = dossier::Amount{*base::parse_quantity("220-240 V"), {}};
    return d;
}

const base::Figure* named(const std::vector<base::Figure>& figures, const std::string& id) {
    const auto found = std::find_if(
        figures.begin(), figures.end(), [&](const base::Figure& f) { return f.id == id; });
    return found == figures.end() ? nullptr : &*found;
}

TEST(FromReadings, EfficiencyHasItsArithmeticAndUncertainty) {
    const auto figures = figures_from_readings(lamp(),
                                               {read("output voltage", "12.1 V", "0.5 %"),
                                                read("output current", "1.01 A", "1 %"),
                                                read("input power", "14.5 W", "0.2 W")});
    const base::Figure* f = named(figures, "efficiency.warm");
    ASSERT_NE(f, nullptr);
    EXPECT_NEAR(f->value, 100.0 * 12.1 * 1.01 / 14.5, 1e-9);
    const double share = std::sqrt(0.0025 * 0.0025 + 0.005 * 0.005 + std::pow(0.1 / 14.5, 2));
    EXPECT_NEAR(*f->uncertainty, share * f->value, 1e-6 * f->value);
    EXPECT_THAT(f->worked, testing::HasSubstr("1.01"));
    const base::Figure* p = named(figures, "output_power.warm");
    ASSERT_NE(p, nullptr);
    EXPECT_NEAR(p->value, 12.221, 1e-9);
}

// One wattmeter at both ends: what its gain is wrong falls out of the ratio. Two meters: it adds.
TEST(FromReadings, OneMeterTwiceIsWrongTogether) {
    const auto of = [](const char* a, const char* b) {
        return *named(figures_from_readings(lamp(),
                                            {read("output power", "12 W", "2 %", a),
                                             read("input power", "15 W", "2 %", b)}),
                      "efficiency.warm")
                    ->uncertainty;
    };
    EXPECT_NEAR(of("wattmeter", "wattmeter"), 0.0, 1e-6);
    EXPECT_NEAR(of("wattmeter", "another"), 80.0 * std::hypot(0.01, 0.01), 1e-6);
}

TEST(FromReadings, PowerOfLedsIsThatBetweenTheirPins) {
    dossier::Reading u = read("voltage", "40.3 V", "0.5 %");
    u.between = {{"LED+", {}}, {"LED-", {}}};
    const auto figures =
        figures_from_readings(lamp(), {u, read("output current", "0.351 A", "1 %")});
    const base::Figure* f = named(figures, "led_power.warm");
    ASSERT_NE(f, nullptr);
    EXPECT_NEAR(f->value, 40.3 * 0.351, 1e-9);
    EXPECT_THAT(f->parts, testing::ElementsAre("LED1"));
    u.between = {{"HV+", {}}, {"HV-", {}}};
    EXPECT_EQ(named(figures_from_readings(lamp(), {u, read("output current", "0.351 A", "1 %")}),
                    "led_power.warm"),
              nullptr);
}

TEST(FromReadings, ResistanceWhenColdLimitsTheInrush) {
    const auto figures = figures_from_readings(
        lamp(),
        {read("voltage", "4.7 V", "1 %", "", "cold"), read("current", "0.1 A", "1 %", "", "cold")});
    const base::Figure* r = named(figures, "input_resistance.cold");
    const base::Figure* i = named(figures, "inrush_limit.cold");
    ASSERT_TRUE(r != nullptr && i != nullptr);
    EXPECT_NEAR(r->value, 47.0, 1e-9);
    EXPECT_NEAR(i->value, std::sqrt(2.0) * 240.0 / 47.0, 1e-6);
    EXPECT_NEAR(*i->uncertainty / i->value, std::hypot(0.005, 0.005), 1e-6);
    const auto read_at_once =
        figures_from_readings(lamp(), {read("input resistance", "47 Ω", "1 %", "", "off")});
    EXPECT_NE(named(read_at_once, "inrush_limit.off"), nullptr);
    // Warm readings of some voltage and current are no resistance of the plug.
    EXPECT_TRUE(figures_from_readings(
                    lamp(), {read("voltage", "4.7 V", "1 %"), read("current", "0.1 A", "1 %")})
                    .empty());
}

class Doubts : public testing::Test {
protected:
    // A record whose current has a peak and a share above a frequency.
    static Record record(double peak_a, double third_a, double twenty_first_a) {
        Record r;
        MainsFigures m;
        m.frequency_hz = {50.0, 0.01};
        m.current.present = true;
        m.current.peak = {peak_a, 0.0};
        m.current.harmonics.resize(22);
        for (int k = 0; k < 22; ++k) {
            m.current.harmonics[static_cast<std::size_t>(k)].order = k;
        }
        m.current.harmonics[1].rms = {0.4, 0.0};
        m.current.harmonics[3].rms = {third_a, 0.0};
        m.current.harmonics[21].rms = {twenty_first_a, 0.0};
        m.current.rms = {std::sqrt(0.16 + third_a * third_a + twenty_first_a * twenty_first_a), 0};
        m.current.crest_factor = {peak_a / m.current.rms.value, 0.0};
        r.mains = m;
        return r;
    }
    static std::vector<Meter> meters() {
        Meter meter;
        meter.words = {"multimeter"};
        meter.bandwidth_hz = 1000.0;
        meter.crest_factor = 3.0;
        meter.ranges = {{base::Unit::ampere, {0.6, 6.0}, 1.5, 0.0, 5.0, 0.0, 6000.0}};
        return {meter};
    }
};

TEST_F(Doubts, AreSilentWithinWhatTheMeterTakes) {
    const std::vector<dossier::Reading> readings = {
        read("supply current", "0.45 A", "1 %", "multimeter")};
    EXPECT_TRUE(doubts_of(readings, meters(), {record(1.2, 0.2, 0.001)}).empty());
    EXPECT_TRUE(doubts_of(readings, meters(), {}).empty());
}

TEST_F(Doubts, ReadingsWhosePeakIsBeyondTheRangeSayNothing) {
    const std::vector<dossier::Reading> readings = {
        read("supply current", "0.45 A", "1 %", "multimeter"),
        read("supply voltage", "231 V", "1 %", "multimeter")};
    const auto doubts = doubts_of(readings, meters(), {record(2.4, 0.2, 0.001)});
    ASSERT_EQ(doubts.size(), 1U);
    EXPECT_EQ(doubts[0].factor, 0.0);
    EXPECT_THAT(doubts[0].words, testing::HasSubstr("crest factor"));
    EXPECT_EQ(widened(readings, doubts).size(), 1U);
}

TEST_F(Doubts, ReadingsWithHarmonicsAboveTheBandwidthAreWider) {
    const std::vector<dossier::Reading> readings = {
        read("supply current", "0.45 A", "1 %", "multimeter")};
    const auto doubts = doubts_of(readings, meters(), {record(1.2, 0.2, 0.12)});
    ASSERT_EQ(doubts.size(), 1U);
    EXPECT_THAT(doubts[0].words, testing::HasSubstr("1\u00a0kHz"));
    // The share of the square above the bandwidth is what the meter may not see.
    const double square = 0.12 * 0.12 / (0.16 + 0.04 + 0.0144);
    const double half = std::hypot(0.0045, 0.45 * (1.0 - std::sqrt(1.0 - square)));
    EXPECT_NEAR(widened(readings, doubts)[0].uncertainty->value.value, half, 1e-6);
}

}  // namespace
}  // namespace etchback::bench
