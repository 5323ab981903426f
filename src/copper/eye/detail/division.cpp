#include "copper/eye/detail/division.h"

#include <algorithm>
#include <array>
#include <map>
#include <utility>

#include "base/side_by_side.h"
#include "copper/eye/detail/label_pixels.h"
#include "copper/eye/detail/runs.h"

namespace etchback::copper::eye::detail {

namespace {

constexpr int none = -1;

// The level before copper was lifted above all else.
int plain(int level) {
    return level >= 128 ? (level - 128) * 2 + 1 : level * 2;
}

// The first run of each piece: it begins with the piece's first pixel.
std::vector<cv::Point> first_pixels(const Pieces& pieces) {
    std::vector<cv::Point> first(pieces.pixels.size(), cv::Point(none, none));
    for (const Run& run : pieces.runs) {
        cv::Point& own = first[static_cast<std::size_t>(run.piece)];
        own = own.x == none ? cv::Point(run.from, run.y) : own;
    }
    return first;
}

// Seeds: sure cores of some size; a piece of copper without one is a seed as a whole.
class Seeding {
public:
    Seeding(cv::Mat& level, const BasinLimits& limits, Division& out)
        : level_(level), limits_(limits), out_(out) {}

    // The runs of all seeds, row by row.
    std::vector<Run> sown() {
        Pieces cores;
        Pieces pieces;
        base::side_by_side(3, [&](std::size_t job) {
            if (job == 0) {
                cores = pieces_of(level_ >= 128 + limits_.core / 2, false);
            } else if (job == 1) {
                pieces = pieces_of(level_ >= 128, false);
            } else {
                out_.labels = cv::Mat(level_.size(), CV_32S, cv::Scalar(none));
            }
        });
        sow_cores(cores, pieces);
        sow_coreless(pieces);
        std::ranges::sort(runs_, [](const Run& a, const Run& b) {
            return std::pair(a.y, a.from) < std::pair(b.y, b.from);
        });
        return std::move(runs_);
    }

private:
    void sow_cores(const Pieces& cores, const Pieces& pieces) {
        const std::vector<cv::Point> first = first_pixels(cores);
        std::vector<int> names(first.size(), none);
        for (std::size_t i = 0; i < first.size(); ++i) {
            if (cores.pixels[i] >= limits_.least_core_px) {
                names[i] = static_cast<int>(out_.seeds.size());
                out_.seeds.push_back({true, first[i]});
            }
        }
        has_core_.assign(pieces.pixels.size(), false);
        auto piece = pieces.runs.begin();
        for (const Run& run : cores.runs) {
            const int name = names[static_cast<std::size_t>(run.piece)];
            if (name == none) {
                continue;
            }
            // A run of a core lies within one of its piece.
            while (piece->y < run.y || piece->to <= run.from) {
                ++piece;
            }
            has_core_[static_cast<std::size_t>(piece->piece)] = true;
            sow(run, name);
        }
    }

    void sow_coreless(const Pieces& pieces) {
        const std::vector<cv::Point> first = first_pixels(pieces);
        std::vector<int> names(first.size(), none);
        for (std::size_t i = 0; i < first.size(); ++i) {
            if (!has_core_[i] && pieces.pixels[i] >= limits_.least_island_px) {
                names[i] = static_cast<int>(out_.seeds.size());
                out_.seeds.push_back({false, first[i]});
            }
        }
        for (const Run& run : pieces.runs) {
            const auto piece = static_cast<std::size_t>(run.piece);
            if (has_core_[piece]) {
                continue;
            }
            if (names[piece] == none) {
                set_run(level_, run, 0);
            } else {
                sow(run, names[piece]);
            }
        }
    }

    void sow(const Run& run, int name) {
        std::fill_n(out_.labels.ptr<int>(run.y) + run.from, run.length(), name);
        runs_.push_back(run);
    }

    cv::Mat& level_;
    const BasinLimits& limits_;
    Division& out_;
    std::vector<bool> has_core_;
    std::vector<Run> runs_;
};

constexpr std::array<std::pair<int, int>, 4> neighbours = {{{0, -1}, {-1, 0}, {1, 0}, {0, 1}}};

// Floods from the seeds, highest levels first.
class Flood {
public:
    Flood(const cv::Mat& level, cv::Mat& labels, int floor)
        : level_(level), labels_(labels), floor_(floor) {}

    // `seeds`: their runs, row by row.
    void run(const std::vector<Run>& seeds) {
        start(seeds);
        for (int at_level = 255; at_level >= floor_; --at_level) {
            // Pixels of this very level join its queue while it is worked on.
            std::vector<Step>& queue = queues_[static_cast<std::size_t>(at_level)];
            for (std::size_t i = 0; i < queue.size(); ++i) {
                take(queue[i], at_level);
            }
            std::vector<Step>().swap(queue);
        }
    }

    std::vector<Saddle> saddles() const {
        std::vector<Saddle> all;
        for (const auto& [pair, saddle] : best_) {
            all.push_back(saddle);
        }
        return all;
    }

private:
    struct Step {
        cv::Point at;
        int label;
    };

    void start(const std::vector<Run>& seeds) {
        const int last = labels_.cols - 1;
        for (const Run& run : seeds) {
            const int* row = labels_.ptr<int>(run.y);
            const int* above = labels_.ptr<int>(std::max(0, run.y - 1));
            const int* below = labels_.ptr<int>(std::min(labels_.rows - 1, run.y + 1));
            const int label = row[run.from];
            for (int x = run.from; x < run.to; ++x) {
                // Amid its own there is nothing to spread to.
                if (above[x] != label || below[x] != label || row[std::max(0, x - 1)] != label ||
                    row[std::min(last, x + 1)] != label) {
                    spread({x, run.y}, label, 255);
                }
            }
        }
    }

    void spread(cv::Point at, int label, int at_level) {
        for (const auto& [dx, dy] : neighbours) {
            const cv::Point to(at.x + dx, at.y + dy);
            if (to.x < 0 || to.y < 0 || to.x >= labels_.cols || to.y >= labels_.rows) {
                continue;
            }
            const int there = labels_.at<int>(to);
            if (there == label) {
                continue;
            }
            const int to_level = std::min<int>(at_level, level_.at<std::uint8_t>(to));
            if (there != none) {
                meet(label, there, to_level, to);
            } else if (to_level >= floor_) {
                queues_[static_cast<std::size_t>(to_level)].push_back({to, label});
            }
        }
    }

    void take(const Step& step, int at_level) {
        int& label = labels_.at<int>(step.at);
        if (label == none) {
            label = step.label;
            spread(step.at, label, at_level);
        } else if (label != step.label) {
            meet(label, step.label, at_level, step.at);
        }
    }

    void meet(int a, int b, int at_level, cv::Point at) {
        const std::pair<int, int> pair(std::min(a, b), std::max(a, b));
        // Mostly the same two meet again.
        if (last_ == nullptr || last_->first != pair) {
            last_ = &*best_.try_emplace(pair).first;
        }
        Saddle& saddle = last_->second;
        const int level = plain(at_level);
        const bool joined = at_level >= 128;
        if (saddle.a == saddle.b ||
            std::pair(joined, level) > std::pair(saddle.joined, saddle.level)) {
            saddle = {pair.first, pair.second, level, joined, at};
        }
    }

    const cv::Mat& level_;
    cv::Mat& labels_;
    int floor_;
    std::array<std::vector<Step>, 256> queues_;
    std::map<std::pair<int, int>, Saddle> best_;
    std::pair<const std::pair<int, int>, Saddle>* last_ = nullptr;  // in `best_`
};

}  // namespace

Division divide(cv::Mat& level, const BasinLimits& limits) {
    Division division;
    const std::vector<Run> seeds = Seeding(level, limits, division).sown();
    Flood flood(level, division.labels, flood_floor(limits));
    flood.run(seeds);
    division.saddles = flood.saddles();
    keep_where(level, 128, division.labels);
    return division;
}

}  // namespace etchback::copper::eye::detail
