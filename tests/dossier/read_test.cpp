#include "dossier/read.h"

#include <algorithm>
#include <fstream>

#include "base/file.h"
#include "dossier/fixture.h"
#include "dossier/generator.h"
#include "dossier/words.h"

namespace etchback::dossier {
namespace {

using base::Unit;

const std::string head = "format = 1\n[item]\nname = \"x\"\n";

TEST(ReadDossier, EverythingIsReadAsItIsWritten) {
    const Dossier d = everything();
    EXPECT_EQ(d.item.name.value, "Workbench night light");
    EXPECT_EQ(d.item.date.value, "2026-03-14");
    EXPECT_TRUE(d.item.invented);
    EXPECT_EQ(d.item.story.value,
              "Bought at a flea market, no papers. The light flickered when warm.\n");
    ASSERT_EQ(d.claims.size(), 2U);
    EXPECT_EQ(d.claims[1].value.value, Quantity::of(3.6, Unit::watt));
    EXPECT_EQ(d.supply.voltage->value.low, 220.0);
    EXPECT_EQ(d.supply.frequency->value.choices, (std::vector<double>{50.0, 60.0}));
    EXPECT_EQ(d.supply.earthed, false);
    EXPECT_EQ(d.parts.size(), 22U);
    EXPECT_EQ(d.nets.size(), 2U);
    EXPECT_EQ(d.readings.size(), 3U);
    EXPECT_EQ(d.continuity.size(), 2U);
    EXPECT_EQ(d.waveforms[0].probe->value, 100.0);
    EXPECT_EQ(d.waveforms[0].sample_rate->value, Quantity::of(50e6, Unit::hertz));
    EXPECT_EQ(d.waveforms[0].added_capacitance->value, Quantity::of(100e-12, Unit::farad));
    EXPECT_EQ(d.waveforms[1].through.value, "J1");
    EXPECT_EQ(d.waveforms[1].current_delay->value, Quantity::of(120e-9, Unit::second));
    EXPECT_EQ(d.waveforms[1].zero->value, 0.02);
    EXPECT_EQ(d.photos[0].side.value, "top");
    EXPECT_EQ(d.photos.size(), 3U);
    EXPECT_EQ(d.strokes.size(), 2U);
    ASSERT_EQ(d.scenarios.size(), 2U);
    EXPECT_EQ(d.reference->parts.size(), 1U);
}

TEST(ReadDossier, AScenarioHasAllThatItsTableSays) {
    const Dossier d = everything();
    const Scenario& sag = d.scenarios.at(0);
    EXPECT_EQ(sag.id.value, "brown-out");
    EXPECT_EQ(sag.title.value, "Brown-out");
    EXPECT_EQ(sag.supply.value, "low");
    EXPECT_EQ(sag.from.value, "steady");
    EXPECT_EQ(sag.span.value, Quantity::of(0.2, Unit::second));
    EXPECT_EQ(sag.measure->value, Quantity::of(0.04, Unit::second));
    EXPECT_FALSE(sag.steady_at_end);
    ASSERT_EQ(sag.deeds.size(), 3U);
    EXPECT_EQ(sag.deeds[0].what.value, "scale supply");
    EXPECT_EQ(sag.deeds[0].at.value, Quantity::of(0.02, Unit::second));
    EXPECT_EQ(sag.deeds[0].factor->value, 0.6);
    EXPECT_EQ(sag.deeds[2].load.value, "LED1");
    EXPECT_EQ(d.scenarios[1].supply_voltage->value, Quantity::of(260.0, Unit::volt));
    EXPECT_EQ(d.scenarios[1].supply_phase->value, Quantity::of(90.0, Unit::degree));
    EXPECT_TRUE(d.scenarios[1].steady_at_end);
}

TEST(ReadDossier, APhotoHasItsPointsAndAPictureOfCopperItsScale) {
    const Dossier d = everything();
    const Photo& top = d.photos.at(0);
    ASSERT_EQ(top.points.size(), 2U);
    EXPECT_EQ(top.points[0].name.value, "hole at the plug");
    EXPECT_EQ(top.points[0].x_px, 211.0);
    EXPECT_EQ(top.points[0].y_px, 180.0);
    EXPECT_FALSE(top.points[0].x_mm);
    EXPECT_EQ(top.points[1].x_px, 95.5);
    EXPECT_EQ(top.points[1].y_mm, 0.0);
    const Photo& copper = d.photos.at(2);
    EXPECT_EQ(copper.shows.value, "copper");
    EXPECT_EQ(copper.seen_from.value, "top");
    EXPECT_EQ(copper.px_per_mm->value, 20.0);
}

TEST(ReadDossier, TheBareBoardHasItsSizeAndItsLengthsAndAPartItsPads) {
    const Dossier d = everything();
    EXPECT_DOUBLE_EQ(d.board.width->value.value, 0.0525);
    EXPECT_DOUBLE_EQ(d.board.height->value.value, 0.031);
    EXPECT_EQ(d.board.sides->value, 2);
    EXPECT_EQ(d.board.mask.value, "green");
    EXPECT_EQ(d.board.holes.value, "photos/holes.csv");
    ASSERT_EQ(d.board.lengths.size(), 1U);
    EXPECT_EQ(d.board.lengths[0].to_x_px, 1630.0);
    EXPECT_DOUBLE_EQ(d.board.lengths[0].length.value.value, 0.0402);
    const Part& r1 = *d.part("R1");
    ASSERT_EQ(r1.pads.size(), 2U);
    EXPECT_EQ(r1.pads[1].pin, "2");
    EXPECT_EQ(r1.pads[1].y, 430.5);
    EXPECT_EQ(r1.pads_on.value, "photos/top.jpg");
}

TEST(ReadDossier, AStrokeSaysWhatLiesBelowIt) {
    const Dossier d = everything();
    const Stroke& copper = d.strokes.at(0);
    EXPECT_EQ(copper.photo.value, "photos/top.jpg");
    EXPECT_EQ(copper.says.value, "copper");
    ASSERT_EQ(copper.along.size(), 3U);
    EXPECT_EQ(copper.along[1], (std::pair{340.0, 262.0}));
    EXPECT_EQ(copper.width_px, 12.0);
    EXPECT_EQ(d.strokes.at(1).says.value, "cut");
    EXPECT_EQ(d.strokes.at(1).width_px, 0.0);
}

TEST(ReadScenarios, AFileOfThemHoldsNothingElse) {
    const auto good = read_scenarios("[[scenarios]]\nid = \"a\"\nspan = \"1 s\"\n", "s.toml");
    ASSERT_TRUE(good);
    EXPECT_EQ(good->at(0).span.value.value, 1.0);
    const auto bad =
        read_scenarios("[[scenarios]]\nid = \"a\"\nspan = \"1 s\"\n[item]\n", "s.toml");
    ASSERT_FALSE(bad);
    EXPECT_EQ(base::to_string(bad.errors().at(0)),
              "s.toml:4:2: the scenarios: 'item' is not a key that is known here; "
              "known here: scenarios");
}

TEST(ReadDossier, APartHasAllThatItsTableSays) {
    const Dossier d = everything();
    const Part& r1 = *d.part("R1");
    EXPECT_EQ(r1.kind.value, "resistor");
    EXPECT_EQ(r1.marking.value, "474");
    EXPECT_EQ(r1.value->value, Quantity::of(470e3, Unit::ohm));
    EXPECT_EQ(r1.tolerance->value, Quantity::of(5, Unit::percent));
    EXPECT_EQ(r1.position, (Position{12.5, 4.0, 90.0, false}));
    EXPECT_EQ(r1.basis("value"), Basis::marking);
    EXPECT_EQ(r1.basis("body"), Basis::seen);
    EXPECT_EQ(r1.alternatives[0].weight, 0.1);
    EXPECT_EQ(d.part("F1")->basis("value"), Basis::seen);
    EXPECT_EQ(d.part("R2")->basis("value"), Basis::seen);
    EXPECT_FALSE(d.part("R9")->fitted);
    EXPECT_EQ(d.part("X1")->kind.value, "");
    EXPECT_EQ(d.part("U1")->thresholds.at("stop").value, Quantity::of(9, Unit::volt));
    EXPECT_EQ(d.part("LED1")->properties.at("count").value, Quantity::of(4, Unit::none));
    EXPECT_EQ(d.part("nobody"), nullptr);
}

TEST(ReadDossier, WishesForTheDrawingAreReadAsWritten) {
    const DrawingWishes wishes = everything().drawing;
    EXPECT_EQ(wishes.symbols.value, "iec");
    EXPECT_EQ(wishes.paper.value, "A4");
    EXPECT_EQ(wishes.revision.value, "B");
    EXPECT_EQ(wishes.show, (std::vector<Text>{{"tolerances", {}}, {"doubts", {}}}));
    ASSERT_EQ(wishes.together.size(), 2U);
    EXPECT_EQ(wishes.together[1][2].value, "D1");
    EXPECT_EQ(wishes.parts.at("F1").at->value, std::pair(10, 12));
    EXPECT_EQ(wishes.parts.at("BR1").from.value, "F1");
    EXPECT_EQ(wishes.parts.at("BR1").by->value, std::pair(14, 2));
    EXPECT_EQ(wishes.parts.at("C5").below.value, "T1");
    EXPECT_EQ(wishes.parts.at("D2").turn->value, 0);
    EXPECT_FALSE(wishes.parts.at("D2").flip->value);
    EXPECT_FALSE(wishes.parts.at("R2").flip);
    EXPECT_GT(wishes.parts.at("R2").place.line, wishes.parts.at("D2").place.line);
}

TEST(ReadDossier, PartsAndPinsStandInTheFilesOrder) {
    const Dossier d = everything();
    EXPECT_EQ(d.parts[0].name, "J1");
    EXPECT_EQ(d.parts[2].name, "R1");
    EXPECT_EQ(d.parts.back().name, "X1");
    const auto& pins = d.part("T1")->pins;
    EXPECT_EQ(pins[0].pin, "1");
    EXPECT_EQ(pins[5].net, "HV-");
    const Dossier other =
        read_well(head + "[parts.B]\n[parts.A]\n[parts.C.pins]\nz = \"N\"\na = \"N\"\n");
    EXPECT_EQ(other.parts[0].name, "B");
    EXPECT_EQ(other.parts[2].pins[0].pin, "z");
}

TEST(ReadDossier, WhatIsReadKnowsItsPlace) {
    const std::string text = head + "\n[parts.R1]\nkind = \"resistor\"\npins = { 1 = \"A\" }\n";
    const Dossier d = read_well(text);
    EXPECT_EQ(d.parts[0].place, (Place{"dossier.toml", 5, 8}));
    EXPECT_EQ(d.parts[0].kind.place, (Place{"dossier.toml", 6, 8}));
    EXPECT_EQ(d.parts[0].pins[0].place, (Place{"dossier.toml", 7, 14}));
}

TEST(ReadDossier, PlacesDoNotCountInEquality) {
    EXPECT_EQ(read_well(head), read_well("\n\n" + head));
}

TEST(ReadDossier, EmptyTablesAndListsSayNothing) {
    const Dossier d =
        read_well("claims = []\nphotos = []\n" + head + "[parts]\n[nets]\n[supply]\n");
    EXPECT_EQ(d, read_well(head));
}

TEST(ReadDossier, UnknownIsAKindLikeNone) {
    const std::string part = "[parts.X]\npins = { odd = \"A\", 2 = \"B\" }\n";
    EXPECT_EQ(read_well(head + part + "kind = \"unknown\"\n"), read_well(head + part));
}

TEST(ReadDossier, KindsAndPinsMayBeSpelledInOtherWays) {
    const Dossier d = read_well(head +
                                "[parts.C]\nkind = \"x2 Capacitor\"\n[parts.D]\nkind = \"zener\"\n"
                                "pins = { A = \"x\", k = \"y\" }\n");
    EXPECT_EQ(d.parts[0].kind.value, "x2_capacitor");
    EXPECT_EQ(d.parts[1].kind.value, "zener_diode");
    EXPECT_EQ(d.parts[1].pins[1].pin, "k");
}

TEST(ReadDossier, NumbersMayStandWithoutQuotes) {
    const Dossier d =
        read_well(head +
                  "[parts.R]\nkind = \"resistor\"\nvalue = 4700\nmarking = 472\n"
                  "[[readings]]\nquantity = \"power factor\"\nvalue = 0.52\nuncertainty = 0.01\n");
    EXPECT_EQ(d.parts[0].value->value, Quantity::of(4700, Unit::ohm));
    EXPECT_EQ(d.parts[0].marking.value, "472");
    EXPECT_EQ(d.readings[0].uncertainty->value, Quantity::of(0.01, Unit::none));
}

TEST(ReadDossier, KnownQuantitiesHaveTheirUnitAndSmallLetters) {
    const Dossier d = read_well(head +
                                "[[readings]]\nquantity = \"Input power\"\nvalue = 3\n"
                                "[[readings]]\nquantity = \"My own\"\nvalue = \"3 mm\"\n"
                                "[[claims]]\nquantity = \"protection class\"\nvalue = \"II\"\n");
    EXPECT_EQ(d.readings[0].quantity.value, "input power");
    EXPECT_EQ(d.readings[0].value.value, Quantity::of(3, Unit::watt));
    EXPECT_EQ(d.readings[1].quantity.value, "My own");
    EXPECT_EQ(d.readings[1].value.value.unit, Unit::metre);
    EXPECT_EQ(d.claims[0].value.value, Quantity::of(2, Unit::none));
}

TEST(ReadDossier, ContinuityMayNameAPinThatTheTableOfPinsLacks) {
    read_well(head +
              "[parts.R1]\nkind = \"resistor\"\npins = { 1 = \"A\" }\n[parts.\"U.2\"]\npins = { 1 "
              "= \"A\" }\n"
              "[[continuity]]\nbetween = [\"R1.2\", \"U.2.1\"]\n");
}

TEST(ReadDossier, OtherNamesOfANetMayBeUsedEverywhere) {
    read_well(head +
              "[parts.R1]\nkind = \"resistor\"\npins = { 1 = \"PGND\", 2 = \"B\" "
              "}\n[nets.GND]\nalso = [\"PGND\"]\n"
              "[[readings]]\nquantity = \"voltage\"\nvalue = 1\nbetween = [\"GND\", \"B\"]\n");
}

TEST(ReadDossier, ANewerFormatIsTheOnlyComplaint) {
    const auto errors = errors_of("format = 7\nwhatever = 1\n");
    ASSERT_EQ(errors.size(), 1U);
    EXPECT_NE(errors[0].what.find("newer"), std::string::npos);
}

TEST(ReadDossier, BasesHaveNames) {
    for (const std::string& word : basis_words()) {
        EXPECT_EQ(name_of(*basis_named(word)), word);
    }
    EXPECT_FALSE(basis_named("guessed"));
}

TEST(ReadDossier, AFolderOrAFileIsTakenAndAMissingOneThrows) {
    const auto folder = std::filesystem::path(testing::TempDir()) / "etchback-dossier-read";
    std::filesystem::create_directories(folder);
    base::write_file_atomically(folder / "dossier.toml", head + "[parts.R1]\nkind = \"resitor\"\n");
    EXPECT_EQ(file_of(folder), folder / "dossier.toml");
    EXPECT_EQ(file_of(folder / "dossier.toml"), folder / "dossier.toml");
    const auto dossier = read_folder(folder, catalogue());
    ASSERT_FALSE(dossier);
    EXPECT_EQ(dossier.errors()[0].place, (Place{(folder / "dossier.toml").string(), 5, 8}));
    std::filesystem::remove_all(folder);
    EXPECT_THROW((void)read_folder(folder, catalogue()), base::FileError);
}

// Whatever happens to a file, reading it ends, and ends with a dossier or with errors that have a
// place in the file.
TEST(ReadDossier, ThreeThousandMutationsNeverCrash) {
    const std::string good = everything_text();
    Dice dice(2026);
    int still_good = 0;
    for (int i = 0; i < 3000; ++i) {
        std::string text = good;
        for (std::size_t n = 1 + dice.below(4); n > 0; --n) {
            const std::size_t at = dice.below(text.size());
            const std::size_t line = text.rfind('\n', at) + 1;
            const std::size_t end = std::min(text.find('\n', at), text.size() - 1) + 1;
            switch (dice.below(7)) {
                case 0:
                    text[at] = static_cast<char>(static_cast<unsigned char>(text[at]) ^
                                                 (1U << dice.below(8)));
                    break;
                case 1:
                    text.resize(at + 1);
                    break;
                case 2:
                    text.insert(dice.below(text.size()), text.substr(line, end - line));
                    break;
                case 3:
                    text.erase(line, end - line);
                    break;
                case 4:
                    text.erase(at, 1 + dice.below(3));
                    break;
                case 5:
                    text.insert(end, text.substr(line, end - line));
                    break;
                default:
                    text.insert(at, 1, "[]{}=\"'#.,\n\t0-"[dice.below(14)]);
                    break;
            }
            if (text.empty()) {
                text = "x";
            }
        }
        const auto dossier = read(text, "dossier.toml", catalogue());
        if (dossier) {
            ++still_good;
            ASSERT_EQ(read_well(write(*dossier, catalogue())) == *dossier, true) << text;
            continue;
        }
        const auto lines = std::ranges::count(text, '\n') + 1;
        for (const base::Error& error : dossier.errors()) {
            ASSERT_EQ(error.place.file, "dossier.toml");
            ASSERT_GE(error.place.line, 1) << base::to_string(error) << "\n" << text;
            ASSERT_LE(error.place.line, lines + 1) << base::to_string(error);
            ASSERT_GE(error.place.column, 1) << base::to_string(error);
            ASSERT_FALSE(error.what.empty());
            ASSERT_FALSE(error.todo.empty());
        }
    }
    // Both ways must have been gone.
    EXPECT_GT(still_good, 100);
    EXPECT_LT(still_good, 2900);
}

}  // namespace
}  // namespace etchback::dossier
