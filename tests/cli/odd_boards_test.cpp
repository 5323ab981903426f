// Two invented boards that no example resembles, through the commands as their owner would use
// them; and what check says of the evidence around a circuit.
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <unistd.h>

#include <filesystem>
#include <map>
#include <nlohmann/json.hpp>
#include <sstream>

#include "base/file.h"
#include "cli/run.h"

namespace etchback::cli {
namespace {

namespace fs = std::filesystem;
using testing::ElementsAre;
using testing::HasSubstr;

const fs::path boards = fs::path(ETCHBACK_SOURCE_DIR) / "tests/data/dossiers";

struct Ran {
    int status = 0;
    std::string out;
    std::string err;
};

Ran etchback(const std::vector<std::string>& arguments) {
    std::ostringstream out;
    std::ostringstream err;
    const int status = run(arguments, out, err);
    return {status, out.str(), err.str()};
}

class OddBoard : public testing::Test {
protected:
    OddBoard() {
        std::string name = (fs::temp_directory_path() / "etchback-odd-XXXXXX").string();
        folder_ = ::mkdtemp(name.data());
    }
    ~OddBoard() override { fs::remove_all(folder_); }

    std::vector<std::string> findings(const std::string& board) const {
        const Ran ran = etchback({"report",
                                  (boards / board).string(),
                                  "-o",
                                  (folder_ / "out").string(),
                                  "--json",
                                  "--no-simulation"});
        EXPECT_EQ(ran.status, done) << ran.err;
        std::vector<std::string> ids;
        const auto report = nlohmann::json::parse(ran.out);
        for (const auto& finding : report["findings"]) {
            ids.push_back(finding["id"]);
        }
        return ids;
    }

    Ran check(const std::string& text) const {
        base::write_file_atomically(folder_ / "dossier.toml",
                                    "format = 1\n[item]\nname = \"x\"\n" + text);
        return etchback({"check", folder_.string()});
    }

    fs::path folder_;
};

void expect_in_order_and_drawn_without_overlaps(const std::string& board) {
    const Ran checked = etchback({"check", (boards / board).string()});
    EXPECT_EQ(checked.status, done);
    EXPECT_EQ(checked.err, "");
    const Ran drawn = etchback({"draw", (boards / board).string(), "--json"});
    ASSERT_EQ(drawn.status, done) << drawn.err;
    EXPECT_EQ(nlohmann::json::parse(drawn.out)["overlaps"], 0);
}

TEST_F(OddBoard, ChargerWithARingingChokeIsInOrderAndDrawn) {
    expect_in_order_and_drawn_without_overlaps("stall-charger");
}

TEST_F(OddBoard, DimmerOnDirectVoltageIsInOrderAndDrawn) {
    expect_in_order_and_drawn_without_overlaps("caravan-dimmer");
}

// Its capacitor across the insulation is a plain one, and one 1206 between rail and base starts it.
// The fusible resistor is its fuse.
TEST_F(OddBoard, ChargerHasItsTwoFaultsAndNoOtherFinding) {
    EXPECT_THAT(findings("stall-charger"),
                ElementsAre("y_position_class.C6", "resistor_over_voltage.R2"));
}

// By hand: 150/8 turns reflect (5 V + 0.5 V) as 103.1 V, half as much is allowed for the spike, so
// the collector reaches 339.4 V (240 V, the label's limit) + 154.7 V; 100 kΩ at 154.7 V take 239
// mW. The negative rail of the feedback winding, on the mains side, is no output that the label
// speaks of.
TEST_F(OddBoard, ChargerReflectsItsLabelsOutputAndNotTheRailOfItsFeedbackWinding) {
    const Ran ran =
        etchback({"report", (boards / "stall-charger").string(), "--json", "--no-simulation"});
    ASSERT_EQ(ran.status, done) << ran.err;
    std::map<std::string, nlohmann::json> figures;
    const auto report = nlohmann::json::parse(ran.out);
    for (const auto& figure : report["figures"]) {
        figures[figure["id"]] = figure;
    }
    ASSERT_TRUE(figures.contains("voltage.COLL.EMIT") && figures.contains("dissipation.R6"));
    EXPECT_NEAR(figures["voltage.COLL.EMIT"]["value"], 494.1, 0.5);
    EXPECT_NEAR(figures["dissipation.R6"]["value"], 0.239, 0.0005);
    EXPECT_THAT(figures["voltage.HV+.L_F"]["worked"], HasSubstr(" - (-339.4"));
}

// Its label allows 24 V, its input capacitor 16 V. Nothing of the mains is found on it.
TEST_F(OddBoard, DimmersCapacitorIsBelowWhatItsLabelAllows) {
    EXPECT_THAT(findings("caravan-dimmer"), ElementsAre("capacitor_over_voltage.C1"));
}

constexpr const char* divider =
    "[parts.J1]\nkind = \"mains\"\npins = { L = \"L\", N = \"N\" }\n"
    "[parts.R1]\nkind = \"resistor\"\nvalue = \"1k\"\npins = { 1 = \"L\", 2 = \"N\" }\n";

TEST_F(OddBoard, CheckTellsOfPhotosAndWaveformsThatAreNotThere) {
    base::write_file_atomically(folder_ / "top.jpg", "a picture");
    const Ran ran = check(std::string(divider) +
                          "[[photos]]\nfile = \"top.jpg\"\n[[photos]]\nfile = \"bottom.jpg\"\n"
                          "[[waveforms]]\nfile = \"waves/drain.csv\"\n");
    EXPECT_EQ(ran.status, done) << "they may come yet";
    EXPECT_THAT(ran.err, HasSubstr("dossier.toml:14:8: photo 2: the file 'bottom.jpg' is not"));
    EXPECT_THAT(ran.err, HasSubstr("dossier.toml:16:8: waveform 1: the file 'waves/drain.csv'"));
    EXPECT_THAT(ran.err, Not(HasSubstr("top.jpg")));
    const Ran json = etchback({"check", folder_.string(), "--json"});
    const auto complaints = nlohmann::json::parse(json.out)["complaints"];
    ASSERT_EQ(complaints.size(), 2U);
    EXPECT_EQ(complaints[0]["kind"], "file_missing");
    EXPECT_EQ(complaints[0]["line"], 14);
    EXPECT_TRUE(complaints[0]["doubtful"]);
}

TEST_F(OddBoard, CheckTellsOfASupplyThatReachesNoPart) {
    const std::string circuit =
        "[supply]\nkind = \"dc\"\nvoltage = \"12 V\"\n"
        "[parts.R1]\nkind = \"resistor\"\nvalue = \"1k\"\npins = { 1 = \"A\", 2 = \"B\" }\n"
        "[parts.C1]\nkind = \"capacitor\"\nvalue = \"1n\"\npins = { 1 = \"A\", 2 = \"B\" }\n";
    const Ran without = check(circuit);
    EXPECT_THAT(without.err, HasSubstr("dossier.toml:6:11: supply: its voltage reaches no part"));
    EXPECT_THAT(without.err, HasSubstr("kind = \"DC supply\""));
    const std::string source =
        "[parts.J1]\nkind = \"DC supply\"\npins = { \"+\" = \"A\", \"-\" = \"B\" }\n";
    EXPECT_EQ(check(circuit + source).err, "");
    EXPECT_THAT(check(circuit + source + "fitted = false\n").err, HasSubstr("reaches no part"));
}

TEST_F(OddBoard, CheckSaysThatADossierHasNoPartsYet) {
    const Ran ran = check("");
    EXPECT_EQ(ran.status, done);
    EXPECT_THAT(ran.err, HasSubstr("the dossier has no parts yet"));
}

TEST_F(OddBoard, CheckCountsPlacesWithoutAPart) {
    const Ran ran = check(std::string(divider) +
                          "[parts.R2]\nkind = \"resistor\"\nfitted = false\n"
                          "pins = { 1 = \"L\", 2 = \"N\" }\n");
    EXPECT_THAT(ran.out, HasSubstr("in order, 2 parts, 1 place without a part, 2 nets\n"));
    const Ran json = etchback({"check", folder_.string(), "--json"});
    EXPECT_EQ(nlohmann::json::parse(json.out)["empty_places"], 1);
}

}  // namespace
}  // namespace etchback::cli
