// Claims and readings.
#include "findings_of.h"

namespace etchback::test {
namespace {

using ::testing::HasSubstr;

std::string claim(const std::string& quantity, const std::string& value) {
    return "[[claims]]\nquantity = \"" + quantity + "\"\nvalue = \"" + value +
           "\"\nwhere = \"label\"";
}
std::string reading(const std::string& quantity,
                    const std::string& value,
                    const std::string& uncertainty) {
    return "[[readings]]\nquantity = \"" + quantity + "\"\nvalue = \"" + value +
           "\"\nuncertainty = \"" + uncertainty + "\"\ngroup = \"warm\"";
}
Board claiming(std::initializer_list<std::pair<const char*, const char*>> claims) {
    Board board = rectified();
    for (const auto& [quantity, value] : claims) {
        board.also(claim(quantity, value));
    }
    return board;
}

TEST(Claims, PowerMustBeVoltageTimesCurrent) {
    EXPECT_FALSE(found(claiming({{"output voltage", "36-42 V"},
                                 {"output current", "350 mA"},
                                 {"output power", "14 W"}}),
                       "claims_contradict.output_power"));
    EXPECT_THAT(the_finding(claiming({{"output voltage", "12 V"},
                                      {"output current", "1 A"},
                                      {"output power", "24 W"}}),
                            "claims_contradict.output_power")
                    .text,
                HasSubstr("24 W"));
}

TEST(Claims, NoMoreComesOutThanGoesIn) {
    EXPECT_FALSE(found(claiming({{"input power", "14 W"}, {"output power", "12 W"}}),
                       "claims_contradict.more_out_than_in"));
    EXPECT_TRUE(found(claiming({{"input power", "12 W"}, {"output power", "14 W"}}),
                      "claims_contradict.more_out_than_in"));
    EXPECT_TRUE(found(
        claiming({{"input power", "9 W"}, {"output voltage", "12 V"}, {"output current", "1.2 A"}}),
        "claims_contradict.more_out_than_in"));
}

TEST(Claims, ActivePowerIsNotAboveVoltageTimesCurrent) {
    EXPECT_FALSE(found(claiming({{"supply voltage", "220-240 V"},
                                 {"supply current", "0.1 A"},
                                 {"input power", "20 W"}}),
                       "claims_contradict.input_power"));
    EXPECT_TRUE(found(claiming({{"supply voltage", "220-240 V"},
                                {"supply current", "0.1 A"},
                                {"power factor", "0.5"},
                                {"input power", "20 W"}}),
                      "claims_contradict.input_power"));
}

TEST(Claims, TheLabelAndTheBoxMustAgree) {
    EXPECT_TRUE(found(claiming({{"input power", "3.6 W"}, {"input power", "4.5 W"}}),
                      "claims_contradict.input_power"));
    EXPECT_FALSE(found(claiming({{"input power", "3.6 W"}, {"input power", "3.6 W"}}),
                       "claims_contradict.input_power"));
}

TEST(Claims, APowerFactorAboveOneCannotBe) {
    EXPECT_TRUE(
        found(claiming({{"power factor", "1.2"}}), "claims_contradict.power_factor_impossible"));
    EXPECT_FALSE(
        found(claiming({{"power factor", "0.95"}}), "claims_contradict.power_factor_impossible"));
}

TEST(Readings, APowerFactorBelowTheClaimIsFound) {
    const Board board = claiming({{"power factor", "0.95"}});
    EXPECT_TRUE(found(Board(board).also(reading("power factor", "0.92", "0.01")),
                      "readings_contradict_claims.power_factor"));
    EXPECT_FALSE(found(Board(board).also(reading("power factor", "0.94", "0.01")),
                       "readings_contradict_claims.power_factor"));
    EXPECT_FALSE(found(Board(board).also(reading("power factor", "0.99", "0.01")),
                       "readings_contradict_claims.power_factor"));
}

TEST(Readings, APowerFactorThatOnlyTheTriangleGivesCounts) {
    const Board board = claiming({{"power factor", "0.95"}})
                            .also(reading("supply voltage", "230 V", "1 %"))
                            .also(reading("supply current", "0.1 A", "1 %"))
                            .also(reading("input power", "13 W", "1 %"));
    EXPECT_TRUE(found(board, "readings_contradict_claims.power_factor"));
}

TEST(Readings, ALampMustComeUpToItsPowerAndASupplyNeedNot) {
    const std::string less =
        claim("input power", "10 W") + "\n" + reading("input power", "6 W", "2 %");
    EXPECT_TRUE(found(dropper().also(less), "readings_contradict_claims.input_power"));
    EXPECT_FALSE(found(flyback().also(less), "readings_contradict_claims.input_power"));
    const std::string more =
        claim("input power", "10 W") + "\n" + reading("input power", "14 W", "2 %");
    EXPECT_TRUE(found(flyback().also(more), "readings_contradict_claims.input_power"));
}

TEST(Readings, ARatedVoltageIsGoodToFivePercent) {
    const Board board = flyback().also(claim("output voltage", "12 V"));
    EXPECT_FALSE(found(Board(board).also(reading("output voltage", "12.3 V", "0.5 %")),
                       "readings_contradict_claims.output_voltage"));
    EXPECT_TRUE(found(Board(board).also(reading("output voltage", "14.1 V", "0.5 %")),
                      "readings_contradict_claims.output_voltage"));
}

TEST(Readings, WithoutUncertaintyItIsOnlyLikely) {
    const Board board = claiming({{"power factor", "0.95"}}).also(R"([[readings]]
quantity = "power factor"
value = "0.6")");
    EXPECT_EQ(the_finding(board, "readings_contradict_claims.power_factor").confidence,
              findings::Confidence::likely);
}

TEST(Readings, ThatDoNotFitEachOtherNameTheSuspect) {
    const auto group = [](const char* factor) {
        return reading("supply voltage", "230 V", "1 %") + "\n" +
               reading("supply current", "0.1 A", "2 %") + "\n" +
               reading("input power", "20 W", "1 %") + "\n" +
               reading("power factor", factor, "0.01");
    };
    EXPECT_FALSE(found(rectified().also(group("0.87")), "readings_disagree.warm"));
    const auto f = the_finding(rectified().also(group("0.6")), "readings_disagree.warm");
    EXPECT_THAT(f.text, HasSubstr("power factor"));
    EXPECT_EQ(f.evidence.size(), 4u);
}

TEST(Claims, AnEfficiencyWithoutPercentIsAFraction) {
    const auto claims = [](const char* efficiency) {
        return rectified().also(std::string(R"([[claims]]
quantity = "input power"
value = "14 W"
[[claims]]
quantity = "output power"
value = "12 W"
[[claims]]
quantity = "efficiency"
value = ")") + efficiency + "\"");
    };
    EXPECT_FALSE(found(claims("0.85"), "claims_contradict.efficiency"));
    EXPECT_THAT(the_finding(claims("0.6"), "claims_contradict.efficiency").text,
                HasSubstr("the claim is 60 %"));
}

TEST(Claims, MoreOutThanInIsToldOnce) {
    const auto ids = ids_of(rectified().also(R"([[claims]]
quantity = "input power"
value = "5-10 W"
[[claims]]
quantity = "output power"
value = "12 W"
[[claims]]
quantity = "efficiency"
value = "90 %")"));
    EXPECT_THAT(ids, ::testing::ElementsAre("claims_contradict.more_out_than_in"));
}

TEST(Claims, ANegativePowerIsImpossibleAndCountedWithNowhere) {
    const auto ids = ids_of(rectified().also(R"([[claims]]
quantity = "input power"
value = "-5 W"
[[claims]]
quantity = "output power"
value = "12 W"
[[claims]]
quantity = "efficiency"
value = "85 %")"));
    EXPECT_THAT(ids, ::testing::ElementsAre("claims_contradict.input_power_impossible"));
}

TEST(Claims, ANegativeRailHasASize) {
    EXPECT_FALSE(found(rectified().also(R"([[claims]]
quantity = "output voltage"
value = "-12 V"
[[claims]]
quantity = "output current"
value = "1 A"
[[claims]]
quantity = "output power"
value = "12 W")"),
                       "claims_contradict.output_power"));
}

TEST(Claims, OneClaimAloneIsNotCalledOneOfSeveral) {
    const auto f = the_finding(rectified().also(R"([[claims]]
quantity = "power factor"
value = "1.2")"),
                               "claims_contradict.power_factor_impossible");
    EXPECT_THAT(f.text, Not(HasSubstr("At least one")));
}

TEST(Readings, OfASupplyFarOutsideTheClaimAreTold) {
    const auto board = [](const char* volts) {
        return rectified().also(std::string(R"([[claims]]
quantity = "supply voltage"
value = "100-120 V"
[[readings]]
quantity = "supply voltage"
uncertainty = "1 %"
value = ")") + volts + "\"");
    };
    EXPECT_THAT(the_finding(board("231 V"), "readings_contradict_claims.supply_voltage").text,
                HasSubstr("more than a tenth above"));
    EXPECT_THAT(the_finding(board("80 V"), "readings_contradict_claims.supply_voltage").text,
                HasSubstr("more than a tenth below"));
    EXPECT_FALSE(found(board("131 V"), "readings_contradict_claims.supply_voltage"));
}

TEST(Readings, OfMorePowerOutThanInDisagree) {
    const auto board = [](const char* in) {
        return rectified().also(std::string(R"([[readings]]
quantity = "output power"
uncertainty = "1 %"
group = "warm"
value = "25 W"
[[readings]]
quantity = "input power"
uncertainty = "1 %"
group = "warm"
value = ")") + in + "\"");
    };
    EXPECT_TRUE(found(board("20 W"), "readings_disagree.more_out_than_in"));
    EXPECT_FALSE(found(board("24.9 W"), "readings_disagree.more_out_than_in"));
}

}  // namespace
}  // namespace etchback::test
