// Boards made by others, which the project does not ship: ETCHBACK_BOARDS names their folder. Tests
// that use them skip themselves where it is absent.
#pragma once

#include <gtest/gtest.h>

#include <cstdlib>
#include <filesystem>
#include <string>
#include <vector>

#include "base/file.h"
#include "base/text.h"
#include "copper/nets.h"

namespace etchback::tracing {

// The folder of a board; empty: not there.
inline std::filesystem::path real_board(const std::string& name) {
    const char* folder = std::getenv("ETCHBACK_BOARDS");
    if (folder == nullptr || *folder == '\0') {
        return {};
    }
    const std::filesystem::path board = std::filesystem::path(folder) / name;
    return std::filesystem::is_directory(board) ? board : std::filesystem::path();
}

#define ETCHBACK_NEEDS_BOARD(folder, name)                                            \
    const std::filesystem::path folder = etchback::tracing::real_board(name);         \
    if (folder.empty()) {                                                             \
        GTEST_SKIP() << "the real board " << name                                     \
                     << " is not here: name the folder of boards in ETCHBACK_BOARDS"; \
    }                                                                                 \
    static_assert(true)

// A point of a real board with the net that it is truly on.
struct TruePad {
    copper::Pad pad;
    std::string net;
};

// truth/nets.csv: net, part, pin, side, x_mm, y_mm.
inline std::vector<TruePad> true_pads(const std::filesystem::path& board) {
    const auto csv = base::parse_csv(base::read_file(board / "truth" / "nets.csv"), "nets.csv");
    std::vector<TruePad> pads;
    if (!csv) {
        ADD_FAILURE() << base::to_string(csv.errors().front());
        return pads;
    }
    const auto column = [&](const char* name) { return csv->column(name).value(); };
    for (const base::CsvRow& row : csv->rows) {
        TruePad one;
        const auto field = [&](const char* name) { return row.fields[column(name)]; };
        one.net = field("net");
        one.pad.part = field("part") == "via" ? "" : field("part");
        one.pad.pin = field("pin");
        one.pad.at = {std::stod(field("x_mm")), std::stod(field("y_mm"))};
        const std::string side = field("side");
        if (side == "top" || side == "bottom") {
            one.pad.side = side == "top" ? copper::Side::top : copper::Side::bottom;
        }
        pads.push_back(one);
    }
    return pads;
}

}  // namespace etchback::tracing
