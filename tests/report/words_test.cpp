#include "report/detail/words.h"

#include <gtest/gtest.h>

namespace etchback::report::detail {
namespace {

TEST(ReportWords, ValueHasAsManyDigitsAsItsUncertaintyAllows) {
    EXPECT_EQ(with_uncertainty(3.9, 0.05, base::Unit::watt), "3.90\u00a0W ± 0.10\u00a0W");
    EXPECT_EQ(with_uncertainty(231.0, 1.155, base::Unit::volt), "231.0\u00a0V ± 2.3\u00a0V");
    EXPECT_EQ(with_uncertainty(0.139, 0.0015, base::Unit::ampere), "139.0\u00a0mA ± 3.0\u00a0mA");
    EXPECT_EQ(with_uncertainty(0.45, 0.005, base::Unit::none), "0.450 ± 0.010");
}

TEST(ReportWords, ValueWithoutUncertaintyIsPlain) {
    EXPECT_EQ(with_uncertainty(12.0, 0.0, base::Unit::volt), "12\u00a0V");
}

TEST(ReportWords, PlaceNamesTheFileWithoutItsFolder) {
    EXPECT_EQ(text_of(base::Place{"/home/someone/lamp/dossier.toml", 12, 3}),
              "dossier.toml, line 12");
    EXPECT_EQ(text_of(base::Place{}), "");
}

TEST(ReportWords, AnchorsOfDifferentNamesDiffer) {
    EXPECT_EQ(anchor("part", "R1"), "part-R1");
    EXPECT_EQ(anchor("net", "HV+"), "net-HV_2b");
    EXPECT_NE(anchor("net", "HV+"), anchor("net", "HV_2b"));
    EXPECT_NE(anchor("net", "HV+"), anchor("net", "HV-"));
    EXPECT_EQ(anchor("part", "\"><b>"), "part-_22_3e_3cb_3e");
}

TEST(ReportWords, KindOfEvidenceIsNotSaidTwice) {
    using Kind = base::Evidence::Kind;
    EXPECT_EQ(view_of({Kind::supply, "supply voltage", "240 V", {}}).kind, "");
    EXPECT_EQ(view_of({Kind::reading, "supply voltage", "231 V", {}}).kind, "reading");
}

TEST(ReportWords, EvidenceLeadsToItsPlaceOnThePage) {
    using Kind = base::Evidence::Kind;
    EXPECT_EQ(view_of({Kind::part, "R3", "", {}}).what.part, "R3");
    EXPECT_EQ(view_of({Kind::net, "HV+", "", {}}).what.net, "HV+");
    EXPECT_EQ(view_of({Kind::figure, "bleed_time.C1", "", {}}).what.anchor,
              "figure-bleed_5ftime_2eC1");
    EXPECT_EQ(view_of({Kind::reading, "input power", "", {}}).what.anchor, "readings");
}

}  // namespace
}  // namespace etchback::report::detail
