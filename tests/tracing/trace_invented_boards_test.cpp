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
#include "tracing/drawing_person.h"
#include "tracing/invented_board.h"
#include "tracing/misreadings.h"
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

Score scored(const TracedBoard& found) {
    const copper::Trace& trace = found.trace;
    return score_of(trace.islands, trace.pads, trace.nets, found.nets);
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

// Where nets are still parted or joined wrongly.
void tell_what_is_left(const InventedBoard& board, const TracedBoard& found) {
    const auto place = [](const std::vector<cv::Point>& along) {
        return along.empty() ? cv::Point(-1, -1) : along[along.size() / 2];
    };
    for (const Break& one : breaks_of(board, found)) {
        const cv::Point at = place(one.along);
        fmt::print("    left: {} pairs parted by {}{} on {} at pixel {} {}, {} long\n",
                   one.pairs,
                   one.as,
                   one.through ? ", through a hole" : "",
                   one.side == copper::Side::top ? "top" : "bottom",
                   at.x,
                   at.y,
                   one.along.size());
    }
    for (const FalseBridge& one : false_bridges_of(board, found)) {
        const cv::Point at = place(one.along);
        fmt::print("    left: {} pairs joined on {} at pixel {} {}, {} long\n",
                   one.pairs,
                   one.side == copper::Side::top ? "top" : "bottom",
                   at.x,
                   at.y,
                   one.along.size());
    }
}

// A board while it is corrected, stroke by stroke.
class Correction {
public:
    Correction(const InventedBoard& board,
               copper::eye::Tracing& tracing,
               const TracedBoard& found,
               DrawingPerson::Hidden hidden)
        : board_(board),
          tracing_(tracing),
          found_(found),
          score_(scored(found)),
          person_(board, found, hidden) {}

    // As strokes are few, they first draw what mends much, and what mends little only when there is
    // nothing else.
    void draw() {
        for (std::size_t worth = 1 + score_.wrong / 30;; worth = 1 + worth / 4) {
            while (draw_one(worth)) {
            }
            if (worth == 1) {
                return;
            }
            person_.think_again();
        }
    }

    // Strokes that mend more than one of those that were drawn take its place.
    void exchange() {
        constexpr int most_in_vain = 8;
        person_.think_again();
        for (int in_vain = 0; in_vain < most_in_vain;) {
            const auto exchange = person_.instead(found_);
            if (!exchange) {
                return;
            }
            std::vector<dossier::Stroke> others = strokes_;
            others.erase(others.begin() + static_cast<std::ptrdiff_t>(exchange->of));
            others.push_back(exchange->stroke);
            const TracedBoard now = with(others);
            if (scored(now).wrong < score_.wrong) {
                keep(now, std::move(others));
                person_.drop(exchange->of);
                in_vain = 0;
            } else {
                person_.take_back();
                ++in_vain;
            }
        }
    }

    const Score& score() const { return score_; }
    const TracedBoard& found() const { return found_; }
    const DrawingPerson::Counts& counts() const { return person_.counts(); }

private:
    TracedBoard with(const std::vector<dossier::Stroke>& strokes) {
        tracing_.set_strokes(strokes);
        TracedBoard now = traced(board_, tracing_);
        if (std::getenv("ETCHBACK_PERSON") != nullptr) {
            fmt::print(
                "    {}: {} -> {} wrong\n", person_.meant(), score_.wrong, scored(now).wrong);
        }
        return now;
    }

    void keep(const TracedBoard& now, std::vector<dossier::Stroke> strokes) {
        const Score score = scored(now);
        person_.keep(static_cast<int>(score_.wrong) - static_cast<int>(score.wrong));
        score_ = score;
        found_ = now;
        strokes_ = std::move(strokes);
    }

    // One stroke, or two that only together do good. False: none mends so much.
    bool draw_one(std::size_t worth) {
        constexpr int most_in_hope = 2;
        std::vector<dossier::Stroke> strokes = strokes_;
        TracedBoard now = found_;
        for (int hopes = 0; hopes < most_in_hope; ++hopes) {
            const std::optional<dossier::Stroke> stroke = person_.next(now, hopes > 0);
            if (!stroke) {
                take_back(hopes);
                return hopes > 0;
            }
            strokes.push_back(*stroke);
            now = with(strokes);
            const std::size_t wrong = scored(now).wrong;
            if (wrong + worth <= score_.wrong) {
                keep(now, std::move(strokes));
                return true;
            }
            const bool may_hope =
                stroke->says.value == "cut" || stroke->says.value == "plated hole";
            if (!may_hope || wrong > score_.wrong || hopes + 1 == most_in_hope) {
                take_back(hopes + 1);
                return true;
            }
        }
        return true;
    }

    void take_back(int strokes) {
        for (int i = 0; i < strokes; ++i) {
            person_.take_back();
        }
    }

    const InventedBoard& board_;
    copper::eye::Tracing& tracing_;
    TracedBoard found_;
    Score score_;
    DrawingPerson person_;
    std::vector<dossier::Stroke> strokes_;
};

// What it comes to when a person corrects it: they start over once, in another order, and keep what
// mends more.
Score corrected(const InventedBoard& board,
                copper::eye::Tracing& tracing,
                TracedBoard& found,
                Row& row) {
    std::optional<Correction> best;
    for (const auto hidden : {DrawingPerson::Hidden::as_it_mends, DrawingPerson::Hidden::last}) {
        Correction correction(board, tracing, found, hidden);
        correction.draw();
        correction.exchange();
        if (!best || correction.score().wrong < best->score().wrong) {
            best.emplace(std::move(correction));
        }
    }
    row.person = best->counts();
    found = best->found();
    if (std::getenv("ETCHBACK_PERSON") != nullptr) {
        tell_what_is_left(board, found);
    }
    return best->score();
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
    row.without = scored(found);
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
        row.with_strokes = corrected(board, *tracing, found, row);
        take_note(board, seed, found, true, row);
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
