// Pads from clicks, bodies and positions.
#include <gmock/gmock.h>

#include <cmath>
#include <map>

#include "copper/boards.h"
#include "copper/detail/footprint.h"

namespace etchback::copper {
namespace {

using testing::HasSubstr;
using testing::IsEmpty;
using testing::SizeIs;

struct FoundPads {
    std::vector<Pad> pads;
    std::vector<Remark> remarks;

    const Pad* pad(const std::string& part, const std::string& pin) const {
        for (const Pad& one : pads) {
            if (one.part == part && one.pin == pin) {
                return &one;
            }
        }
        return nullptr;
    }
};

FoundPads found_in(std::string_view toml, const std::vector<PointedPad>& pointed = {}) {
    FoundPads found;
    found.pads = find_pads(dossier_of(toml), catalogue(), pointed, found.remarks);
    return found;
}

void expect_at(const Pad* pad, double x, double y, double tolerance = 0.01) {
    ASSERT_NE(pad, nullptr);
    EXPECT_NEAR(pad->at.x_mm, x, tolerance) << pad->pin;
    EXPECT_NEAR(pad->at.y_mm, y, tolerance) << pad->pin;
}

const std::string chip =
    "[parts.U1]\nkind = \"controller\"\nbody = \"SOP-8\"\npads = { 1 = [10, 10], 5 = [15.4, 13.81] "
    "}\n";

TEST(Pads, GivenOnesStayAsTheyAre) {
    const FoundPads found =
        found_in("[parts.R1]\nkind = \"resistor\"\npads = { 1 = [3, 4.5], 2 = [6.2, 4.5] }\n");
    ASSERT_THAT(found.pads, SizeIs(2));
    expect_at(found.pad("R1", "1"), 3.0, 4.5);
    EXPECT_FALSE(found.pads[0].placed_by_body);
    EXPECT_EQ(found.pads[0].side, Side::top);  // where nothing else is said
    EXPECT_THAT(found.remarks, IsEmpty());
}

TEST(Pads, TwoCornersOfAChipPlaceTheOthers) {
    const FoundPads found = found_in(chip);
    ASSERT_THAT(found.pads, SizeIs(8));
    expect_at(found.pad("U1", "2"), 10.0, 11.27);
    expect_at(found.pad("U1", "4"), 10.0, 13.81);
    expect_at(found.pad("U1", "8"), 15.4, 10.0);
    EXPECT_TRUE(found.pad("U1", "8")->placed_by_body);
    EXPECT_FALSE(found.pad("U1", "5")->placed_by_body);
}

TEST(Pads, TheCornersAlsoTellHowFarTheRowsAreApart) {
    // A wide body under the narrow one's name: its rows are 7 mm apart.
    const FoundPads found = found_in(
        "[parts.U1]\nkind = \"controller\"\nbody = \"SOP-8\"\n"
        "pads = { 1 = [10, 10], 5 = [17, 13.81] }\n");
    expect_at(found.pad("U1", "8"), 17.0, 10.0);
    expect_at(found.pad("U1", "4"), 10.0, 13.81);
}

TEST(Pads, AChipOnTheBottomIsMirrored) {
    // Seen from the top, its pins go round the other way.
    const FoundPads found =
        found_in(chip + "position = { x_mm = 1, y_mm = 1, side = \"bottom\" }\n");
    ASSERT_THAT(found.pads, SizeIs(8));
    const Point one = found.pad("U1", "1")->at;
    const Point two = found.pad("U1", "2")->at;
    const Point eight = found.pad("U1", "8")->at;
    const double turn = (two.x_mm - one.x_mm) * (eight.y_mm - one.y_mm) -
                        (two.y_mm - one.y_mm) * (eight.x_mm - one.x_mm);
    EXPECT_GT(turn, 0.0);  // y runs down: on the top it is below zero
    EXPECT_EQ(found.pad("U1", "3")->side, Side::bottom);
}

TEST(Pads, AnyTurnIsFollowed) {
    const parts::Body& body = *catalogue().body("SOT-23-6", "controller");
    const auto footprint = detail::footprint_of(body);
    ASSERT_TRUE(footprint);
    for (const double turn_deg : {0.0, 37.0, 90.0, 200.0}) {
        for (const bool mirrored : {false, true}) {
            const auto places =
                detail::placed_by_middle(*footprint, {20.0, 30.0}, turn_deg, mirrored);
            for (std::size_t a = 0; a < places.size(); ++a) {
                for (std::size_t b = 0; b < a; ++b) {
                    const auto placed = detail::placed_by_pins(
                        *footprint, {{a, places[a]}, {b, places[b]}}, mirrored);
                    ASSERT_TRUE(placed);
                    for (std::size_t i = 0; i < places.size(); ++i) {
                        EXPECT_NEAR(placed->pins[i].x_mm, places[i].x_mm, 1e-9);
                        EXPECT_NEAR(placed->pins[i].y_mm, places[i].y_mm, 1e-9);
                    }
                }
            }
        }
    }
}

TEST(Pads, OfASmallTransistorBodyTheThirdStandsOpposite) {
    const FoundPads found =
        found_in("[parts.X1]\nbody = \"SOT-23\"\npads = { 1 = [10, 10], 2 = [10, 11.9] }\n");
    ASSERT_THAT(found.pads, SizeIs(3));
    expect_at(found.pad("X1", "3"), 12.1, 10.95);
}

TEST(Pads, APositionAndABodyAreEnough) {
    const FoundPads found = found_in(
        "[parts.R1]\nkind = \"resistor\"\nbody = \"1206\"\n"
        "position = { x_mm = 20, y_mm = 10, turn_deg = 90 }\n");
    ASSERT_THAT(found.pads, SizeIs(2));
    // Counter-clockwise from pin 1 at the left: pin 1 below.
    expect_at(found.pad("R1", "1"), 20.0, 11.55);
    expect_at(found.pad("R1", "2"), 20.0, 8.45);
    EXPECT_EQ(found.pads[0].side, Side::top);
}

TEST(Pads, OnePadAndATurnPlaceTheOther) {
    const FoundPads found = found_in(
        "[parts.C1]\nkind = \"ceramic capacitor\"\nbody = \"0805\"\npads = { 2 = [30, 5] }\n"
        "position = { x_mm = 29.2, y_mm = 5.1 }\n");
    ASSERT_THAT(found.pads, SizeIs(2));
    expect_at(found.pad("C1", "1"), 28.0, 5.0);
}

TEST(Pads, OnePadAloneAsksForASecond) {
    const FoundPads found = found_in(
        "[parts.C1]\nkind = \"ceramic capacitor\"\nbody = \"0805\"\npads = { 2 = [30, 5] }\n");
    EXPECT_THAT(found.pads, SizeIs(1));
    ASSERT_THAT(found.remarks, SizeIs(1));
    EXPECT_THAT(found.remarks[0].what, HasSubstr("C1: one pad does not tell"));
}

TEST(Pads, ThatDoNotFitTheBodyAreTold) {
    const FoundPads found = found_in(
        "[parts.U1]\nkind = \"controller\"\nbody = \"SOP-8\"\n"
        "pads = { 1 = [10, 10], 2 = [10, 14] }\n");
    EXPECT_THAT(found.pads, SizeIs(2));
    ASSERT_THAT(found.remarks, SizeIs(1));
    EXPECT_THAT(found.remarks[0].what, HasSubstr("U1: its pads do not fit the body SOP-8"));
}

TEST(Pads, NumbersBecomeThePinsThatThePersonWrote) {
    const FoundPads found = found_in(
        "[parts.U2]\nkind = \"optocoupler\"\nbody = \"DIP-4\"\n"
        "pads = { anode = [10, 10], cathode = [10, 12.54], emitter = [17.62, 12.54], collector = "
        "[17.62, 10] }\n");
    EXPECT_THAT(found.pads, SizeIs(4));
    EXPECT_FALSE(found.pads[0].side.has_value());  // through the board
}

TEST(Pads, ThatHaveNamesGetNoNumbersBesides) {
    const FoundPads found = found_in(
        "[parts.U1]\nkind = \"controller\"\nbody = \"SOT-23-6\"\n"
        "pads = { GND = [10, 10], FB = [10, 10.95] }\npins = { GND = \"G\", FB = \"F\" }\n"
        "position = { x_mm = 11.25, y_mm = 10.95 }\n");
    EXPECT_THAT(found.pads, SizeIs(2));
}

TEST(Pads, ClicksOnAPhotoAreTakenWhereItsFitPutsThem) {
    const std::string toml =
        "[[photos]]\nfile = \"b.jpg\"\nside = \"bottom\"\n"
        "[parts.R1]\nkind = \"resistor\"\nbody = \"1206\"\npads = { 1 = [100, 200], 2 = [160, 200] "
        "}\npads_on = \"b.jpg\"\n";
    const FoundPads found = found_in(
        toml, {{"R1", "1", {5.0, 6.0}, Side::bottom}, {"R1", "2", {8.1, 6.0}, Side::bottom}});
    ASSERT_THAT(found.pads, SizeIs(2));
    expect_at(found.pad("R1", "1"), 5.0, 6.0);
    EXPECT_EQ(found.pads[0].side, Side::bottom);
}

TEST(Pads, PartsWithoutAPlaceAreToldInOneSentence) {
    const FoundPads found = found_in(
        "[parts.J1]\nkind = \"mains\"\npins = { L = \"L\", N = \"N\" }\n"
        "[parts.R1]\nkind = \"resistor\"\n[parts.R2]\nkind = \"resistor\"\n");
    ASSERT_THAT(found.remarks, SizeIs(1));
    EXPECT_THAT(found.remarks[0].what, HasSubstr("R1 and R2 have no place on the board"));
}

TEST(Pads, EveryBodyWithPinsHasAFootprintOfThatManyPins) {
    int with_footprint = 0;
    for (const parts::Body& body : catalogue().bodies()) {
        const auto footprint = detail::footprint_of(body);
        if (!footprint) {
            continue;
        }
        ++with_footprint;
        EXPECT_EQ(footprint->pins.size(), static_cast<std::size_t>(body.pins)) << body.id;
        std::map<std::string, int> numbers;
        double x = 0.0;
        double y = 0.0;
        for (const detail::BodyPin& pin : footprint->pins) {
            EXPECT_EQ(++numbers[pin.number], 1) << body.id;
            x = std::max(x, std::abs(pin.at.x_mm));
            y = std::max(y, std::abs(pin.at.y_mm));
        }
        EXPECT_GT(x + y, 0.1) << body.id;
        EXPECT_LT(x, 20.0) << body.id;
    }
    EXPECT_GT(with_footprint, 80);
}

}  // namespace
}  // namespace etchback::copper
