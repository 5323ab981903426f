// Invented boards by seed, photographed with every nuisance that a camera has, and traced without a
// stroke and with a few. `make test` does four seeds on small photos; with ETCHBACK_SEEDS=60 it is
// the table of docs/copper.md, on photos of 12 megapixels (about 12 s of CPU for each seed).
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <map>
#include <numeric>
#include <optional>

#include "tracing/causes.h"
#include "tracing/correction.h"
#include "tracing/drawing_person.h"
#include "tracing/invented_board.h"
#include "tracing/score.h"

namespace etchback::tracing {
namespace {

namespace ph = photographer;

int seeds() {
    const char* wanted = std::getenv("ETCHBACK_SEEDS");
    return wanted != nullptr ? std::atoi(wanted) : 4;
}

// ETCHBACK_CAUSES=FOLDER: pictures of what was misread go there, and causes are printed; `-`: only
// causes.
const char* causes_folder() {
    return std::getenv("ETCHBACK_CAUSES");
}

bool is_full() {
    return std::getenv("ETCHBACK_SEEDS") != nullptr && causes_folder() == nullptr &&
           std::getenv("ETCHBACK_SMALL") == nullptr;
}

struct Row {
    std::string mask;
    int sides = 2;
    double cruelty = 0.0;
    double residual_mm = 0.0;
    bool trusted = true;
    Score without;
    Score with_strokes;
    DrawingPerson::Counts person;
    std::string why;
    std::string causes;
};

std::map<std::string, int>& all_causes() {
    static std::map<std::string, int> all;
    return all;
}

Reliability& reliability() {
    static Reliability all;
    return all;
}

const char* name_of(ph::Mask mask) {
    switch (mask) {
        case ph::Mask::none:
            return "none";
        case ph::Mask::green:
            return "green";
        case ph::Mask::blue:
            return "blue";
        case ph::Mask::red:
            return "red";
        case ph::Mask::white:
            return "white";
        case ph::Mask::black:
            return "black";
    }
    return "";
}

void take_note(const InventedBoard& board,
               std::uint64_t seed,
               const TracedBoard& found,
               bool with_strokes,
               Row& row) {
    const copper::Trace& trace = found.trace;
    row.residual_mm = found.missed_mm;
    row.trusted = row.trusted && (!trace.picture.top || trace.picture.top->trusted) &&
                  (!trace.picture.bottom || trace.picture.bottom->trusted);
    if (causes_folder() == nullptr) {
        return;
    }
    const std::string prefix = with_strokes ? "S " : "";
    for (const auto& [cause, pairs] : causes_of(board, found)) {
        row.causes += fmt::format("    {}{}: {}\n", prefix, cause, pairs);
        all_causes()[prefix + cause] += pairs;
    }
    add_reliability(board, found, reliability());
    draw_misread(
        board, found, fmt::format("{}/{:02}{}", causes_folder(), seed, with_strokes ? "s" : ""));
}

Row row_of(std::uint64_t seed) {
    InventedBoard board = invented_board(seed, is_full() ? cv::Size() : cv::Size(2000, 1500));
    Row row;
    row.mask = name_of(board.layout.board.mask);
    row.sides = board.layout.board.sides;
    row.cruelty = board.cruelty;
    std::optional<copper::eye::Tracing> tracing = begun(board, row.why);
    if (!tracing) {
        const std::size_t pads = board.truth.pads.size();
        row.without.pairs = row.without.wrong = pads * (pads - 1) / 2;
        row.with_strokes = row.without;
        return row;
    }
    TracedBoard found = traced(board, *tracing);
    row.without = score_of(found);
    take_note(board, seed, found, false, row);
    if (std::getenv("ETCHBACK_NO_STROKES") == nullptr) {
        if (!found.trace.picture.registration.good) {
            board = with_points(board);
            tracing = begun(board, row.why);
            if (!tracing) {
                row.with_strokes = row.without;
                return row;
            }
            found = traced(board, *tracing);
        }
        const Corrected corrected = corrected_by_person(board, *tracing, found);
        row.with_strokes = corrected.score;
        row.person = corrected.counts;
        take_note(board, seed, corrected.found, true, row);
    }
    return row;
}

struct Sum {
    int boards = 0;
    std::vector<double> right;
    std::vector<double> right_with;
    Score without;
    Score with_strokes;
};

void add(Sum& sum, const Row& row) {
    ++sum.boards;
    sum.without += row.without;
    sum.with_strokes += row.with_strokes;
    sum.right.push_back(row.without.right());
    sum.right_with.push_back(row.with_strokes.right());
}

double mean(const std::vector<double>& values) {
    return std::accumulate(values.begin(), values.end(), 0.0) /
           static_cast<double>(std::max<std::size_t>(1, values.size()));
}

std::string line(const std::string& name, const Sum& sum) {
    return fmt::format(
        "| {} | {} | {:.1f} | {:.1f} | {:.0f} | {:.0f} | {:.1f} | {:.1f} | {:.0f} |\n",
        name,
        sum.boards,
        100.0 * sum.without.right(),
        100.0 * mean(sum.right),
        100.0 * sum.without.owned(),
        static_cast<double>(sum.without.doubts) / sum.boards,
        100.0 * sum.with_strokes.right(),
        100.0 * mean(sum.right_with),
        100.0 * sum.with_strokes.owned());
}

TEST(InventedBoards, AreTracedFromTheirPhotographs) {
    std::map<std::string, Sum> by;
    for (int seed = 1; seed <= seeds(); ++seed) {
        if (const char* only = std::getenv("ETCHBACK_ONLY");
            only != nullptr &&
            std::string(only).find(fmt::format(",{},", seed)) == std::string::npos) {
            continue;
        }
        const Row row = row_of(static_cast<std::uint64_t>(seed));
        add(by["all"], row);
        add(by["mask " + row.mask], row);
        add(by[fmt::format("{} side{}", row.sides, row.sides == 1 ? "" : "s")], row);
        add(by[fmt::format("cruelty {:.2f}", row.cruelty)], row);
        if (!row.trusted) {
            add(by["said not to be trusted"], row);
        }
        // At once, for whoever waits for sixty boards.
        fmt::print(
            "seed {:2} mask {:6} sides {} cruelty {:.2f} sides apart {:.2f} mm right {:.1f} % ({} "
            "of {} wrong, {} owned), {} doubts, with {} strokes ({:.0f} mm, {} taken back; {} of "
            "{} ends rightly concluded) {:.1f} % ({} "
            "wrong, {} owned){}{}\n{}",
            seed,
            row.mask,
            row.sides,
            row.cruelty,
            row.residual_mm,
            100.0 * row.without.right(),
            row.without.wrong,
            row.without.pairs,
            row.without.in_doubts,
            row.without.doubts,
            row.person.kept,
            row.person.length_mm,
            row.person.taken_back,
            row.person.concluded_rightly,
            row.person.concluded_rightly + row.person.concluded_wrongly,
            100.0 * row.with_strokes.right(),
            row.with_strokes.wrong,
            row.with_strokes.in_doubts,
            row.trusted ? "" : ", not trusted",
            row.why.empty() ? "" : ": " + row.why,
            row.causes);
        std::fflush(stdout);
    }
    std::string table =
        "| boards | number | pairs right, % of all | % as mean of boards | wrong ones in a doubt, "
        "% | doubts per board | with strokes, % of all | % as mean of boards | wrong ones in a "
        "doubt, % |\n| --- | --- | --- | --- | --- | --- | --- | --- | --- |\n";
    for (const auto& [name, sum] : by) {
        table += line(name, sum);
    }
    fmt::print("\n{}", table);
    for (const auto& [cause, pairs] : all_causes()) {
        fmt::print("{:6} {}\n", pairs, cause);
    }
    for (const auto& [kind, bins] : reliability().by_kind) {
        fmt::print("{}:", kind);
        for (const auto& [step, counts] : bins) {
            fmt::print(" {:.2f}: {}/{}", 0.05 * step, counts.first, counts.second);
        }
        fmt::print("\n");
    }
    // What is asked for stands in docs/copper.md beside what is reached; less than this is a step
    // back.
    EXPECT_GE(by["all"].without.right(), 0.84);
    // Of all sixty it is 93 %; of these four, seed 3 has five in six of the wrong pairs.
    EXPECT_GE(by["all"].without.owned(), 0.68);
    if (std::getenv("ETCHBACK_NO_STROKES") == nullptr) {
        EXPECT_GE(by["all"].with_strokes.right(), 0.94);
    }
}

}  // namespace
}  // namespace etchback::tracing
