#include "copper/eye/detail/basins.h"

#include <algorithm>
#include <array>
#include <map>
#include <opencv2/imgproc.hpp>
#include <utility>

namespace etchback::copper::eye::detail {

namespace {

constexpr int none = -1;

// Averaged levels in which all copper lies above all that is not: joined pixels meet at 128 or
// more.
cv::Mat ordered_levels(const cv::Mat& copper, double blur_px) {
    cv::Mat level;
    cv::GaussianBlur(copper, level, {}, blur_px, blur_px, cv::BORDER_REPLICATE);
    for (int y = 0; y < level.rows; ++y) {
        const auto* p = copper.ptr<std::uint8_t>(y);
        auto* q = level.ptr<std::uint8_t>(y);
        for (int x = 0; x < level.cols; ++x) {
            q[x] = static_cast<std::uint8_t>((p[x] >= 128 ? 128 : 0) + q[x] / 2);
        }
    }
    return level;
}

// The level before ordering.
int plain(int ordered) {
    return ordered >= 128 ? (ordered - 128) * 2 + 1 : ordered * 2;
}

// Connected pieces of what is set, 0 for the rest, and how many pixels each has.
cv::Mat pieces_of(const cv::Mat& set, std::vector<int>& pixels) {
    cv::Mat pieces;
    const int count = cv::connectedComponents(set, pieces, 4, CV_32S);
    pixels.assign(static_cast<std::size_t>(count), 0);
    for (int y = 0; y < pieces.rows; ++y) {
        const int* row = pieces.ptr<int>(y);
        for (int x = 0; x < pieces.cols; ++x) {
            ++pixels[static_cast<std::size_t>(row[x])];
        }
    }
    return pieces;
}

// Seeds: sure cores of some size; a piece of copper without one is a seed as a whole. Specks, which
// are too small for an island, lose their level, so that nothing floods them.
int find_seeds(const cv::Mat& copper, cv::Mat& level, const BasinLimits& limits, cv::Mat& labels) {
    std::vector<int> core_px;
    std::vector<int> piece_px;
    const cv::Mat core = pieces_of(level >= 128 + limits.core / 2, core_px);
    const cv::Mat piece = pieces_of(copper >= 128, piece_px);
    std::vector<int> name_of_core(core_px.size(), none);
    std::vector<std::uint8_t> has_core(piece_px.size(), 0);
    int count = 0;
    for (std::size_t i = 1; i < core_px.size(); ++i) {
        if (core_px[i] >= limits.least_core_px) {
            name_of_core[i] = count++;
        }
    }
    labels = cv::Mat(copper.size(), CV_32S, cv::Scalar(none));
    for (int y = 0; y < labels.rows; ++y) {
        const int* c = core.ptr<int>(y);
        const int* p = piece.ptr<int>(y);
        int* out = labels.ptr<int>(y);
        for (int x = 0; x < labels.cols; ++x) {
            if (c[x] != 0 && name_of_core[static_cast<std::size_t>(c[x])] != none) {
                out[x] = name_of_core[static_cast<std::size_t>(c[x])];
                has_core[static_cast<std::size_t>(p[x])] = 1;
            }
        }
    }
    std::vector<int> name_of_piece(piece_px.size(), none);
    for (std::size_t i = 1; i < piece_px.size(); ++i) {
        if (has_core[i] == 0 && piece_px[i] >= limits.least_island_px) {
            name_of_piece[i] = count++;
        }
    }
    for (int y = 0; y < labels.rows; ++y) {
        const int* p = piece.ptr<int>(y);
        int* out = labels.ptr<int>(y);
        auto* q = level.ptr<std::uint8_t>(y);
        for (int x = 0; x < labels.cols; ++x) {
            const auto i = static_cast<std::size_t>(p[x]);
            if (p[x] == 0 || has_core[i] != 0) {
                continue;
            }
            out[x] = name_of_piece[i];
            q[x] = name_of_piece[i] == none ? 0 : q[x];
        }
    }
    return count;
}

constexpr std::array<std::pair<int, int>, 4> neighbours = {{{0, -1}, {-1, 0}, {1, 0}, {0, 1}}};

// Floods from the seeds, highest levels first.
class Flood {
public:
    Flood(const cv::Mat& level, cv::Mat& labels, int floor)
        : level_(level), labels_(labels), floor_(floor) {}

    void run() {
        start();
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

    void start() {
        for (int y = 0; y < labels_.rows; ++y) {
            const int* row = labels_.ptr<int>(y);
            const int* above = labels_.ptr<int>(std::max(0, y - 1));
            const int* below = labels_.ptr<int>(std::min(labels_.rows - 1, y + 1));
            const int last = labels_.cols - 1;
            for (int x = 0; x <= last; ++x) {
                const int label = row[x];
                // Amid its own there is nothing to spread to.
                if (label != none &&
                    (above[x] != label || below[x] != label || row[std::max(0, x - 1)] != label ||
                     row[std::min(last, x + 1)] != label)) {
                    spread({x, y}, label, 255);
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
        Saddle& saddle = best_[pair];
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
};

}  // namespace

Basins find_basins(const cv::Mat& copper, const BasinLimits& limits, const cv::Mat& walls) {
    cv::Mat level = ordered_levels(copper, limits.blur_px);
    if (!walls.empty()) {
        level.setTo(0, walls);
    }
    Basins basins;
    basins.count = find_seeds(copper, level, limits, basins.labels);
    Flood flood(level, basins.labels, std::max(1, limits.floor / 2));
    flood.run();
    basins.saddles = flood.saddles();
    basins.labels.setTo(none, copper < 128);
    return basins;
}

}  // namespace etchback::copper::eye::detail
