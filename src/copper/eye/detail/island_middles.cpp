#include "copper/eye/detail/island_middles.h"

#include <opencv2/imgproc.hpp>

namespace etchback::copper::eye::detail {

namespace {

constexpr int none = -1;
constexpr int coarse = 2;           // pixels, for wide islands
constexpr int least_wide = 10'000;  // pixels of its box

// The island that fills a square of pixels; none: several, or the square leaves the picture.
int filled_by(const cv::Mat& islands, cv::Point at, int side) {
    if (at.x + side > islands.cols || at.y + side > islands.rows) {
        return none;
    }
    const int island = islands.at<int>(at);
    for (int dy = 0; dy < side; ++dy) {
        const int* row = islands.ptr<int>(at.y + dy) + at.x;
        for (int dx = 0; dx < side; ++dx) {
            if (row[dx] != island) {
                return none;
            }
        }
    }
    return island;
}

// How deep places lie in their islands, in a part of the picture. Depth counts from the nearest
// place of another island or of none, so that it is the island's own. A place is a square of
// `side` pixels that one island fills.
class Depths {
public:
    Depths(const cv::Mat& islands, cv::Rect box, int side) : corner_(box.tl() / side), side_(side) {
        const cv::Point end = (box.br() + cv::Point(side - 1, side - 1)) / side;
        island_.create(end.y - corner_.y, end.x - corner_.x, CV_32S);
        for (int y = 0; y < island_.rows; ++y) {
            int* row = island_.ptr<int>(y);
            for (int x = 0; x < island_.cols; ++x) {
                row[x] = filled_by(islands, side * (corner_ + cv::Point(x, y)), side);
            }
        }
        cv::Mat apart(island_.size(), CV_8U, cv::Scalar(0));
        for (int y = 1; y + 1 < apart.rows; ++y) {
            const int* row = island_.ptr<int>(y);
            const int* above = island_.ptr<int>(y - 1);
            auto* out = apart.ptr<std::uint8_t>(y);
            for (int x = 1; x + 1 < apart.cols; ++x) {
                out[x] = row[x] >= 0 && row[x] == row[x - 1] && row[x] == above[x] ? 255 : 0;
            }
        }
        cv::distanceTransform(apart, depth_, cv::DIST_L2, cv::DIST_MASK_3);
    }

    // The deepest place of each wanted island that has any.
    template <typename Wanted>
    void take(Wanted wanted, std::vector<cv::Point>& middles) const {
        std::vector<float> best(middles.size(), -1.0F);
        for (int y = 0; y < island_.rows; ++y) {
            const int* row = island_.ptr<int>(y);
            const auto* depth = depth_.ptr<float>(y);
            for (int x = 0; x < island_.cols; ++x) {
                if (row[x] < 0 || !wanted(row[x])) {
                    continue;
                }
                const auto i = static_cast<std::size_t>(row[x]);
                if (depth[x] > best[i]) {
                    best[i] = depth[x];
                    middles[i] = side_ * (corner_ + cv::Point(x, y));
                }
            }
        }
    }

private:
    cv::Point corner_;
    int side_;
    cv::Mat island_;  // CV_32S, of each place
    cv::Mat depth_;
};

// The box about each island whose middle is not known, and some pixels more.
std::vector<cv::Rect> boxes_of_unknown(const cv::Mat& islands,
                                       const std::vector<cv::Point>& middles) {
    std::vector<cv::Rect> boxes(middles.size());
    for (int y = 0; y < islands.rows; ++y) {
        const int* row = islands.ptr<int>(y);
        for (int x = 0; x < islands.cols;) {
            const int island = row[x];
            const int from = x;
            while (x < islands.cols && row[x] == island) {
                ++x;
            }
            if (island >= 0 && middles[static_cast<std::size_t>(island)] == no_middle) {
                boxes[static_cast<std::size_t>(island)] |= cv::Rect(from, y, x - from, 1);
            }
        }
    }
    for (cv::Rect& box : boxes) {
        if (!box.empty()) {
            box -= cv::Point(coarse, coarse);
            box += cv::Size(2 * coarse, 2 * coarse);
            box &= cv::Rect({0, 0}, islands.size());
        }
    }
    return boxes;
}

}  // namespace

void find_middles(const cv::Mat& islands, std::vector<cv::Point>& middles) {
    const std::vector<cv::Rect> boxes = boxes_of_unknown(islands, middles);
    const auto is_wide = [&](int island) {
        return boxes[static_cast<std::size_t>(island)].area() >= least_wide;
    };
    cv::Rect about_wide;
    for (std::size_t i = 0; i < boxes.size(); ++i) {
        if (is_wide(static_cast<int>(i))) {
            about_wide |= boxes[i];
        }
    }
    if (!about_wide.empty()) {
        Depths(islands, about_wide, coarse).take(is_wide, middles);
    }
    // Small ones, and wide ones that are thin all over.
    for (std::size_t i = 0; i < boxes.size(); ++i) {
        if (!boxes[i].empty() && middles[i] == no_middle) {
            Depths(islands, boxes[i], 1)
                .take([&](int island) { return static_cast<std::size_t>(island) == i; }, middles);
        }
    }
}

}  // namespace etchback::copper::eye::detail
