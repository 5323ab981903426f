#include "copper/eye/detail/island_middles.h"

#include <algorithm>
#include <opencv2/imgproc.hpp>

#include "copper/eye/detail/raster_pixels.h"

namespace etchback::copper::eye::detail {

namespace {

constexpr int none = -1;
constexpr int coarse = 2;           // pixels, for wide islands
constexpr int least_wide = 10'000;  // pixels of its box

// The island at each square of pixels that one fills; none: several, or the square leaves the
// picture. `places`: squares from the picture's corner on, `side` pixels wide.
cv::Mat filled_squares(const cv::Mat& islands, cv::Rect places, int side) {
    cv::Mat out(places.size(), CV_32S, cv::Scalar(none));
    const int rows = std::min(places.height, islands.rows / side - places.y);
    const int cols = std::min(places.width, islands.cols / side - places.x);
    for (int y = 0; y < rows; ++y) {
        int* filled = out.ptr<int>(y);
        for (int dy = 0; dy < side; ++dy) {
            const int* row = islands.ptr<int>(side * (places.y + y) + dy) + side * places.x;
            for (int x = 0; x < cols; ++x) {
                int own = dy == 0 ? row[side * x] : filled[x];
                for (int dx = 0; dx < side; ++dx) {
                    own = row[side * x + dx] == own ? own : none;
                }
                filled[x] = own;
            }
        }
    }
    return out;
}

// How deep places lie in their islands, in a part of the picture. Depth counts from the nearest
// place of another island or of none, so that it is the island's own. A place is a square of
// `side` pixels that one island fills.
class Depths {
public:
    Depths(const cv::Mat& islands, cv::Rect box, int side) : corner_(box.tl() / side), side_(side) {
        const cv::Point end = (box.br() + cv::Point(side - 1, side - 1)) / side;
        island_ = filled_squares(islands, {corner_, end}, side);
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

// The box about each island whose middle is not known, and some pixels more; of others, none.
std::vector<cv::Rect> boxes_of_unknown(const std::vector<cv::Rect>& all,
                                       const std::vector<cv::Point>& middles,
                                       cv::Size size) {
    std::vector<cv::Rect> boxes(middles.size());
    for (std::size_t i = 0; i < boxes.size(); ++i) {
        if (middles[i] == no_middle && !all[i].empty()) {
            boxes[i] = grown(all[i], coarse, size);
        }
    }
    return boxes;
}

}  // namespace

void find_middles(const cv::Mat& islands,
                  const std::vector<cv::Rect>& all,
                  std::vector<cv::Point>& middles) {
    const std::vector<cv::Rect> boxes = boxes_of_unknown(all, middles, islands.size());
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
