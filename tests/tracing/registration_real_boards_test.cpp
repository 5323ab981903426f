// Real boards that others made (see docs). The folder is named by ETCHBACK_BOARDS; without it these
// tests skip themselves.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cstdlib>
#include <filesystem>
#include <opencv2/core.hpp>
#include <string>

#include "copper/eye/registration.h"
#include "copper/eye/surface.h"

namespace etchback::copper::eye {
namespace {

base::Result<StraightBoard> register_real(const std::string& name, double width_mm) {
    const std::string folder = std::string(std::getenv("ETCHBACK_BOARDS")) + "/" + name;
    const auto top = read_photo(folder + "/top.jpg", {});
    const auto bottom = read_photo(folder + "/bottom.jpg", {});
    if (!top || !bottom) {
        return (top ? bottom : top).errors();
    }
    dossier::Dossier dossier;
    dossier.board.width =
        dossier::Amount{base::Quantity::of(1e-3 * width_mm, base::Unit::metre), {}};
    return straighten(*top, *bottom, dossier);
}

bool boards_are_there() {
    const char* folder = std::getenv("ETCHBACK_BOARDS");
    return folder != nullptr && std::filesystem::is_directory(folder);
}

// Mean yellowness (green over blue) of a strip of the straightened bottom, in parts of its height.
double yellowness(const StraightBoard& board, double from, double to) {
    const cv::Mat& bgr = board.bottom->bgr;
    const cv::Range rows(cvRound(from * bgr.rows), cvRound(to * bgr.rows));
    const cv::Scalar mean =
        cv::mean(bgr(rows, cv::Range::all()), board.bottom->inside(rows, cv::Range::all()));
    return mean[1] - mean[0];
}

// Home-etched, its bottom turned about the long edge: its one strip of copper lies along the lower
// edge as seen from the top, and bare laminate above it.
TEST(RegistrationOfRealBoards, LaysTheEtchedBottomTheRightWayRound) {
    if (!boards_are_there()) {
        GTEST_SKIP() << "ETCHBACK_BOARDS names no folder of real boards";
    }
    const auto board = register_real("etched-isolated-supply", 48.6);
    ASSERT_TRUE(board) << base::to_string(board.errors().front());
    EXPECT_GT(yellowness(*board, 0.1, 0.5), yellowness(*board, 0.7, 0.95) + 20.0);
    EXPECT_LT(board->registration.residual_mm, 0.25);
}

// Terminals stand over its top outline, and of its parts' holes none is open on both sides: a few
// small vias between much print have to do.
TEST(RegistrationOfRealBoards, TiesTheSolarChargerByItsVias) {
    if (!boards_are_there()) {
        GTEST_SKIP() << "ETCHBACK_BOARDS names no folder of real boards";
    }
    const auto board = register_real("solar-charger", 42.8);
    ASSERT_TRUE(board) << base::to_string(board.errors().front());
    EXPECT_GE(board->registration.matches, 6);
    EXPECT_LT(board->registration.residual_mm, 0.2);
    EXPECT_TRUE(board->registration.good);
    const BoardPicture picture = classify(*board, {}, {});
    EXPECT_FALSE(picture.top->trusted);
    EXPECT_FALSE(picture.bottom->trusted);
}

// A hand-held photo of a lamp's driver from aside, on a spotted table: hardly anything holds.
TEST(RegistrationOfRealBoards, DoesNotCallTheLampDriverGood) {
    if (!boards_are_there()) {
        GTEST_SKIP() << "ETCHBACK_BOARDS names no folder of real boards";
    }
    const auto board = register_real("lamp-driver-230v", 45.0);
    if (board) {
        EXPECT_FALSE(board->registration.good);
        EXPECT_FALSE(board->remarks.empty());
    }
}

}  // namespace
}  // namespace etchback::copper::eye
