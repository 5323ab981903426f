// IEC 60062:2016, Marking codes for resistors and capacitors, clause 4: letter and digit code. The
// letter stands where the decimal point would be and gives the power of ten. The standard's own
// pages were not at hand: the resistance codes of the first test are quoted by handbooks; the
// letters' powers of ten beyond R, K and M, and so the codes of the other tests, are from memory.
#include <gtest/gtest.h>

#include "base/quantity.h"

namespace etchback::base {
namespace {

struct Code {
    std::string_view code;
    double value;
};

void expect_read(std::initializer_list<Code> codes, Unit unit) {
    for (const Code& code : codes) {
        const auto read = parse_quantity(code.code, unit);
        ASSERT_TRUE(read) << code.code << ": " << to_string(read.errors().front());
        EXPECT_DOUBLE_EQ(read->value, code.value) << code.code;
        EXPECT_EQ(read->unit, unit) << code.code;
    }
}

TEST(PublishedRkm, Iec60062Clause4ResistancesQuotedByHandbooks) {
    expect_read({{"R47", 0.47},
                 {"4R7", 4.7},
                 {"470R", 470},
                 {"4K7", 4700},
                 {"47K", 47e3},
                 {"47K3", 47.3e3},
                 {"470K", 470e3},
                 {"4M7", 4.7e6}},
                Unit::ohm);
}

TEST(PublishedRkm, Iec60062Clause4MoreResistancesFromMemory) {
    expect_read({{"R010", 0.010},
                 {"R100", 0.1},
                 {"1R0", 1},
                 {"4R70", 4.70},
                 {"10R0", 10.0},
                 {"100R", 100},
                 {"1K00", 1000},
                 {"M10", 100e3},
                 {"M47", 470e3},
                 {"1M0", 1e6},
                 {"10M", 10e6},
                 {"1G0", 1e9},
                 {"1T0", 1e12},
                 {"4L7", 0.0047},
                 {"10L", 0.010}},
                Unit::ohm);
}

TEST(PublishedRkm, Iec60062Clause4CapacitancesFromMemory) {
    expect_read({{"p10", 0.10e-12},
                 {"p68", 0.68e-12},
                 {"1p5", 1.5e-12},
                 {"4p7", 4.7e-12},
                 {"470p", 470e-12},
                 {"n10", 100e-12},
                 {"n47", 470e-12},
                 {"1n0", 1e-9},
                 {"100n", 100e-9},
                 {"u10", 100e-9},
                 {"u47", 470e-9},
                 {"2u2", 2.2e-6},
                 {"10u", 10e-6},
                 {"m47", 470e-6},
                 {"4m7", 4.7e-3},
                 {"1F0", 1.0},
                 {"F47", 0.47}},
                Unit::farad);
}

// Codes whose letter we print as the standard does, written back from the value.
TEST(PublishedRkm, Iec60062Clause4ValuesBecomeTheirCodes) {
    EXPECT_EQ(to_rkm(4.7, Unit::ohm), "4R7");
    EXPECT_EQ(to_rkm(470, Unit::ohm), "470R");
    EXPECT_EQ(to_rkm(4.7e6, Unit::ohm), "4M7");
    EXPECT_EQ(to_rkm(470e3, Unit::ohm), "470k");  // small k, as drawings have it
    EXPECT_EQ(to_rkm(4.7e-9, Unit::farad), "4n7");
    EXPECT_EQ(to_rkm(470e-12, Unit::farad), "470p");
}

}  // namespace
}  // namespace etchback::base
