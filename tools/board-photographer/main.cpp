// board-photographer: photographs of invented boards, for tests.

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <cstdio>
#include <filesystem>

#include "base/file.h"
#include "board-photographer/make_board.h"
#include "board-photographer/photograph.h"
#include "board-photographer/truth.h"

namespace {

using namespace etchback;
using namespace etchback::photographer;

void write_bytes(const std::filesystem::path& path, const std::vector<std::uint8_t>& bytes) {
    base::write_file_atomically(path, {reinterpret_cast<const char*>(bytes.data()), bytes.size()});
}

}  // namespace

int main(int argc, char** argv) {
    CLI::App app("Photographs of an invented board, with the truth about it.");
    std::uint64_t board_seed = 0;
    std::uint64_t seed = 1;
    double cruelty = 0.5;
    int width = 4000;
    std::string folder;
    app.add_option("--board-seed", board_seed, "invents the board by this number")->required();
    app.add_option("--seed", seed, "of everything random in the photographs");
    app.add_option("--cruelty", cruelty, "0: a careful person's photographs; 1: bad ones")
        ->check(CLI::Range(0.0, 1.0));
    app.add_option("--width", width, "of the photographs in pixels")->check(CLI::Range(400, 8000));
    app.add_option("-o,--output", folder, "folder for top.jpg, bottom.jpg and truth/")->required();
    CLI11_PARSE(app, argc, argv);
    try {
        const Layout layout = make_board(board_seed);
        write_truth(truth_of(layout), std::filesystem::path(folder) / "truth");
        for (const Side side : {Side::top, Side::bottom}) {
            Nuisance nuisance = random_nuisance(seed * 2 + (side == Side::top ? 0 : 1), cruelty);
            nuisance.size = {width, width * 3 / 4};
            const Shot shot = photograph(layout, side, nuisance);
            write_bytes(
                std::filesystem::path(folder) / (side == Side::top ? "top.jpg" : "bottom.jpg"),
                shot.jpeg);
        }
    } catch (const base::FileError& error) {
        fmt::print(stderr, "{}\n", error.what());
        return 1;
    }
    return 0;
}
