#include "copper/eye/detail/cover_neighbours.h"

#include <map>
#include <opencv2/imgproc.hpp>
#include <utility>

#include "copper/eye/detail/covered_ends.h"
#include "copper/eye/detail/label_pixels.h"
#include "copper/eye/detail/runs.h"

namespace etchback::copper::eye::detail {

namespace {

// Steps straight and aslant, in fifths of a pixel.
constexpr int straight = 5;
constexpr int aslant = 7;

// A pixel, counted row by row in a picture with a rim of one pixel.
using Place = int;

struct Wave {
    Place at;
    Place from;  // the copper that it started from
};

cv::Mat with_rim(const cv::Mat& picture, int value) {
    cv::Mat out;
    cv::copyMakeBorder(picture, out, 1, 1, 1, 1, cv::BORDER_CONSTANT, cv::Scalar(value));
    return out;
}

// Spreads from all copper at once over what is covered; where two waves meet, their copper is
// nearest to each other.
class Spread {
public:
    // `labels`: CV_32S; `open`: CV_8U, where waves go.
    Spread(const cv::Mat& labels, int count, const cv::Mat& open, int most)
        : labels_(with_rim(labels, -1)),
          open_(with_rim(open, 0)),
          copper_(pieces_below(labels_, count)),
          waves_(static_cast<std::size_t>(most / 2 + aslant + 1)),
          distance_(labels_.size(), CV_16U, cv::Scalar(unreached)),
          origin_(labels_.size(), CV_32S) {
        for (int dy = -1; dy <= 1; ++dy) {
            for (int dx = -1; dx <= 1; ++dx) {
                if (dx != 0 || dy != 0) {
                    around_.push_back(
                        {dy * labels_.cols + dx, dx == 0 || dy == 0 ? straight : aslant});
                }
            }
        }
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
    static constexpr int unreached = 65535;

    struct Step {
        int by;
        int length;
    };

    bool is_copper(Place p) const { return copper_.data[p] != 0; }
    bool is_open(Place p) const { return open_.data[p] != 0; }
    int label(Place p) const { return labels_.ptr<int>()[p]; }
    std::uint16_t& distance(Place p) { return distance_.ptr<std::uint16_t>()[p]; }
    Place& origin(Place p) { return origin_.ptr<Place>()[p]; }
    cv::Point point(Place p) const { return {p % labels_.cols - 1, p / labels_.cols - 1}; }

    void start() {
        cv::Mat rim;
        cv::dilate(copper_, rim, cv::getStructuringElement(cv::MORPH_RECT, {3, 3}));
        rim &= open_;
        for (const Run& run : runs_of(rim)) {
            for (Place p = run.y * rim.cols + run.from; p < run.y * rim.cols + run.to; ++p) {
                for (const Step& step : around_) {
                    if (is_copper(p + step.by)) {
                        reach(p, p + step.by, step.length);
                    }
                }
            }
        }
    }

    void reach(Place p, Place from, int d) {
        if (d < distance(p) && d < static_cast<int>(waves_.size())) {
            distance(p) = static_cast<std::uint16_t>(d);
            origin(p) = from;
            waves_[static_cast<std::size_t>(d)].push_back({p, from});
        }
    }

    void spread(Wave wave, int d) {
        if (distance(wave.at) < d) {
            return;
        }
        for (const Step& step : around_) {
            const Place q = wave.at + step.by;
            if (is_copper(q)) {
                meet(wave.from, q, d + step.length);
            } else if (is_open(q)) {
                const int there = distance(q);
                if (there > d + step.length) {
                    reach(q, wave.from, d + step.length);
                } else {
                    meet(wave.from, origin(q), d + step.length + there);
                }
            }
        }
    }

    void meet(Place one, Place other, int length) {
        int a = label(one);
        int b = label(other);
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
            known = {a, b, point(one), point(other), pixels, 0};
        }
        known.meetings = meetings;
    }

    cv::Mat labels_;
    cv::Mat open_;
    cv::Mat copper_;  // CV_8U
    std::vector<std::vector<Wave>> waves_;
    cv::Mat distance_;
    cv::Mat origin_;
    std::vector<Step> around_;
    std::map<std::pair<int, int>, CoverNeighbours> met_;
    std::pair<const std::pair<int, int>, CoverNeighbours>* last_ = nullptr;  // in `met_`
};

// Every `step`-th pixel of every `step`-th row.
template <typename Pixel>
cv::Mat thinned(const cv::Mat& picture, int step) {
    if (step == 1) {
        return picture;
    }
    cv::Mat_<Pixel> few((picture.rows + step - 1) / step, (picture.cols + step - 1) / step);
    for (int y = 0; y < few.rows; ++y) {
        const auto* row = picture.ptr<Pixel>(y * step);
        auto* out = few[y];
        for (int x = 0; x < few.cols; ++x) {
            out[x] = row[x * step];
        }
    }
    return few;
}

}  // namespace

std::vector<CoverNeighbours> cover_neighbours(const cv::Mat& labels,
                                              int count,
                                              const cv::Mat& covers,
                                              const cv::Mat& walls,
                                              double most,
                                              int step) {
    const cv::Rect inside(0, 0, labels.cols - labels.cols % step, labels.rows - labels.rows % step);
    const cv::Mat islands = thinned<int>(labels(inside), step);
    cv::Mat open = (thinned<std::uint8_t>(covers(inside), step) != seen) & (islands < 0);
    if (!walls.empty()) {
        // As wide as a step, so that none is stepped over.
        cv::Mat wide;
        cv::dilate(
            walls, wide, cv::getStructuringElement(cv::MORPH_RECT, {2 * step - 1, 2 * step - 1}));
        open.setTo(0, thinned<std::uint8_t>(wide(inside), step));
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
