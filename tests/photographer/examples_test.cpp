// The layouts of the example dossiers carry the circuits that the dossiers tell of.

#include <gtest/gtest.h>
#include <toml++/toml.h>

#include <filesystem>
#include <map>
#include <opencv2/imgcodecs.hpp>
#include <set>

#include "base/file.h"
#include "board-photographer/layout_file.h"
#include "board-photographer/truth.h"
#include "photographer/connectivity.h"

namespace etchback::photographer {
namespace {

const std::filesystem::path examples = std::filesystem::path(ETCHBACK_SOURCE_DIR) / "examples";

class Example : public testing::TestWithParam<const char*> {
protected:
    std::filesystem::path folder() const { return examples / GetParam(); }
    Layout layout() const {
        const auto read = read_layout(folder() / "layout.toml");
        EXPECT_TRUE(read) << base::to_string(read.errors().front());
        return read ? *read : Layout{};
    }
};

TEST_P(Example, HasCopperThatIsItsNets) {
    EXPECT_EQ(faults_of_copper(truth_of(layout(), 40.0)), "");
}

TEST_P(Example, HasThePinsOfItsDossierOnTheNetsOfItsDossier) {
    std::map<std::string, std::string> on_board;
    for (const TruthPad& pad : truth_of(layout(), 10.0).pads) {
        if (!pad.part.empty()) {
            on_board[pad.part + "." + pad.pin] = pad.net;
        }
    }
    const toml::table dossier = toml::parse(base::read_file(folder() / "dossier.toml"));
    int compared = 0;
    for (const auto& [part, node] : *dossier["parts"].as_table()) {
        const toml::table* pins = (*node.as_table())["pins"].as_table();
        const bool off_board = !node.as_table()->contains("position");
        if (pins == nullptr || off_board) {
            continue;
        }
        for (const auto& [pin, net] : *pins) {
            const std::string name = std::string(part.str()) + "." + std::string(pin.str());
            ASSERT_TRUE(on_board.contains(name)) << name;
            EXPECT_EQ(on_board[name], net.value_or(std::string())) << name;
            ++compared;
        }
    }
    EXPECT_GT(compared, 15);
}

TEST_P(Example, HasPadsInItsDossierWhereTheLayoutHasThem) {
    std::map<std::string, Point> on_board;
    for (const TruthPad& pad : truth_of(layout(), 10.0).pads) {
        on_board[pad.part + "." + pad.pin] = pad.at;
    }
    const toml::table dossier = toml::parse(base::read_file(folder() / "dossier.toml"));
    int compared = 0;
    for (const auto& [part, node] : *dossier["parts"].as_table()) {
        if (const toml::table* pads = (*node.as_table())["pads"].as_table()) {
            for (const auto& [pin, at] : *pads) {
                const Point there =
                    on_board[std::string(part.str()) + "." + std::string(pin.str())];
                EXPECT_NEAR(*at.as_array()->get(0)->value<double>(), there.x_mm, 0.06)
                    << part.str();
                EXPECT_NEAR(*at.as_array()->get(1)->value<double>(), there.y_mm, 0.06)
                    << part.str();
                ++compared;
            }
        }
    }
    EXPECT_GT(compared, 15);
}

TEST_P(Example, HasPhotosThatAreSmallAndMarkedAsRendered) {
    for (const char* side : {"top.jpg", "bottom.jpg"}) {
        const std::string bytes = base::read_file(folder() / "photos" / side);
        EXPECT_LT(bytes.size(), 900000U);
        EXPECT_NE(bytes.substr(0, 200).find("Rendered by board-photographer"), std::string::npos);
        const cv::Mat photo = cv::imread((folder() / "photos" / side).string());
        EXPECT_GE(photo.cols, 2400);
    }
}

INSTANTIATE_TEST_SUITE_P(All,
                         Example,
                         testing::Values("sewing-adapter", "seedling-driver", "henhouse-lamp"),
                         [](const auto& name) {
                             std::string word = name.param;
                             word.erase(word.find('-'), 1);
                             return word;
                         });

}  // namespace
}  // namespace etchback::photographer
