// Drawings on paper: what is written round them, and nets that go on from sheet to sheet.
#include "drawing/sheet.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <map>
#include <set>

#include "circuit/domains.h"
#include "drawing/figures.h"
#include "drawing/random_circuit.h"
#include "drawing/svg.h"

namespace etchback::drawing {
namespace {

using circuit::Circuit;
using drawing_test::catalogue;
using drawing_test::part;
using testing::HasSubstr;
using testing::Not;

std::vector<dossier::Part> divider() {
    std::vector<dossier::Part> parts{part("G1", "DC supply", "12 V", "+=VCC -=GND"),
                                     part("R1", "resistor", "10k", "1=VCC 2=OUT"),
                                     part("R2", "resistor", "4k7", "1=OUT 2=GND")};
    parts[1].tolerance = dossier::Amount{base::Quantity::of(5.0, base::Unit::percent), {}};
    parts[2].alternatives.push_back({"value", {"47k", {}}, {"smudged", {}}, 0.2});
    return parts;
}

dossier::Dossier dossier_of(std::vector<dossier::Part> parts) {
    dossier::Dossier d;
    d.item.name.value = "Bench divider";
    d.item.author.value = "A. Example";
    d.item.invented = true;
    d.drawing.revision.value = "C";
    d.drawing.notes = {{"R2 gets hot.", {}}};
    d.parts = std::move(parts);
    return d;
}

std::string words(const Sheet& sheet) {
    std::string all;
    for (const SheetText& text : sheet.texts) {
        all += text.text + "\n";
    }
    return all;
}

struct Drawn {
    Circuit circuit;
    circuit::Domains domains;
    Drawing drawing;
};
Drawn drawn(const std::vector<dossier::Part>& parts, const Options& options = {}) {
    Drawn made{circuit::build(parts, {}, catalogue()), {}, {}};
    made.domains = circuit::domains(made.circuit);
    made.drawing = draw(made.circuit, made.domains, options);
    return made;
}

TEST(Sheet, HasATitleBlockThatSaysWhatTheDossierSays) {
    const dossier::Dossier d = dossier_of(divider());
    const Drawn made = drawn(d.parts);
    const auto sheets =
        sheets_of(made.drawing,
                  made.circuit,
                  {.paper = Paper::a4, .title = title_block_of(d), .notes = notes_of(d)});
    ASSERT_EQ(sheets.size(), 1U);
    const std::string all = words(sheets[0]);
    for (const char* text : {"Bench divider",
                             "A. Example",
                             "C",
                             "1 of 1",
                             "invented example",
                             "1. R2 gets hot.",
                             "2. R2: its value may also be 47k (smudged)."}) {
        EXPECT_THAT(all, HasSubstr(text));
    }
    EXPECT_THAT(all, Not(HasSubstr("licence")));
    EXPECT_THAT(all, Not(HasSubstr("date")));
    const std::string svg = to_svg(sheets[0], made.circuit);
    EXPECT_THAT(svg, HasSubstr("width=\"297mm\" height=\"210mm\""));
    const auto nets = nets_from_svg(svg);
    EXPECT_TRUE(nets && *nets == nets_of(made.circuit));
}

TEST(Sheet, KeepsTextsOffTheDrawingAndOffEachOther) {
    const dossier::Dossier d = dossier_of(divider());
    const Drawn made = drawn(d.parts);
    for (const Paper paper : {Paper::fit, Paper::a4, Paper::a3, Paper::letter}) {
        const auto sheets =
            sheets_of(made.drawing,
                      made.circuit,
                      {.paper = paper, .title = title_block_of(d), .notes = notes_of(d)});
        for (const Sheet& sheet : sheets) {
            for (std::size_t i = 0; i < sheet.texts.size(); ++i) {
                const Box box = sheet.texts[i].box();
                EXPECT_GE(box.left, 0.0);
                EXPECT_LE(box.right, sheet.drawing.width) << sheet.texts[i].text;
                EXPECT_LE(box.bottom, sheet.drawing.height);
                for (std::size_t j = 0; j < i; ++j) {
                    EXPECT_FALSE(box.overlaps(sheet.texts[j].box()))
                        << sheet.texts[i].text << " on " << sheet.texts[j].text;
                }
                for (const PlacedPart& placed : sheet.drawing.parts) {
                    const Box& b = placed.symbol.box;
                    EXPECT_FALSE(box.overlaps({b.left + placed.at.x,
                                               b.top + placed.at.y,
                                               b.right + placed.at.x,
                                               b.bottom + placed.at.y}));
                }
            }
        }
    }
}

TEST(Sheet, FitWithoutNotesIsTheDrawingAlone) {
    const Drawn made = drawn(divider());
    const auto sheets = sheets_of(made.drawing, made.circuit, {});
    ASSERT_EQ(sheets.size(), 1U);
    EXPECT_EQ(to_svg(sheets[0], made.circuit), to_svg(made.drawing, made.circuit));
}

TEST(Sheet, MarksPartsAndNets) {
    const Drawn made = drawn(divider());
    SheetOptions options;
    options.marked_parts = {*made.circuit.part("R1")};
    options.marked_nets = {*made.circuit.net("OUT")};
    const std::string svg = to_svg(sheets_of(made.drawing, made.circuit, options)[0], made.circuit);
    EXPECT_THAT(svg, HasSubstr("<rect class=\"marked\""));
    EXPECT_THAT(svg, HasSubstr("<path class=\"mark\""));
}

TEST(Layers, ShowTolerancesAndDoubtsBehindValues) {
    Drawn made = drawn(divider());
    EXPECT_THAT(to_svg(made.drawing, made.circuit), Not(HasSubstr("±5")));
    EXPECT_TRUE(
        add_values(made.circuit, {.tolerances = true, .doubts = true}, made.drawing).empty());
    const std::string svg = to_svg(made.drawing, made.circuit);
    EXPECT_THAT(svg, HasSubstr(">10k ±5"));
    EXPECT_THAT(svg, HasSubstr(">4k7?<"));
    EXPECT_EQ(figures(made.drawing, made.circuit).overlaps, 0);
}

TEST(Layers, ShowVoltagesAtTheirNets) {
    Options without_names;
    without_names.net_names = false;
    Drawn made = drawn(divider(), without_names);
    const circuit::NetId out = *made.circuit.net("OUT");
    const circuit::NetId vcc = *made.circuit.net("VCC");
    const auto left = add_voltages({{out, "3.84 V", false}, {vcc, "12 V", true}}, made.drawing);
    EXPECT_TRUE(left.empty());
    EXPECT_EQ(figures(made.drawing, made.circuit).overlaps, 0);
    const std::string svg = to_svg(made.drawing, made.circuit);
    EXPECT_THAT(svg, HasSubstr("class=\"voltage read\""));
    EXPECT_THAT(svg, HasSubstr("class=\"voltage\""));
}

// Pins of all sheets whose nets bear one name on a flag are one net.
std::vector<std::vector<std::string>> nets_of_sheets(const std::vector<Sheet>& sheets,
                                                     const Circuit& circuit) {
    std::map<std::string, std::set<std::string>> by_net;
    for (const Sheet& sheet : sheets) {
        const auto nets = nets_from_svg(to_svg(sheet, circuit));
        EXPECT_TRUE(static_cast<bool>(nets));
        if (!nets) {
            continue;
        }
        // Every net that the eye finds on a sheet lies within one net of the circuit.
        for (const std::vector<std::string>& net : *nets) {
            std::set<std::string> whole;
            for (const std::vector<std::string>& all : nets_of(circuit)) {
                if (std::find(all.begin(), all.end(), net.front()) != all.end()) {
                    whole.insert(all.begin(), all.end());
                }
            }
            for (const std::string& pin : net) {
                EXPECT_EQ(whole.count(pin), 1U) << pin;
                by_net[*whole.begin()].insert(pin);
            }
        }
    }
    std::vector<std::vector<std::string>> nets;
    for (const auto& [first, pins] : by_net) {
        nets.emplace_back(pins.begin(), pins.end());
    }
    std::sort(nets.begin(), nets.end());
    return nets;
}

TEST(Sheets, OfALargeDrawingAreJoinedByFlagsThatNameTheOtherSheet) {
    for (const std::uint64_t seed : {3U}) {
        const Drawn made = drawn(drawing_test::random_parts(seed, 80));
        const auto sheets = sheets_of(made.drawing, made.circuit, {.paper = Paper::a4});
        ASSERT_GT(sheets.size(), 1U);
        std::size_t parts = 0;
        for (const Sheet& sheet : sheets) {
            parts += sheet.drawing.parts.size();
            EXPECT_EQ(sheet.count, static_cast<int>(sheets.size()));
            EXPECT_NEAR(sheet.drawing.width * sheet.mm_per_step, 297.0, 1e-6);
            // A flag that leads to another sheet meets one of the same net that leads back.
            for (const NetSign& sign : sheet.drawing.signs) {
                const auto arrow = sign.text.rfind(" \u2192 ");
                if (arrow == std::string::npos) {
                    continue;
                }
                const int other = std::stoi(sign.text.substr(arrow + 5));
                const std::string back =
                    sign.text.substr(0, arrow + 5) + std::to_string(sheet.number);
                const auto& signs = sheets[static_cast<std::size_t>(other - 1)].drawing.signs;
                EXPECT_TRUE(std::any_of(signs.begin(), signs.end(), [&](const NetSign& s) {
                    return s.text == back;
                })) << sign.text;
            }
        }
        EXPECT_EQ(parts, made.circuit.parts.size());
        EXPECT_EQ(nets_of_sheets(sheets, made.circuit), nets_of(made.circuit));
    }
}

circuit::PartId nearest_to(std::size_t i, const Drawing& drawing) {
    const auto away = [&](const PlacedPart& part) {
        const Point& from = drawing.parts[i].at;
        return std::abs(part.at.x - from.x) + std::abs(part.at.y - from.y);
    };
    std::size_t best = i == 0 ? 1 : 0;
    for (std::size_t j = 0; j < drawing.parts.size(); ++j) {
        if (j != i && away(drawing.parts[j]) < away(drawing.parts[best])) {
            best = j;
        }
    }
    return drawing.parts[best].part;
}

TEST(Sheets, FrameBlocksWithoutTakingInOtherParts) {
    const Drawn made = drawn(drawing_test::random_parts(5, 30));
    SheetOptions options;
    for (std::size_t i = 0; i < made.drawing.parts.size(); i += 3) {
        options.frames.push_back(
            {"a block", {made.drawing.parts[i].part, nearest_to(i, made.drawing)}});
    }
    const Sheet sheet = sheets_of(made.drawing, made.circuit, options)[0];
    ASSERT_FALSE(sheet.frames.empty());
    for (const BlockFrame& frame : sheet.frames) {
        int inside = 0;
        for (const PlacedPart& placed : sheet.drawing.parts) {
            const Box& b = placed.symbol.box;
            const Box box{b.left + placed.at.x,
                          b.top + placed.at.y,
                          b.right + placed.at.x,
                          b.bottom + placed.at.y};
            for (const Box& one : frame.boxes) {
                inside += one.overlaps(box);
            }
        }
        EXPECT_EQ(inside, 2);
        for (const Label& label : sheet.drawing.labels) {
            EXPECT_FALSE(label.box.overlaps(frame.name.box())) << label.text;
        }
    }
}

}  // namespace
}  // namespace etchback::drawing
