#include "copper/eye/detail/cover_neighbours.h"

#include <array>
#include <map>
#include <opencv2/imgproc.hpp>
#include <utility>

#include "copper/eye/detail/covered_ends.h"
#include "copper/eye/detail/label_pixels.h"

namespace etchback::copper::eye::detail {

namespace {

// Steps straight and aslant, in fifths of a pixel.
constexpr int straight = 5;
constexpr int aslant = 7;

struct Wave {
    cv::Point at;
    cv::Point from;  // the copper that it started from
};

// Spreads from all copper at once over what is covered; where two waves meet, their copper is
// nearest to each other.
class Spread {
public:
    // `labels`: CV_32S; `open`: CV_8U, where waves go.
    Spread(cv::Mat labels, int count, cv::Mat open, int most)
        : labels_(std::move(labels)),
          open_(std::move(open)),
          waves_(static_cast<std::size_t>(most / 2 + aslant + 1)) {
        copper_ = pieces_below(labels_, count);
        distance_ = cv::Mat(labels_.size(), CV_16U, cv::Scalar(65535));
        origin_ = cv::Mat(labels_.size(), CV_32SC2);
    }

    std::vector<CoverNeighbours> met() {
        start();
        const int last = static_cast<int>(waves_.size()) - aslant - 1;
        for (int d = 0; d <= last; ++d) {
            for (std::size_t i = 0; i < waves_[static_cast<std::size_t>(d)].size(); ++i) {
                spread(waves_[static_cast<std::size_t>(d)][i], d);
            }
        }
        std::vector<CoverNeighbours> all;
        for (auto& [islands, pair] : met_) {
            all.push_back(pair);
        }
        return all;
    }

private:
    bool is_copper(cv::Point p) const { return copper_.at<std::uint8_t>(p) != 0; }
    bool is_open(cv::Point p) const { return open_.at<std::uint8_t>(p) != 0; }
    bool is_inside(cv::Point p) const {
        return p.x >= 0 && p.y >= 0 && p.x < labels_.cols && p.y < labels_.rows;
    }

    template <typename Do>
    void around(cv::Point p, Do what) const {
        for (int dy = -1; dy <= 1; ++dy) {
            for (int dx = -1; dx <= 1; ++dx) {
                const cv::Point q(p.x + dx, p.y + dy);
                if ((dx != 0 || dy != 0) && is_inside(q)) {
                    what(q, dx == 0 || dy == 0 ? straight : aslant);
                }
            }
        }
    }

    void start() {
        cv::Mat rim;
        cv::dilate(copper_, rim, cv::getStructuringElement(cv::MORPH_RECT, {3, 3}));
        rim &= open_;
        std::vector<cv::Point> places;
        cv::findNonZero(rim, places);
        for (const cv::Point& p : places) {
            around(p, [&](cv::Point q, int step) {
                if (is_copper(q)) {
                    reach(p, q, step);
                }
            });
        }
    }

    void reach(cv::Point p, cv::Point from, int d) {
        auto& known = distance_.at<std::uint16_t>(p);
        if (d < known && d < static_cast<int>(waves_.size())) {
            known = static_cast<std::uint16_t>(d);
            origin_.at<cv::Vec2i>(p) = {from.x, from.y};
            waves_[static_cast<std::size_t>(d)].push_back({p, from});
        }
    }

    void spread(Wave wave, int d) {
        if (distance_.at<std::uint16_t>(wave.at) < d) {
            return;
        }
        around(wave.at, [&](cv::Point q, int step) {
            if (is_copper(q)) {
                meet(wave.from, q, d + step);
            } else if (is_open(q)) {
                const int there = distance_.at<std::uint16_t>(q);
                if (there == 65535 || there > d + step) {
                    reach(q, wave.from, d + step);
                } else {
                    const auto origin = origin_.at<cv::Vec2i>(q);
                    meet(wave.from, {origin[0], origin[1]}, d + step + there);
                }
            }
        });
    }

    void meet(cv::Point one, cv::Point other, int length) {
        int a = labels_.at<int>(one);
        int b = labels_.at<int>(other);
        if (a == b) {
            return;
        }
        if (a > b) {
            std::swap(a, b);
            std::swap(one, other);
        }
        // Mostly the same two meet again.
        if (last_ == nullptr || last_->first != std::pair(a, b)) {
            last_ = &*met_.try_emplace({a, b}).first;
        }
        CoverNeighbours& known = last_->second;
        const double pixels = static_cast<double>(length) / straight;
        const int meetings = known.meetings + 1;
        if (known.a < 0 || pixels < known.length) {
            known = {a, b, one, other, pixels, 0};
        }
        known.meetings = meetings;
    }

    cv::Mat labels_;
    cv::Mat open_;
    cv::Mat copper_;  // CV_8U
    std::vector<std::vector<Wave>> waves_;
    cv::Mat distance_;
    cv::Mat origin_;
    std::map<std::pair<int, int>, CoverNeighbours> met_;
    std::pair<const std::pair<int, int>, CoverNeighbours>* last_ = nullptr;  // in `met_`
};

// Every `step`-th pixel of every `step`-th row.
cv::Mat thinned(const cv::Mat& picture, int step) {
    if (step == 1) {
        return picture;
    }
    cv::Mat small;
    cv::resize(picture,
               small,
               {(picture.cols + step - 1) / step, (picture.rows + step - 1) / step},
               0.0,
               0.0,
               cv::INTER_NEAREST);
    return small;
}

}  // namespace

std::vector<CoverNeighbours> cover_neighbours(const cv::Mat& labels,
                                              int count,
                                              const cv::Mat& covers,
                                              const cv::Mat& walls,
                                              double most,
                                              int step) {
    const cv::Rect inside(0, 0, labels.cols - labels.cols % step, labels.rows - labels.rows % step);
    const auto few = [&](const cv::Mat& picture) { return thinned(picture(inside), step); };
    const cv::Mat islands = few(labels);
    cv::Mat open = (few(covers) != seen) & (islands < 0);
    if (!walls.empty()) {
        // As wide as a step, so that none is stepped over.
        cv::Mat wide;
        cv::dilate(
            walls, wide, cv::getStructuringElement(cv::MORPH_RECT, {2 * step - 1, 2 * step - 1}));
        open.setTo(0, few(wide));
    }
    const int limit = static_cast<int>(straight * most / step);
    std::vector<CoverNeighbours> pairs = Spread(islands, count, open, limit).met();
    for (CoverNeighbours& pair : pairs) {
        pair.from *= step;
        pair.to *= step;
        pair.length *= step;
        pair.meetings *= step;
    }
    return pairs;
}

}  // namespace etchback::copper::eye::detail
