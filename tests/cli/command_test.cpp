// The command, run in process as a person would type it.
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <unistd.h>

#include <cstdlib>
#include <filesystem>
#include <nlohmann/json.hpp>
#include <regex>
#include <set>
#include <sstream>

#include "base/file.h"
#include "cli/run.h"

namespace etchback::cli {
namespace {

namespace fs = std::filesystem;
using testing::HasSubstr;
using testing::StartsWith;

const fs::path kSource = ETCHBACK_SOURCE_DIR;
const std::vector<std::string> kCommands = {"new",
                                            "check",
                                            "report",
                                            "circuit",
                                            "explain",
                                            "compare",
                                            "draw",
                                            "simulate",
                                            "faults",
                                            "spread"};

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

class Command : public testing::Test {
protected:
    Command() {
        std::string name = (fs::temp_directory_path() / "etchback-cli-XXXXXX").string();
        folder_ = ::mkdtemp(name.data());
    }
    ~Command() override { fs::remove_all(folder_); }
    std::string path(const std::string& name) const { return (folder_ / name).string(); }
    fs::path folder_;
};

const std::string kLamp = (kSource / "examples/henhouse-lamp").string();

TEST_F(Command, WithoutWordsOrWithWrongOnesIsWrongUsage) {
    EXPECT_EQ(etchback({}).status, wrong_usage);
    const Ran misspelt = etchback({"chek", "x"});
    EXPECT_EQ(misspelt.status, wrong_usage);
    EXPECT_THAT(misspelt.err, HasSubstr("did you mean 'check'?"));
    const Ran strange = etchback({"--data", "d", "photograph"});
    EXPECT_EQ(strange.status, wrong_usage);
    EXPECT_THAT(strange.err, HasSubstr("the commands are new, check"));
    const Ran option = etchback({"check", "--jsn", "x"});
    EXPECT_EQ(option.status, wrong_usage);
    EXPECT_THAT(option.err, HasSubstr("see etchback check --help"));
    EXPECT_EQ(etchback({"check"}).status, wrong_usage);
    EXPECT_EQ(etchback({"draw", "x", "--symbols", "dots"}).status, wrong_usage);
    EXPECT_EQ(etchback({"draw", "x", "--width", "0"}).status, wrong_usage);
    EXPECT_EQ(etchback({"new", path("d"), "--nets", "n.csv"}).status, wrong_usage);
}

TEST_F(Command, HelpTeachesByExamples) {
    const Ran help = etchback({"--help"});
    EXPECT_EQ(help.status, done);
    EXPECT_THAT(help.out, HasSubstr("Examples:"));
    EXPECT_THAT(help.out, HasSubstr("an aid, no certificate"));
    for (const std::string& command : kCommands) {
        const Ran own = etchback({command, "--help"});
        EXPECT_EQ(own.status, done) << command;
        EXPECT_THAT(own.out, HasSubstr("Examples:\n  etchback " + command)) << command;
    }
    EXPECT_THAT(etchback({"--version"}).out, StartsWith("etchback "));
}

std::set<std::string> long_options(const std::string& help) {
    const std::regex option("--[a-z][a-z-]*");
    // Only the list of options: the examples below it mention others' words.
    const std::string list = help.substr(0, help.find("Examples:"));
    return {std::sregex_token_iterator(list.begin(), list.end(), option),
            std::sregex_token_iterator()};
}

TEST_F(Command, ManPageAndCompletionsKnowEveryCommandAndOption) {
    const std::string man = base::read_file(kSource / "docs/etchback.1");
    const std::string bash = base::read_file(kSource / "completions/etchback.bash");
    const std::string zsh = base::read_file(kSource / "completions/_etchback");
    const std::string fish = base::read_file(kSource / "completions/etchback.fish");
    for (const std::string& command : kCommands) {
        EXPECT_THAT(man, HasSubstr(".BI " + command + " "));
        for (const std::string& text : {bash, zsh, fish}) {
            EXPECT_THAT(text, HasSubstr(command));
        }
        for (const std::string& option : long_options(etchback({command, "--help"}).out)) {
            std::string in_man;
            for (const char c : option) {
                in_man += c == '-' ? "\\-" : std::string(1, c);
            }
            EXPECT_THAT(man, HasSubstr(in_man)) << command;
            EXPECT_THAT(bash, HasSubstr(option)) << command;
            EXPECT_THAT(zsh, HasSubstr(option)) << command;
            EXPECT_THAT(fish, HasSubstr("-l " + option.substr(2))) << command;
        }
    }
}

TEST_F(Command, NewMakesADossierOnceAndNeverOverwritesIt) {
    const Ran made = etchback({"new", path("lamp"), "--name", "Lamp from the \"shed\""});
    ASSERT_EQ(made.status, done) << made.err;
    const std::string text = base::read_file(folder_ / "lamp/dossier.toml");
    EXPECT_THAT(text, HasSubstr("Lamp from the \\\"shed\\\""));
    const Ran again = etchback({"new", path("lamp")});
    EXPECT_EQ(again.status, not_in_order);
    EXPECT_THAT(again.err, HasSubstr("already there"));
    EXPECT_EQ(base::read_file(folder_ / "lamp/dossier.toml"), text);
}

TEST_F(Command, NewTakesTheFoldersNameWhereNoneIsGiven) {
    ASSERT_EQ(etchback({"new", path("attic-fan") + "/"}).status, done);
    EXPECT_THAT(base::read_file(folder_ / "attic-fan/dossier.toml"), HasSubstr("\"attic-fan\""));
}

TEST_F(Command, NewFromTablesChecksAndDraws) {
    base::write_file_atomically(folder_ / "n.csv",
                                "net,part,pin\nIN,J1,1\nIN,R1,1\nOUT,R1,2\nOUT,C1,1\nGND,C1,2\n"
                                "GND,J1,2\n");
    base::write_file_atomically(folder_ / "p.csv",
                                "part,value,body\nR1,4k7,0805\nC1,100n,0805\nJ1,DC in,terminal\n");
    const Ran made =
        etchback({"new", path("rc"), "--nets", path("n.csv"), "--parts", path("p.csv")});
    ASSERT_EQ(made.status, done) << made.err;
    const Ran checked = etchback({"check", path("rc")});
    EXPECT_EQ(checked.status, done) << checked.err;
    EXPECT_THAT(checked.out, HasSubstr("3 parts and 3 nets"));
    EXPECT_EQ(etchback({"draw", path("rc"), "-o", path("rc.svg")}).status, done);
}

TEST_F(Command, NewFromFaultyTablesTellsEveryFaultAndWritesNothing) {
    base::write_file_atomically(folder_ / "n.csv", "net,part,pin\nIN,R1,1\nIN,R2,1\n");
    base::write_file_atomically(folder_ / "p.csv", "part,value,body\nR1,4k7,0805\nR3,1k,0805\n");
    const Ran made =
        etchback({"new", path("bad"), "--nets", path("n.csv"), "--parts", path("p.csv")});
    EXPECT_EQ(made.status, not_in_order);
    EXPECT_THAT(made.err, HasSubstr("R2"));
    EXPECT_THAT(made.err, HasSubstr("R3"));
    EXPECT_FALSE(fs::exists(folder_ / "bad"));
}

TEST_F(Command, CheckTellsEveryFaultWithItsPlace) {
    base::write_file_atomically(
        folder_ / "dossier.toml",
        "format = 1\n[item]\nname = \"x\"\n[parts.R1]\nkind = \"resister\"\n"
        "vlaue = \"4k7\"\npins = { 1 = \"a\", 2 = \"b\" }\n");
    const Ran checked = etchback({"check", folder_.string()});
    EXPECT_EQ(checked.status, not_in_order);
    EXPECT_THAT(checked.err, HasSubstr("dossier.toml:5:8: "));
    EXPECT_THAT(checked.err, HasSubstr("dossier.toml:6:1: "));
    const Ran json = etchback({"check", folder_.string(), "--json"});
    EXPECT_EQ(json.status, not_in_order);
    const auto document = nlohmann::json::parse(json.out);
    EXPECT_FALSE(document["in_order"]);
    EXPECT_EQ(document["errors"][0]["line"], 5);
}

TEST_F(Command, OnAFileThatIsNotThereSaysWhichOne) {
    for (const char* command : {"check",
                                "report",
                                "circuit",
                                "explain",
                                "compare",
                                "draw",
                                "simulate",
                                "faults",
                                "spread"}) {
        const Ran ran = etchback({command, path("nowhere")});
        EXPECT_EQ(ran.status, not_in_order) << command;
        EXPECT_THAT(ran.err, HasSubstr("nowhere")) << command;
    }
}

TEST_F(Command, WithoutItsTablesSaysWhereToNameThem) {
    const Ran ran = etchback({"--data", path("none"), "check", kLamp});
    EXPECT_EQ(ran.status, not_in_order);
    EXPECT_THAT(ran.err, HasSubstr("none"));
}

TEST_F(Command, CircuitShowsDomainsAndTheirBridges) {
    const std::string adapter = (kSource / "examples/sewing-adapter").string();
    const Ran ran = etchback({"circuit", adapter});
    ASSERT_EQ(ran.status, done) << ran.err;
    EXPECT_THAT(ran.out, HasSubstr("  mains (0 V is HV-)"));
    EXPECT_THAT(ran.out, HasSubstr("optocoupler"));
    const auto json = nlohmann::json::parse(etchback({"circuit", adapter, "--json"}).out);
    EXPECT_GE(json["domains"].size(), 2U);
    EXPECT_GE(json["bridges"].size(), 3U) << "transformer, optocoupler, capacitor";
    EXPECT_GE(json["parts"].size(), 35U);
}

TEST_F(Command, DrawWritesEachKindOfFileByItsEnding) {
    const Ran ran =
        etchback({"draw", kLamp, "-o", path("a.svg"), "-o", path("a.PDF"), "-o", path("a.png")});
    ASSERT_EQ(ran.status, done) << ran.err;
    EXPECT_THAT(base::read_file(folder_ / "a.svg"), HasSubstr("<svg"));
    EXPECT_THAT(base::read_file(folder_ / "a.PDF"), StartsWith("%PDF-"));
    EXPECT_THAT(base::read_file(folder_ / "a.png"), StartsWith("\x89PNG"));
    const Ran odd = etchback({"draw", kLamp, "-o", path("a.gif")});
    EXPECT_EQ(odd.status, wrong_usage);
    EXPECT_THAT(odd.err, HasSubstr(".svg, .pdf or .png"));
    EXPECT_EQ(etchback({"draw", kLamp}).out, base::read_file(folder_ / "a.svg"));
}

TEST_F(Command, DrawSetsTheCircuitOnPaperWithWhatIsAskedFor) {
    const Ran sheet = etchback({"draw",
                                kLamp,
                                "--paper",
                                "A4",
                                "--show",
                                "tolerances",
                                "--show",
                                "voltages",
                                "--show",
                                "blocks",
                                "--mark",
                                "R4",
                                "--mark",
                                "DC+"});
    EXPECT_EQ(sheet.status, done) << sheet.err;
    for (const char* text : {"width=\"297mm\"",
                             ">Henhouse lamp<",
                             ">1 of 1<",
                             "±5",
                             "class=\"voltage\"",
                             "class=\"mark\"",
                             "class=\"marked\""}) {
        EXPECT_NE(sheet.out.find(text), std::string::npos) << text;
    }
    const std::string adapter = (kSource / "examples/sewing-adapter").string();
    const Ran framed = etchback({"draw",
                                 adapter,
                                 "--paper",
                                 "A3",
                                 "--show",
                                 "blocks",
                                 "--show",
                                 "voltages",
                                 "--no-simulation"});
    EXPECT_NE(framed.out.find("class=\"block-name\""), std::string::npos);
    EXPECT_NE(framed.out.find("class=\"voltage read\""), std::string::npos);
    EXPECT_EQ(framed.out.find("class=\"voltage\""), std::string::npos) << "nothing simulated";
    EXPECT_EQ(etchback({"draw", kLamp}).out.find("297mm"), std::string::npos);
    const Ran nobody = etchback({"draw", kLamp, "--mark", "R99"});
    EXPECT_EQ(nobody.status, not_in_order);
    EXPECT_NE(nobody.err.find("there is no part and no net 'R99'"), std::string::npos);
    EXPECT_EQ(etchback({"draw", kLamp, "--paper", "A5"}).status, wrong_usage);
    EXPECT_EQ(etchback({"draw", kLamp, "--show", "dragons"}).status, wrong_usage);
}

TEST_F(Command, DrawInTheOtherMannerOfSymbolsDiffers) {
    const Ran ansi = etchback({"draw", kLamp, "--symbols", "ansi"});
    ASSERT_EQ(ansi.status, done) << ansi.err;
    EXPECT_NE(ansi.out, etchback({"draw", kLamp, "--symbols", "IEC"}).out);
}

TEST_F(Command, DrawGivesItsFiguresAsJson) {
    const Ran ran = etchback({"draw", kLamp, "--json"});
    ASSERT_EQ(ran.status, done) << ran.err;
    const auto json = nlohmann::json::parse(ran.out);
    for (const char* key :
         {"parts", "nets", "crossings", "bends", "wire_length", "overlaps", "width", "height"}) {
        EXPECT_TRUE(json.contains(key)) << key;
    }
    EXPECT_EQ(json["overlaps"], 0);
}

TEST_F(Command, ReportWritesAllFourFilesAndNamesThem) {
    const Ran ran = etchback({"report", kLamp, "-o", path("deep/out")});
    ASSERT_EQ(ran.status, done) << ran.err;
    for (const char* name : {"report.html", "report.pdf", "report.json", "circuit.svg"}) {
        EXPECT_TRUE(fs::exists(folder_ / "deep/out" / name)) << name;
        EXPECT_THAT(ran.out, HasSubstr(name));
    }
    EXPECT_THAT(ran.out, HasSubstr("danger: "));
    const Ran json = etchback({"report", kLamp, "-o", path("out"), "--json"});
    EXPECT_TRUE(nlohmann::json::accept(json.out));
    EXPECT_EQ(json.out, base::read_file(folder_ / "out/report.json"));
}

TEST_F(Command, ReportAsJsonWithoutAFolderOnlyPrints) {
    ASSERT_EQ(etchback({"new", path("item")}).status, done);
    const Ran json = etchback({"report", path("item"), "--json"});
    EXPECT_EQ(json.status, done) << json.err;
    EXPECT_TRUE(nlohmann::json::accept(json.out));
    EXPECT_FALSE(fs::exists(folder_ / "item/report"));
}

}  // namespace
}  // namespace etchback::cli
