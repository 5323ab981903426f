#include "copper/eye/detail/discs.h"

#include <algorithm>
#include <cstdint>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "copper/eye/detail/runs.h"

namespace etchback::copper::eye::detail {

namespace {

// Pixels `from` to `to` - 1 of a row.
struct Span {
    int from = 0;
    int to = 0;
};
using Spans = std::vector<Span>;

// How far a disc reaches to either side of its middle, by row.
class Disc {
public:
    explicit Disc(double radius_px) : radius_(std::max(1, cvRound(radius_px))) {
        const int across = 2 * radius_ + 1;
        const cv::Mat disc = cv::getStructuringElement(cv::MORPH_ELLIPSE, {across, across});
        for (int y = 0; y < across; ++y) {
            reach_.push_back(cv::countNonZero(disc.row(y)) / 2);
        }
        pixels_ = cv::countNonZero(disc);
    }

    int radius() const { return radius_; }
    int pixels() const { return pixels_; }
    int reach(int dy) const { return reach_[static_cast<std::size_t>(dy + radius_)]; }

private:
    int radius_;
    int pixels_ = 0;
    std::vector<int> reach_;
};

// Sets all that discs cover whose middles are those of a span in row `y`.
void draw(const Disc& disc, int y, const Span& middles, cv::Mat& out) {
    const int last = std::min(disc.radius(), out.rows - 1 - y);
    for (int dy = std::max(-disc.radius(), -y); dy <= last; ++dy) {
        const int from = std::max(0, middles.from - disc.reach(dy));
        const int to = std::min(out.cols, middles.to + disc.reach(dy));
        std::fill_n(out.ptr<std::uint8_t>(y + dy) + from, to - from, std::uint8_t{255});
    }
}

// Keeps of `all` what lies within `others`; both from left to right.
void keep_within(const Spans& others, Spans& all, Spans& room) {
    room.clear();
    auto other = others.begin();
    for (const Span& span : all) {
        while (other != others.end() && other->to <= span.from) {
            ++other;
        }
        for (auto i = other; i != others.end() && i->from < span.to; ++i) {
            room.push_back({std::max(span.from, i->from), std::min(span.to, i->to)});
        }
    }
    all.swap(room);
}

// One piece, and where the middle of a disc may lie in it.
class Piece {
public:
    Piece(const std::vector<Run>& runs, cv::Size picture)
        : picture_(picture), first_(runs.front().y) {
        rows_.resize(static_cast<std::size_t>(runs.back().y - first_ + 1));
        for (const Run& run : runs) {
            rows_[static_cast<std::size_t>(run.y - first_)].push_back({run.from, run.to});
        }
    }

    // Calls take(y, middles) for each span of middles.
    template <typename Take>
    void for_middles(const Disc& disc, Take take) {
        for (int y = first_; y < first_ + static_cast<int>(rows_.size()); ++y) {
            find_middles(disc, y);
            for (const Span& middles : middles_) {
                take(y, middles);
            }
        }
    }

private:
    // What lies beyond the picture's edge counts as set.
    void find_middles(const Disc& disc, int y) {
        middles_ = rows_[static_cast<std::size_t>(y - first_)];
        for (int dy = -disc.radius(); dy <= disc.radius() && !middles_.empty(); ++dy) {
            if (y + dy < 0 || y + dy >= picture_.height) {
                continue;
            }
            const int row = y + dy - first_;
            narrowed_.clear();
            if (row >= 0 && row < static_cast<int>(rows_.size())) {
                for (const Span& span : rows_[static_cast<std::size_t>(row)]) {
                    const int from = span.from == 0 ? 0 : span.from + disc.reach(dy);
                    const int to = span.to == picture_.width ? span.to : span.to - disc.reach(dy);
                    if (from < to) {
                        narrowed_.push_back({from, to});
                    }
                }
            }
            keep_within(narrowed_, middles_, room_);
        }
    }

    cv::Size picture_;
    int first_;
    std::vector<Spans> rows_;
    Spans middles_;
    Spans narrowed_;
    Spans room_;
};

// Calls take(y, middles) for all middles of discs that lie within the mask.
template <typename Take>
void for_middles(const cv::Mat& mask, const Disc& disc, Take take) {
    // A disc lies within one piece.
    for (const std::vector<Run>& piece : pieces_of(mask, false).by_piece()) {
        const cv::Rect box = box_about(piece, 1, mask.size());
        const bool at_edge =
            box.x == 0 || box.y == 0 || box.br().x == mask.cols || box.br().y == mask.rows;
        if (pixels_in(piece) >= disc.pixels() || at_edge) {
            Piece(piece, mask.size()).for_middles(disc, take);
        }
    }
}

}  // namespace

cv::Mat grown(const cv::Mat& mask, double radius_px) {
    const Disc disc(radius_px);
    cv::Mat out = cv::Mat::zeros(mask.size(), CV_8U);
    for (const Run& run : runs_of(mask)) {
        draw(disc, run.y, {run.from, run.to}, out);
    }
    return out;
}

cv::Mat shrunk(const cv::Mat& mask, double radius_px) {
    cv::Mat out = cv::Mat::zeros(mask.size(), CV_8U);
    for_middles(mask, Disc(radius_px), [&](int y, const Span& middles) {
        set_run(out, {y, middles.from, middles.to, 0}, 255);
    });
    return out;
}

cv::Mat opened(const cv::Mat& mask, double radius_px) {
    const Disc disc(radius_px);
    cv::Mat out = cv::Mat::zeros(mask.size(), CV_8U);
    for_middles(mask, disc, [&](int y, const Span& middles) { draw(disc, y, middles, out); });
    return out;
}

cv::Mat closed(const cv::Mat& mask, double radius_px) {
    return shrunk(grown(mask, radius_px), radius_px);
}

}  // namespace etchback::copper::eye::detail
