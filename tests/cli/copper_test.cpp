// The command `copper` from words to output. Copper pictures are drawn here, so that nothing but
// the program is needed.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>

#include "base/file.h"
#include "cli/run.h"
#include "render/paper.h"

namespace etchback::cli {
namespace {

namespace fs = std::filesystem;
using nlohmann::json;
using testing::HasSubstr;
using testing::Not;

struct Said {
    int status = 0;
    std::string out;
    std::string err;
};

Said etchback(const std::vector<std::string>& words) {
    std::ostringstream out;
    std::ostringstream err;
    Said said;
    said.status = run(words, out, err);
    said.out = out.str();
    said.err = err.str();
    return said;
}

// A board of 20 mm x 10 mm: two tracks on the top, one below, a via from the upper track to it.
class CopperCommand : public testing::Test {
protected:
    void SetUp() override {
        folder_ = fs::temp_directory_path() /
                  ("etchback-copper-" +
                   std::string(testing::UnitTest::GetInstance()->current_test_info()->name()));
        fs::remove_all(folder_);
        fs::create_directories(folder_);
        picture("top.png",
                "<rect x='20' y='20' width='160' height='10'/><rect x='20' y='60' width='160' "
                "height='10'/>");
        picture("bottom.png", "<rect x='20' y='18' width='40' height='14'/>");
        base::write_file_atomically(folder_ / "holes.csv", "x_mm,y_mm,diameter_mm\n4,2.5,0.4\n");
    }
    void TearDown() override { fs::remove_all(folder_); }

    void picture(const std::string& name, const std::string& shapes) {
        const std::string svg =
            "<svg xmlns='http://www.w3.org/2000/svg' width='200' height='100' viewBox='0 0 200 "
            "100'><rect width='200' height='100' fill='#000'/><g fill='#fff'>" +
            shapes + "</g></svg>";
        const auto png = render::png_from_svg(svg, 400);
        ASSERT_TRUE(png) << base::to_string(png.errors().front());
        base::write_file_atomically(folder_ / name, *png);
    }

    void dossier(const std::string& more) {
        base::write_file_atomically(
            folder_ / "dossier.toml",
            "format = 1\nitem.name = \"Two tracks\"\nboard.holes = \"holes.csv\"\n"
            "[[photos]]\nfile = \"top.png\"\nside = \"top\"\nshows = \"copper\"\npx_per_mm = 20\n"
            "[[photos]]\nfile = \"bottom.png\"\nside = \"bottom\"\nshows = \"copper\"\n"
            "px_per_mm = 20\n" +
                more);
    }

    std::string folder() const { return folder_.string(); }

    fs::path folder_;
};

const std::string resistors =
    "[parts.R1]\nkind = \"resistor\"\nvalue = \"1k\"\npads = { 1 = [3, 2.5], 2 = [3, 6.5] }\n"
    "[parts.R2]\nkind = \"resistor\"\nvalue = \"2k\"\npads = { 1 = [16, 2.5], 2 = [16, 6.5] }\n"
    "[parts.R3]\nkind = \"resistor\"\nvalue = \"3k\"\npads = { 1 = [5, 2.5], 2 = [16.5, 6.5] }\n"
    "position = { x_mm = 5, y_mm = 2.5, side = \"bottom\" }\n";

TEST_F(CopperCommand, TellsTheNetsWithTheirPads) {
    dossier(resistors);
    const Said said = etchback({"copper", folder()});
    EXPECT_EQ(said.status, done) << said.err;
    EXPECT_THAT(said.out, HasSubstr("Two tracks: 2 nets on 6 pads"));
    EXPECT_THAT(said.out, HasSubstr("R1.1 R2.1 R3.1"));  // R3.1 through the via
}

TEST_F(CopperCommand, PrintsOneJsonDocument) {
    dossier(resistors);
    const Said said = etchback({"copper", folder(), "--json"});
    ASSERT_EQ(said.status, done) << said.err;
    const json copper = json::parse(said.out);
    EXPECT_EQ(copper["nets"].size(), 2u);
    EXPECT_EQ(copper["nets"][0]["pads"].size(), 3u);
    EXPECT_EQ(copper["board"]["width_mm"], 20.0);
}

TEST_F(CopperCommand, DrawsEachSide) {
    dossier(resistors);
    const std::string svg = (folder_ / "board.svg").string();
    const Said said = etchback({"copper", folder(), "--overlay", svg});
    EXPECT_EQ(said.status, done) << said.err;
    const std::string top = base::read_file(folder_ / "board-top.svg");
    EXPECT_THAT(top, HasSubstr("data:image/jpeg;base64,"));
    EXPECT_THAT(top, HasSubstr(">R2.1</text>"));
    EXPECT_TRUE(fs::exists(folder_ / "board-bottom.svg"));
    const auto png = render::png_from_svg(top, 300);
    EXPECT_TRUE(png);
}

TEST_F(CopperCommand, OverlaysNeedAKnownEnding) {
    dossier(resistors);
    const Said said = etchback({"copper", folder(), "--overlay", "board.bmp"});
    EXPECT_EQ(said.status, wrong_usage);
    EXPECT_THAT(said.err, HasSubstr("end its name in .svg or .png"));
}

TEST_F(CopperCommand, CircuitAndReportTakeItsNets) {
    dossier(resistors);
    const Said circuit = etchback({"circuit", folder(), "--json"});
    ASSERT_EQ(circuit.status, done) << circuit.err;
    EXPECT_EQ(json::parse(circuit.out)["nets"].size(), 2u);
    const Said report = etchback({"report", folder(), "--no-simulation", "--json"});
    ASSERT_EQ(report.status, done) << report.err;
    const json all = json::parse(report.out);
    EXPECT_EQ(all["copper"]["nets"].size(), 2u);
    EXPECT_EQ(all["parts"][0]["known"]["pins"], "traced");
}

TEST_F(CopperCommand, AMissingPictureIsToldWithItsPlaceAndOthersGoOn) {
    dossier(resistors);
    fs::remove(folder_ / "bottom.png");
    const Said said = etchback({"copper", folder()});
    EXPECT_EQ(said.status, not_in_order);
    EXPECT_THAT(said.err, HasSubstr("bottom.png"));
    EXPECT_THAT(said.err, HasSubstr("dossier.toml:"));
    EXPECT_EQ(etchback({"circuit", folder()}).status, done);
}

TEST_F(CopperCommand, PicturesOfTwoScalesAreRefused) {
    base::write_file_atomically(
        folder_ / "dossier.toml",
        "format = 1\nitem.name = \"x\"\n"
        "[[photos]]\nfile = \"top.png\"\nside = \"top\"\nshows = \"copper\"\npx_per_mm = 20\n"
        "[[photos]]\nfile = \"bottom.png\"\nside = \"bottom\"\nshows = \"copper\"\npx_per_mm = "
        "10\n");
    const Said said = etchback({"copper", folder()});
    EXPECT_EQ(said.status, not_in_order);
    EXPECT_THAT(said.err, HasSubstr("have 20 and 10 pixels per mm"));
}

TEST_F(CopperCommand, WithoutAPhotoItSaysSo) {
    base::write_file_atomically(folder_ / "dossier.toml", "format = 1\nitem.name = \"x\"\n");
    const Said said = etchback({"copper", folder()});
    EXPECT_EQ(said.status, not_in_order);
    EXPECT_THAT(said.err, HasSubstr("no photo of a side of the board"));
}

TEST_F(CopperCommand, ABrokenTableOfHolesIsToldWithItsLine) {
    dossier(resistors);
    base::write_file_atomically(folder_ / "holes.csv", "x_mm,y_mm,diameter_mm\n1,2,zero\n");
    const Said said = etchback({"copper", folder()});
    EXPECT_EQ(said.status, not_in_order);
    EXPECT_THAT(said.err, HasSubstr("holes.csv:2"));
}

}  // namespace
}  // namespace etchback::cli
