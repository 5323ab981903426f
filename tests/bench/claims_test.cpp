#include "bench/claims.h"

#include <gtest/gtest.h>

#include "bench/meters.h"

namespace etchback::bench {
namespace {

dossier::Claim claim(const char* quantity, const char* value) {
    dossier::Claim c;
    c.quantity.value = quantity;
    c.value.value = *base::parse_quantity(value);
    return c;
}
dossier::Reading reading(const char* quantity,
                         const char* value,
                         const char* u,
                         const char* meter = "") {
    dossier::Reading r;
    r.quantity.value = quantity;
    r.value.value = *base::parse_quantity(value);
    if (*u != '\0') {
        r.uncertainty = dossier::Amount{*base::parse_quantity(u), {}};
    }
    r.meter.value = meter;
    return r;
}
Verdict of(const char* quantity, const char* claimed, const char* read, const char* u) {
    const auto checks = check_claims({claim(quantity, claimed)}, {reading(quantity, read, u)});
    EXPECT_EQ(checks.size(), 1U);
    return checks.at(0).verdict;
}

TEST(Claims, AreHeldAgainstReadingsWithTheirUncertainty) {
    EXPECT_EQ(of("power factor", "0.95", "0.92", "0.01"), Verdict::outside);
    EXPECT_EQ(of("power factor", "0.95", "0.94", "0.01"), Verdict::cannot_tell);
    EXPECT_EQ(of("output voltage", "36-42 V", "40.3 V", "0.5 %"), Verdict::within);
    EXPECT_EQ(of("output voltage", "36-42 V", "41.9 V", "0.5 %"), Verdict::cannot_tell);
    EXPECT_EQ(of("input power", "18 W", "20.38 W", "1 %"), Verdict::outside);
}

TEST(Meters, GiveReadingsTheirLimitOfErrorOnTheSmallestRangeThatHolds) {
    const auto meters = load_meters(ETCHBACK_SOURCE_DIR "/data/meters/meters.toml");
    ASSERT_TRUE(meters) << to_string(meters.errors().front());
    const Meter* meter = meter_named(*meters, "my old Multimeter");
    ASSERT_NE(meter, nullptr);
    // 0.8 % of 55.4 V and 3 digits of 10 mV; on the range of 600 V, of 100 mV.
    EXPECT_NEAR(*error_limit(*meter, 55.4, base::Unit::volt), 0.4432 + 0.03, 1e-9);
    EXPECT_NEAR(*error_limit(*meter, 231.0, base::Unit::volt), 1.848 + 0.3, 1e-9);
    EXPECT_FALSE(error_limit(*meter, 700.0, base::Unit::volt));
    const auto readings = with_meters({reading("voltage", "55.4 V", "", "multimeter"),
                                       reading("voltage", "55.4 V", "1 V", "multimeter"),
                                       reading("voltage", "55.4 V", "", "tea leaves")},
                                      *meters);
    EXPECT_NEAR(readings[0].uncertainty->value.value, 0.4732, 1e-9);
    EXPECT_EQ(readings[1].uncertainty->value.value, 1.0);
    EXPECT_FALSE(readings[2].uncertainty);
}

}  // namespace
}  // namespace etchback::bench
