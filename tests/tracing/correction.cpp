#include "tracing/correction.h"

#include <fmt/format.h>

#include <cstdio>
#include <cstdlib>
#include <optional>
#include <utility>
#include <vector>

#include "tracing/misreadings.h"

namespace etchback::tracing {

namespace {

bool tells() {
    return std::getenv("ETCHBACK_PERSON") != nullptr;
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
          score_(score_of(found)),
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
            if (score_of(now).wrong < score_.wrong) {
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
        if (tells()) {
            fmt::print(
                "    {}: {} -> {} wrong\n", person_.meant(), score_.wrong, score_of(now).wrong);
        }
        return now;
    }

    void keep(const TracedBoard& now, std::vector<dossier::Stroke> strokes) {
        const Score score = score_of(now);
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
            const std::size_t wrong = score_of(now).wrong;
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

}  // namespace

Score score_of(const TracedBoard& found) {
    const copper::Trace& trace = found.trace;
    return score_of(trace.islands, trace.pads, trace.nets, found.nets);
}

Corrected corrected_by_person(const InventedBoard& board,
                              copper::eye::Tracing& tracing,
                              const TracedBoard& first) {
    std::optional<Correction> best;
    using Hidden = DrawingPerson::Hidden;
    for (const Hidden hidden : {Hidden::as_it_mends, Hidden::last, Hidden::below_covers}) {
        Correction correction(board, tracing, first, hidden);
        correction.draw();
        correction.exchange();
        if (!best || correction.score().wrong < best->score().wrong) {
            best.emplace(std::move(correction));
        }
    }
    if (tells()) {
        tell_what_is_left(board, best->found());
    }
    return {best->score(), best->found(), best->counts()};
}

}  // namespace etchback::tracing
