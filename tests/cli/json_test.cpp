// What the commands print with --json, held to the tables of docs/json.md.
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <unistd.h>

#include <cstdlib>

#include "cli/run.h"
#include "report/json_schema.h"

namespace etchback::cli {
namespace {

namespace fs = std::filesystem;
using report::Json;
using report::Schema;
using report::Walk;

const fs::path kRoot = ETCHBACK_SOURCE_DIR;

class CommandJson : public testing::Test {
protected:
    CommandJson() {
        std::string name = (fs::temp_directory_path() / "etchback-json-XXXXXX").string();
        folder_ = ::mkdtemp(name.data());
    }
    ~CommandJson() override { fs::remove_all(folder_); }

    // Runs a command and walks what it prints along the schema.
    Json printed(std::vector<std::string> arguments, const std::string& type) {
        arguments.push_back("--json");
        std::ostringstream out;
        std::ostringstream err;
        run(arguments, out, err);
        const Json json = Json::parse(out.str(), nullptr, false);
        EXPECT_FALSE(json.is_discarded()) << out.str() << err.str();
        walk_.object(json, type, arguments.front() + " " + arguments.back());
        EXPECT_THAT(walk_.complaints, testing::IsEmpty());
        return json;
    }

    // Keys of the documented objects that no output has held so far.
    std::vector<std::string> never_met(const std::vector<std::string>& objects) const {
        std::vector<std::string> never;
        for (const std::string& object : objects) {
            for (const auto& [key, described] : schema_.at(object)) {
                if (walk_.met.count(object + "." + key) == 0) {
                    never.push_back(object + "." + key);
                }
            }
        }
        return never;
    }

    std::string dossier_with(const std::string& toml) {
        base::write_file_atomically(folder_ / "dossier.toml", toml);
        return folder_.string();
    }

    fs::path folder_;
    const Schema schema_ = report::documented(kRoot);
    Walk walk_{schema_};
};

TEST_F(CommandJson, NewNamesTheFileThatItMade) {
    const std::string folder = (folder_ / "fresh").string();
    const Json json = printed({"new", folder}, "new");
    EXPECT_TRUE(fs::exists(json["file"].get<std::string>()));
    EXPECT_THAT(never_met({"new"}), testing::IsEmpty());
}

TEST_F(CommandJson, CheckTellsErrorsAndComplaints) {
    EXPECT_EQ(printed({"check", (kRoot / "examples/henhouse-lamp").string()}, "check")["in_order"],
              true);
    const Json broken = printed(
        {"check", dossier_with("format = 1\n[item]\nname = \"x\"\nmakr = \"y\"\n")}, "check");
    EXPECT_EQ(broken["in_order"], false);
    EXPECT_EQ(broken["errors"][0]["line"], 4);
    const Json lone =
        printed({"check",
                 dossier_with("format = 1\n[item]\nname = \"x\"\n[parts.R1]\nkind = \"resistor\"\n"
                              "pins = { 1 = \"A\", 2 = \"A\" }\n")},
                "check");
    EXPECT_EQ(lone["complaints"][0]["parts"], Json::array({"R1"}));
    EXPECT_THAT(never_met({"check", "check error", "check complaint"}), testing::IsEmpty());
}

TEST_F(CommandJson, CircuitTellsPartsNetsAndDomains) {
    const Json json = printed({"circuit", (kRoot / "examples/sewing-adapter").string()}, "circuit");
    EXPECT_EQ(json["domains"][0]["nature"], "mains");
    printed({"circuit",
             dossier_with("format = 1\n[item]\nname = \"x\"\n[parts.R1]\nkind = \"resistor\"\n")},
            "circuit");
    EXPECT_THAT(never_met({"circuit",
                           "circuit part",
                           "circuit net",
                           "circuit domain",
                           "bridge",
                           "circuit reduction"}),
                testing::IsEmpty());
}

TEST_F(CommandJson, DrawTellsTheFiguresOfTheDrawing) {
    const Json json = printed({"draw", (kRoot / "examples/henhouse-lamp").string()}, "drawing");
    EXPECT_EQ(json["overlaps"], 0);
    std::vector<std::string> never = never_met({"drawing"});
    EXPECT_THAT(never, testing::IsEmpty());
}

TEST_F(CommandJson, ReportPrintsTheReport) {
    printed({"report", (kRoot / "examples/henhouse-lamp").string(), "-o", folder_.string()},
            "report");
}

}  // namespace
}  // namespace etchback::cli
