// What each part is there for, against truth: examples, gallery, supplies put together at random.
#include "blocks/blocks.h"

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <toml++/toml.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <map>

#include "base/file.h"
#include "base/text.h"
#include "supplies.h"

namespace etchback::test {
namespace {

namespace fs = std::filesystem;

const blocks::PatternBook& book() {
    static const blocks::PatternBook loaded = [] {
        auto result = blocks::load_patterns({ETCHBACK_SOURCE_DIR "/data/blocks"});
        if (!result) {
            throw std::runtime_error(base::to_string(result.errors().front()));
        }
        return *std::move(result);
    }();
    return loaded;
}

struct Found {
    circuit::Circuit circuit;
    blocks::Blocks blocks;

    explicit Found(const dossier::Dossier& dossier)
        : circuit(circuit::build(dossier, catalogue())),
          blocks(blocks::find_blocks(circuit, circuit::domains(circuit), dossier, book())) {}

    std::vector<KnownBlock> known() const {
        std::vector<KnownBlock> all;
        for (const blocks::Block& block : blocks.blocks) {
            KnownBlock one{block.pattern, {}};
            for (const circuit::PartId part : block.parts()) {
                one.parts.insert(circuit[part].name);
            }
            all.push_back(std::move(one));
        }
        return all;
    }
    std::vector<std::string> unexplained() const {
        std::vector<std::string> names;
        for (const circuit::PartId part : blocks.unexplained) {
            names.push_back(circuit[part].name);
        }
        return names;
    }
    const blocks::Block* block(const std::string& pattern) const {
        for (const blocks::Block& b : blocks.blocks) {
            if (b.pattern == pattern) {
                return &b;
            }
        }
        return nullptr;
    }
};

dossier::Dossier example(const std::string& name) {
    auto result =
        dossier::read_folder(fs::path(ETCHBACK_SOURCE_DIR) / "examples" / name, catalogue());
    if (!result) {
        throw std::runtime_error(base::to_string(result.errors().front()));
    }
    return *std::move(result);
}

std::string text_of(const KnownBlock& block) {
    return block.pattern + " of " +
           base::listed(std::vector<std::string>(block.parts.begin(), block.parts.end()));
}

// The truth's words for a role, and those of the patterns that mean it.
const std::multimap<std::string, std::string>& meanings() {
    static const std::multimap<std::string, std::string> words = {
        {"mains", "mains entry"},
        {"fuse", "fuse"},
        {"fuse and inrush limiter", "fuse and surge resistor"},
        {"surge clamp", "surge protection"},
        {"mains filter", "X capacitor"},
        {"mains filter", "common-mode choke"},
        {"bleeder", "bleeder of the X capacitor"},
        {"bleeder", "bleeder of the bulk capacitor"},
        {"inrush limiter", "inrush limiter"},
        {"mains rectifier", "mains rectifier"},
        {"bulk", "bulk capacitor"},
        {"smoothing", "bulk capacitor"},
        {"input film capacitor", "film capacitor behind the bridge"},
        {"dropper", "dropper capacitor"},
        {"start-up", "start-up resistor"},
        {"clamp", "clamp resistor"},
        {"clamp", "clamp capacitor"},
        {"clamp", "clamp diode"},
        {"transformer", "transformer"},
        {"controller", "controller"},
        {"frequency", "sets the frequency"},
        {"auxiliary series resistor", "takes the peak off the auxiliary winding"},
        {"auxiliary rectifier", "rectifier of the auxiliary winding"},
        {"controller supply", "capacitor of the controller's supply"},
        {"compensation", "compensation"},
        {"gate drive", "gate resistor"},
        {"gate turn-off", "turns the gate off faster"},
        {"switch", "switch"},
        {"current sense", "current sense resistor"},
        {"current sense filter", "filter of the current sense"},
        {"feedback filter", "filter of the feedback"},
        {"feedback isolation", "carries the feedback across the barrier"},
        {"Y capacitor", "Y capacitor"},
        {"output rectifier", "output rectifier"},
        {"output snubber", "snubber"},
        {"output", "output capacitor"},
        {"output filter", "output filter"},
        {"minimum load", "minimum load"},
        {"optocoupler current", "current of the optocoupler's LED"},
        {"shunt regulator bias", "feeds the shunt regulator"},
        {"error amplifier", "shunt regulator"},
        {"output divider", "upper half of the output's divider"},
        {"output divider", "lower half of the output's divider"},
        {"output lead", "terminals"},
        {"lead to the load", "terminals"},
        {"LED series resistor", "limits the LEDs' current"},
        {"lead filter", "across the LEDs"},
        {"load", "load"},
    };
    return words;
}

TEST(Blocks, GiveEveryPartOfTheExamplesItsTrueRole) {
    for (const char* name : {"henhouse-lamp", "sewing-adapter", "seedling-driver"}) {
        const Found found(example(name));
        const toml::table truth = toml::parse_file(std::string(ETCHBACK_SOURCE_DIR) + "/examples/" +
                                                   name + "/truth.toml");
        const toml::table& roles = *truth["roles"].as_table();
        EXPECT_EQ(roles.size(), found.circuit.parts.size()) << name;
        for (std::size_t i = 0; i < found.circuit.parts.size(); ++i) {
            const std::string& part = found.circuit.parts[i].name;
            const std::string wanted = roles[part].value_or(std::string("nothing"));
            const std::string& told = found.blocks.roles[i].text;
            const auto [from, to] = meanings().equal_range(wanted);
            EXPECT_TRUE(
                std::any_of(from, to, [&](const auto& pair) { return pair.second == told; }))
                << name << ": " << part << " is '" << told << "', should be '" << wanted << "'";
        }
    }
}

TEST(Blocks, ExplainEveryPartOfTheGallery) {
    for (const auto& entry :
         fs::directory_iterator(fs::path(ETCHBACK_SOURCE_DIR) / "docs/gallery/circuits")) {
        const auto dossier = dossier::read_folder(entry.path(), catalogue());
        ASSERT_TRUE(dossier) << entry.path();
        const Found found(*dossier);
        EXPECT_THAT(found.unexplained(), testing::IsEmpty()) << entry.path();
    }
}

// The name of each classic must be among what is found in it, and named circuits' blocks are all.
TEST(Blocks, AreThoseThatTheGallerysTruthLists) {
    const toml::table truth =
        toml::parse_file(std::string(ETCHBACK_SOURCE_DIR) + "/tests/data/blocks/gallery.toml");
    int there = 0, found_there = 0, other = 0;
    for (const auto& [name, list] : truth) {
        const auto dossier =
            dossier::read_folder(fs::path(ETCHBACK_SOURCE_DIR) / "docs/gallery/circuits" /
                                     (std::string(name.str()) + ".toml"),
                                 catalogue());
        ASSERT_TRUE(dossier) << name;
        std::multiset<std::string> wanted, seen;
        for (const toml::node& pattern : *list.as_array()) {
            wanted.insert(*pattern.value<std::string>());
        }
        for (const KnownBlock& block : Found(*dossier).known()) {
            seen.insert(block.pattern);
        }
        there += static_cast<int>(wanted.size());
        for (const std::string& pattern : wanted) {
            const auto at = seen.find(pattern);
            if (at != seen.end()) {
                ++found_there;
                seen.erase(at);
            } else {
                ADD_FAILURE() << name << " has no " << pattern;
            }
        }
        other += static_cast<int>(seen.size());
        for (const std::string& pattern : seen) {
            ADD_FAILURE() << name << " is said to have " << pattern;
        }
    }
    EXPECT_EQ(found_there, there);
    EXPECT_EQ(other, 0);
}

int seeds() {
    const char* wanted = std::getenv("ETCHBACK_SEEDS");
    return wanted != nullptr ? std::atoi(wanted) : 300;
}

TEST(Blocks, OfRandomSuppliesAreFoundAndNoOthers) {
    struct Count {
        int there = 0, found = 0, other = 0;
    };
    std::map<std::string, Count> table;
    const int circuits = seeds();
    for (int seed = 1; seed <= circuits; ++seed) {
        const KnownSupply supply = random_supply(static_cast<unsigned>(seed));
        std::vector<KnownBlock> seen = Found(dossier_of(supply.board)).known();
        for (const KnownBlock& block : supply.blocks) {
            Count& count = table[block.pattern];
            ++count.there;
            const auto at = std::find(seen.begin(), seen.end(), block);
            if (at != seen.end()) {
                ++count.found;
                seen.erase(at);
            } else if (count.there - count.found < 3) {
                fmt::print("seed {}: no {}\n", seed, text_of(block));
            }
        }
        for (const KnownBlock& block : seen) {
            if (++table[block.pattern].other < 3) {
                fmt::print("seed {}: said to have {}\n", seed, text_of(block));
            }
        }
    }
    Count all;
    fmt::print("{:28}{:>8}{:>8}{:>8}\n", "block", "there", "found", "other");
    for (const auto& [pattern, count] : table) {
        fmt::print("{:28}{:8}{:8}{:8}\n", pattern, count.there, count.found, count.other);
        all.there += count.there;
        all.found += count.found;
        all.other += count.other;
    }
    fmt::print("{:28}{:8}{:8}{:8}\n", "all", all.there, all.found, all.other);
    EXPECT_GE(all.found, 0.98 * all.there);
    EXPECT_LE(all.other, 0.01 * circuits);
}

TEST(Blocks, AreTheSameWhateverTheOrderOfParts) {
    for (unsigned seed = 1; seed <= 5; ++seed) {
        const KnownSupply supply = random_supply(seed);
        const auto first = Found(dossier_of(supply.board)).known();
        for (unsigned shuffle = 1; shuffle <= 20; ++shuffle) {
            Board board = supply.board;
            EXPECT_EQ(Found(dossier_of(board.shuffle(shuffle))).known(), first);
        }
    }
}

TEST(Blocks, TellAClampWithoutItsDiode) {
    Board board = flyback();
    board.with("R20", "kind = \"resistor\"\nvalue = \"100k\"\npins = { 1 = \"HV+\", 2 = \"CL\" }");
    board.with("C20",
               "kind = \"ceramic capacitor\"\nvalue = \"2n2\"\npins = { 1 = \"HV+\", 2 = \"CL\" }");
    const Found without(dossier_of(board));
    const blocks::Block* clamp = without.block("rcd_clamp");
    ASSERT_NE(clamp, nullptr);
    EXPECT_FALSE(clamp->exact);
    EXPECT_THAT(clamp->remarks, testing::Contains(testing::HasSubstr("without its diode")));
    board.with("D20", "kind = \"diode\"\npins = { anode = \"DRAIN\", cathode = \"CL\" }");
    const Found whole(dossier_of(board));
    ASSERT_NE(whole.block("rcd_clamp"), nullptr);
    EXPECT_TRUE(whole.block("rcd_clamp")->exact);
    EXPECT_THAT(whole.block("rcd_clamp")->remarks, testing::IsEmpty());
}

TEST(Blocks, TellAStartUpResistorThatIsAlone) {
    Board board = flyback();
    EXPECT_THAT(Found(dossier_of(board)).block("startup_resistor")->remarks, testing::IsEmpty());
    board.without("R4").with(
        "R3", "kind = \"resistor\"\nvalue = \"1M\"\npins = { 1 = \"HV+\", 2 = \"VCC\" }");
    EXPECT_THAT(Found(dossier_of(board)).block("startup_resistor")->remarks,
                testing::ElementsAre(testing::HasSubstr("R3 is alone")));
}

TEST(Blocks, LeavePartsThatNoPatternHoldsUnexplained) {
    Board board = flyback();
    board.with("X1", "kind = \"unknown\"\npins = { 1 = \"HV+\", 2 = \"OA\" }");
    EXPECT_THAT(Found(dossier_of(board)).unexplained(), testing::ElementsAre("X1"));
}

TEST(Blocks, GiveTheLedCurrentOfTheSeedlingDriver) {
    const Found found(example("seedling-driver"));
    const blocks::Block* flyback = found.block("flyback");
    ASSERT_NE(flyback, nullptr);
    const auto at = std::find_if(
        flyback->figures.begin(), flyback->figures.end(), [](const blocks::BlockFigure& f) {
            return f.figure.id.rfind("led_current", 0) == 0;
        });
    ASSERT_NE(at, flyback->figures.end());
    EXPECT_NEAR(at->figure.value, 0.349, 0.0005);  // truth.toml: 120/50 x 0.3 V / (2 x 1.031 ohm)
    EXPECT_LT(at->low, 0.349);
    EXPECT_GT(at->high, 0.349);
}

std::optional<double> figure_of(const Found& found, const std::string& id) {
    for (const blocks::Block& block : found.blocks.blocks) {
        for (const blocks::BlockFigure& figure : block.figures) {
            if (figure.figure.id.starts_with(id + ".")) {
                return figure.figure.value;
            }
        }
    }
    return std::nullopt;
}

Found gallery_circuit(const std::string& name) {
    const fs::path file =
        fs::path(ETCHBACK_SOURCE_DIR) / "docs/gallery/circuits" / (name + ".toml");
    return Found(*dossier::read(base::read_file(file), file.string(), catalogue()));
}

TEST(Blocks, CountAFigureOnlyWhereItsNetIsWhatItIsFor) {
    // A push-pull at a 12 V battery; a half-bridge on a bus of 320 V.
    EXPECT_NEAR(
        figure_of(gallery_circuit("push-pull"), "switch_voltage").value_or(0.0), 24.0, 1e-9);
    EXPECT_NEAR(figure_of(gallery_circuit("half-bridge"), "half").value_or(0.0), 160.0, 1e-9);
    // Doublers: at the mains, and behind a transformer, where twice the mains would be wrong.
    EXPECT_TRUE(figure_of(gallery_circuit("full-wave-doubler"), "doubled"));
    Board board;
    board.with("J1", "kind = \"connector\"\npins = { L = \"L\", N = \"N\" }");
    board.with("T1",
               "kind = \"transformer\"\nwindings = [{ name = \"primary\", pins = [\"1\", \"2\"], "
               "turns = 2300 }, { name = \"secondary\", pins = [\"3\", \"4\"], turns = 90 }]\n"
               "pins = { 1 = \"L\", 2 = \"N\", 3 = \"S\", 4 = \"GND\" }");
    board.with("C1", "kind = \"capacitor\"\nvalue = \"47u\"\npins = { 1 = \"S\", 2 = \"X\" }");
    board.with("D1", "kind = \"diode\"\npins = { anode = \"GND\", cathode = \"X\" }");
    board.with("D2", "kind = \"diode\"\npins = { anode = \"X\", cathode = \"OUT\" }");
    board.with("C2", "kind = \"capacitor\"\nvalue = \"47u\"\npins = { 1 = \"OUT\", 2 = \"GND\" }");
    const Found behind(dossier_of(board));
    ASSERT_NE(behind.block("half_wave_doubler"), nullptr);
    EXPECT_FALSE(figure_of(behind, "doubled"));
}

TEST(Blocks, SayWhereTheConditionOfAFigureIsWrong) {
    const fs::path folder = fs::temp_directory_path() / "etchback-when";
    fs::create_directories(folder);
    std::ofstream(folder / "a.toml") << R"([[stage]]
id = "s"
title = "S"
[[pattern]]
id = "p"
title = "p"
stage = "s"
source = "test"
[[pattern.slot]]
as = "R"
kind = "resistor"
pins = { 1 = "a", 2 = "b" }
role = "r"
[[pattern.figure]]
id = "f"
title = "f"
formula = "R"
source = "test"
when = "a is nowhere"
)";
    const auto book = blocks::load_patterns({folder});
    fs::remove_all(folder);
    ASSERT_FALSE(book);
    ASSERT_EQ(book.errors().size(), 1U);
    EXPECT_THAT(base::to_string(book.errors().front()), testing::HasSubstr("a.toml:19:8"));
    EXPECT_THAT(book.errors().front().what, testing::HasSubstr("'a is nowhere'"));
}

}  // namespace
}  // namespace etchback::test
