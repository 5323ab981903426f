// What an engineer expects of a drawn circuit, on circuits written down here and on the examples.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <map>
#include <sstream>

#include "circuit/domains.h"
#include "dossier/read.h"
#include "dossier/tables.h"
#include "drawing/drawing.h"
#include "drawing/figures.h"
#include "drawing/random_circuit.h"
#include "drawing/svg.h"

namespace etchback::drawing {
namespace {

using circuit::Circuit;
using drawing_test::catalogue;
using drawing_test::part;

std::string text_of(const std::filesystem::path& file) {
    std::ifstream in(file);
    std::stringstream text;
    text << in.rdbuf();
    return text.str();
}

Circuit dropper_lamp() {
    return circuit::build({part("J1", "mains", "", "L=L N=N"),
                           part("F1", "fuse", "1 A", "1=L 2=LF"),
                           part("R1", "resistor", "470k", "1=LF 2=AC1"),
                           part("C1", "X2 capacitor", "680n", "1=LF 2=AC1"),
                           part("BR1", "bridge rectifier", "", "~1=AC1 ~2=N +=DC+ -=DC-"),
                           part("C2", "electrolytic capacitor", "10u", "+=DC+ -=DC-"),
                           part("R2", "resistor", "22R", "1=DC+ 2=LED+"),
                           part("LED1", "LED string", "", "+=LED+ -=DC-")},
                          {},
                          catalogue());
}

Circuit multivibrator() {
    return circuit::build({part("BAT1", "battery", "9 V", "+=VCC -=GND"),
                           part("R1", "resistor", "1k", "1=VCC 2=C_A"),
                           part("R2", "resistor", "47k", "1=VCC 2=B_B"),
                           part("R3", "resistor", "47k", "1=VCC 2=B_A"),
                           part("R4", "resistor", "1k", "1=VCC 2=C_B"),
                           part("C1", "electrolytic capacitor", "10u", "+=C_A -=B_B"),
                           part("C2", "electrolytic capacitor", "10u", "+=C_B -=B_A"),
                           part("Q1", "NPN transistor", "", "base=B_A collector=C_A emitter=GND"),
                           part("Q2", "NPN transistor", "", "base=B_B collector=C_B emitter=GND")},
                          {},
                          catalogue());
}

Circuit example(const std::string& name) {
    const std::string file = fmt::format("{}/examples/{}/dossier.toml", ETCHBACK_SOURCE_DIR, name);
    const auto dossier = dossier::read(text_of(file), file, catalogue());
    EXPECT_TRUE(static_cast<bool>(dossier)) << file;
    return circuit::build(*dossier, catalogue());
}

Drawing drawn(const Circuit& circuit, Standard standard = Standard::iec) {
    Options options;
    options.standard = standard;
    return draw(circuit, circuit::domains(circuit), options);
}

void expect_right(const Circuit& circuit, Standard standard = Standard::iec) {
    const Drawing drawing = drawn(circuit, standard);
    const DrawingFigures found = figures(drawing, circuit);
    EXPECT_EQ(found.overlaps, 0) << fmt::format("{}", fmt::join(found.overlap_list, "\n"));
    const auto nets = nets_from_svg(to_svg(drawing, circuit));
    ASSERT_TRUE(static_cast<bool>(nets));
    EXPECT_EQ(*nets, nets_of(circuit));
}

double middle_x(const Drawing& drawing, const Circuit& circuit, const std::string& name) {
    const PlacedPart& p = drawing.parts[static_cast<std::size_t>(circuit.part(name)->index)];
    return p.at.x + (p.symbol.box.left + p.symbol.box.right) / 2.0;
}

Point pin_at(const Drawing& drawing, const Circuit& circuit, const std::string& name, int pin) {
    const PlacedPart& p = drawing.parts[static_cast<std::size_t>(circuit.part(name)->index)];
    for (const SymbolPin& s : p.symbol.pins) {
        if (s.pin == pin) {
            return {p.at.x + s.at.x, p.at.y + s.at.y};
        }
    }
    return {};
}

TEST(Layout, OfACapacitiveDropperLampIsRight) {
    expect_right(dropper_lamp());
}
TEST(Layout, OfAMultivibratorIsRight) {
    expect_right(multivibrator());
}
TEST(Layout, OfTheHenhouseLampIsRight) {
    expect_right(example("henhouse-lamp"));
}
TEST(Layout, OfTheSewingAdapterIsRight) {
    expect_right(example("sewing-adapter"));
}
TEST(Layout, OfTheSeedlingDriverIsRight) {
    expect_right(example("seedling-driver"));
}

TEST(Layout, WithAnsiSymbolsIsRight) {
    expect_right(example("henhouse-lamp"), Standard::ansi);
    expect_right(example("sewing-adapter"), Standard::ansi);
}

TEST(Layout, OfNothingIsEmpty) {
    const Circuit circuit;
    EXPECT_TRUE(drawn(circuit).parts.empty());
}

TEST(Layout, OfASinglePartWithoutNetsIsRight) {
    expect_right(circuit::build({part("R1", "resistor", "1k", "")}, {}, catalogue()));
}

TEST(Layout, OfPartsOnOneNetAloneIsRight) {
    expect_right(circuit::build(
        {part("R1", "resistor", "1k", "1=A 2=A"), part("C1", "ceramic capacitor", "1n", "1=A 2=A")},
        {},
        catalogue()));
}

TEST(Layout, GoesFromMainsAtTheLeftToTheLoadAtTheRight) {
    for (const char* name : {"henhouse-lamp", "seedling-driver"}) {
        const Circuit circuit = example(name);
        const Drawing drawing = drawn(circuit);
        const double source = middle_x(drawing, circuit, "J1");
        const double load = middle_x(drawing, circuit, "LED1");
        EXPECT_LT(source, drawing.width * 0.3) << name;
        EXPECT_GT(load, drawing.width * 0.6) << name;
    }
}

// Mains side: the source before all else; beyond the isolation: the load after all else.
TEST(Layout, HasNothingLeftOfTheMainsAndNothingRightOfTheLoads) {
    const std::map<std::string, std::vector<std::string>> loads{{"henhouse-lamp", {"J2", "LED1"}},
                                                                {"sewing-adapter", {"J2", "M1"}},
                                                                {"seedling-driver", {"LED1"}}};
    for (const auto& [name, last] : loads) {
        const Circuit circuit = example(name);
        const Drawing drawing = drawn(circuit);
        for (const circuit::Part& p : circuit.parts) {
            const double x = middle_x(drawing, circuit, p.name);
            if (p.name != "J1") {
                EXPECT_LT(middle_x(drawing, circuit, "J1"), x) << name << " " << p.name;
            }
            if (std::find(last.begin(), last.end(), p.name) == last.end()) {
                for (const std::string& load : last) {
                    EXPECT_LT(x, middle_x(drawing, circuit, load)) << name << " " << p.name;
                }
            }
        }
    }
}

TEST(Layout, HasTheFuseRightOfTheMains) {
    const Circuit circuit = dropper_lamp();
    const Drawing drawing = drawn(circuit);
    for (const char* name : {"F1", "R1", "C1", "BR1"}) {
        EXPECT_LT(pin_at(drawing, circuit, "J1", 0).x, pin_at(drawing, circuit, name, 0).x) << name;
    }
}

TEST(Layout, PutsThePlusOfACapacitorOverItsMinus) {
    const Circuit circuit = dropper_lamp();
    const Drawing drawing = drawn(circuit);
    EXPECT_LT(pin_at(drawing, circuit, "C2", 0).y, pin_at(drawing, circuit, "C2", 1).y);
}

TEST(Layout, PutsTheDomainsOnEitherSideOfTheIsolationLine) {
    const Circuit circuit = example("sewing-adapter");
    const circuit::Domains domains = circuit::domains(circuit);
    const Drawing drawing = draw(circuit, domains);
    ASSERT_EQ(drawing.isolation.size(), 1U);
    const double line = drawing.isolation[0].points[0].x;
    for (const PlacedPart& p : drawing.parts) {
        bool primary = false;
        bool secondary = false;
        for (const circuit::Pin& pin : circuit[p.part].pins) {
            if (pin.net.known()) {
                const auto& domain = domains.domains[static_cast<std::size_t>(domains.of(pin.net))];
                const bool mains = domain.nature == circuit::Domain::Nature::mains;
                primary = primary || mains;
                secondary = secondary || !mains;
            }
        }
        const double left = p.at.x + p.symbol.box.left;
        const double right = p.at.x + p.symbol.box.right;
        const std::string& name = circuit[p.part].name;
        if (primary && secondary) {
            EXPECT_TRUE(left < line && line < right) << name;
        } else {
            EXPECT_TRUE(primary ? right < line : left > line) << name;
        }
    }
    for (const NetSign& sign : drawing.signs) {
        EXPECT_TRUE(sign.box.right < line || sign.box.left > line) << circuit[sign.net].name;
    }
}

TEST(Layout, JoinsNoFourWiresInOnePoint) {
    const Circuit circuit = example("sewing-adapter");
    for (const Wire& wire : drawn(circuit).wires) {
        for (const Point& dot : wire.dots) {
            int arms = 0;
            for (const Segment& s : wire.segments) {
                const bool level = s.a.y == s.b.y;
                const bool on = level ? s.a.y == dot.y && std::min(s.a.x, s.b.x) <= dot.x &&
                                            dot.x <= std::max(s.a.x, s.b.x)
                                      : s.a.x == dot.x && std::min(s.a.y, s.b.y) <= dot.y &&
                                            dot.y <= std::max(s.a.y, s.b.y);
                arms += !on ? 0 : s.a == dot || s.b == dot ? 1 : 2;
            }
            EXPECT_EQ(arms, 3) << circuit[wire.net].name;
        }
    }
}

TEST(Layout, StaysWithinTheDrawing) {
    const Drawing drawing = drawn(example("sewing-adapter"));
    for (const Label& label : drawing.labels) {
        EXPECT_GE(label.box.left, 0.0) << label.text;
        EXPECT_GE(label.box.top, 0.0) << label.text;
        EXPECT_LE(label.box.right, drawing.width) << label.text;
        EXPECT_LE(label.box.bottom, drawing.height) << label.text;
    }
}

// A board by another hand; see its README for author and licence.
TEST(Layout, OfARealPowerBoardIsRight) {
    std::filesystem::path found;
    for (auto up = std::filesystem::path(ETCHBACK_SOURCE_DIR); up.has_relative_path();
         up = up.parent_path()) {
        if (std::filesystem::exists(up / "shared/boards/power-distribution")) {
            found = up / "shared/boards/power-distribution";
            break;
        }
    }
    if (found.empty()) {
        GTEST_SKIP() << "the board's files are not here";
    }
    const auto dossier = dossier::from_tables(text_of(found / "truth/nets.csv"),
                                              "nets.csv",
                                              text_of(found / "parts.csv"),
                                              "parts.csv",
                                              catalogue());
    ASSERT_TRUE(static_cast<bool>(dossier));
    const Circuit circuit = circuit::build(*dossier, catalogue());
    EXPECT_GE(circuit.parts.size(), 60U);
    expect_right(circuit);
}

}  // namespace
}  // namespace etchback::drawing
