// board-photographer: photographs of invented boards, for tests and examples.

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <cstdio>
#include <filesystem>

#include "base/file.h"
#include "board-photographer/layout_file.h"
#include "board-photographer/legends.h"
#include "board-photographer/make_board.h"
#include "board-photographer/photograph.h"
#include "board-photographer/route.h"
#include "board-photographer/truth.h"

namespace {

using namespace etchback;
using namespace etchback::photographer;

struct Wishes {
    std::string layout_file;
    std::string folder;
    std::string route_to;
    std::uint64_t board_seed = 0;
    std::uint64_t seed = 1;
    double cruelty = 0.5;
    int width = 4000;
    int height = 0;  // 0: three quarters of the width
    int quality = 0;
    bool truth = true;
};

void write_bytes(const std::filesystem::path& path, const std::vector<std::uint8_t>& bytes) {
    base::write_file_atomically(path, {reinterpret_cast<const char*>(bytes.data()), bytes.size()});
}

// Routes what is not joined yet and writes the layout.
int route_layout(Layout layout, const std::string& to) {
    RouteRules rules;
    rules.attempts = 12;
    const std::vector<Island> islands = route(layout, rules);
    const std::vector<Pad> pads = pads_of(layout);
    for (const Island& island : islands) {
        for (const std::size_t i : island.pads) {
            fmt::print(stderr,
                       "no way for net {} to {}.{}; move parts or widen gaps\n",
                       island.net,
                       pads[i].part,
                       pads[i].pin);
        }
    }
    if (layout.legends.empty()) {
        add_legends(layout, 1.1);
    }
    base::write_file_atomically(to, write_layout(layout));
    return islands.empty() ? 0 : 1;
}

void take_photographs(const Layout& layout, const Wishes& wishes) {
    const std::filesystem::path folder = wishes.folder;
    std::filesystem::create_directories(folder);
    if (wishes.truth) {
        write_truth(truth_of(layout), folder / "truth");
    }
    for (const Side side : {Side::top, Side::bottom}) {
        Nuisance nuisance =
            random_nuisance(wishes.seed * 2 + (side == Side::top ? 0 : 1), wishes.cruelty);
        nuisance.size = {wishes.width, wishes.height > 0 ? wishes.height : wishes.width * 3 / 4};
        if (wishes.quality > 0) {
            nuisance.jpeg_quality = wishes.quality;
        }
        const Shot shot = photograph(layout, side, nuisance);
        write_bytes(folder / (side == Side::top ? "top.jpg" : "bottom.jpg"), shot.jpeg);
    }
}

int run(const Wishes& wishes) {
    Layout layout;
    if (wishes.layout_file.empty()) {
        layout = make_board(wishes.board_seed);
    } else {
        base::Result<Layout> read = read_layout(wishes.layout_file);
        if (!read) {
            for (const base::Error& error : read.errors()) {
                fmt::print(stderr, "{}\n", base::to_string(error));
            }
            return 1;
        }
        layout = *std::move(read);
    }
    if (!wishes.route_to.empty()) {
        return route_layout(std::move(layout), wishes.route_to);
    }
    take_photographs(layout, wishes);
    return 0;
}

}  // namespace

int main(int argc, char** argv) {
    Wishes wishes;
    CLI::App app("Photographs of an invented board, with the truth about it.");
    auto* from = app.add_option_group("board", "which board")->require_option(1);
    from->add_option("layout", wishes.layout_file, "layout.toml (docs/board-layout.md)");
    from->add_option("--board-seed", wishes.board_seed, "invents the board by this number");
    auto* to = app.add_option_group("output", "what is wanted")->require_option(1);
    to->add_option("-o,--output", wishes.folder, "folder for top.jpg, bottom.jpg and truth/");
    to->add_option("--route", wishes.route_to, "joins what nets ask for; writes the layout there");
    app.add_option("--seed", wishes.seed, "of everything random in the photographs");
    app.add_option("--cruelty", wishes.cruelty, "0: a careful person's photographs; 1: bad ones")
        ->check(CLI::Range(0.0, 1.0));
    app.add_option("--width", wishes.width, "of the photographs in pixels")
        ->check(CLI::Range(400, 8000));
    app.add_option("--height", wishes.height, "of the same; usual: three quarters of the width")
        ->check(CLI::Range(300, 8000));
    app.add_option("--quality", wishes.quality, "of the JPEG files")->check(CLI::Range(10, 100));
    app.add_flag("--truth,!--no-truth", wishes.truth, "write the folder truth/ (usual)");
    try {
        app.parse(argc, argv);
    } catch (const CLI::ParseError& error) {
        return app.exit(error) == 0 ? 0 : 2;
    }
    try {
        return run(wishes);
    } catch (const base::FileError& error) {
        fmt::print(stderr, "{}\n", error.what());
        return 1;
    }
}
