#include "copper/eye/detail/island_middles.h"

#include <opencv2/imgproc.hpp>

namespace etchback::copper::eye::detail {

namespace {

// The deepest pixel of each island in a part of the picture, `wanted` ones only. Depth counts from
// the nearest pixel of another island or of none, so that it is the island's own.
class Depths {
public:
    Depths(const cv::Mat& islands, cv::Rect box, std::vector<cv::Point>& middles)
        : islands_(islands), box_(box), middles_(middles) {
        cv::Mat apart(box.size(), CV_8U, cv::Scalar(0));
        for (int y = 1; y + 1 < box.height; ++y) {
            const int* row = islands.ptr<int>(box.y + y) + box.x;
            const int* above = islands.ptr<int>(box.y + y - 1) + box.x;
            auto* out = apart.ptr<std::uint8_t>(y);
            for (int x = 1; x + 1 < box.width; ++x) {
                out[x] = row[x] >= 0 && row[x] == row[x - 1] && row[x] == above[x] ? 255 : 0;
            }
        }
        cv::distanceTransform(apart, depth_, cv::DIST_L2, cv::DIST_MASK_3);
    }

    template <typename Wanted>
    void take(Wanted wanted) {
        std::vector<float> best(middles_.size(), -1.0F);
        for (int y = 0; y < box_.height; ++y) {
            const int* row = islands_.ptr<int>(box_.y + y) + box_.x;
            const auto* depth = depth_.ptr<float>(y);
            for (int x = 0; x < box_.width; ++x) {
                if (row[x] < 0 || !wanted(row[x])) {
                    continue;
                }
                const auto i = static_cast<std::size_t>(row[x]);
                if (depth[x] > best[i]) {
                    best[i] = depth[x];
                    middles_[i] = box_.tl() + cv::Point(x, y);
                }
            }
        }
    }

private:
    const cv::Mat& islands_;
    cv::Rect box_;
    std::vector<cv::Point>& middles_;
    cv::Mat depth_;
};

// The box about all pixels of some islands and one pixel more.
cv::Rect box_of(const cv::Mat& islands, const std::vector<bool>& some) {
    cv::Rect box;
    for (int y = 0; y < islands.rows; ++y) {
        const int* row = islands.ptr<int>(y);
        const auto wanted = [&](int x) {
            return row[x] >= 0 && some[static_cast<std::size_t>(row[x])];
        };
        int from = 0;
        while (from < islands.cols && !wanted(from)) {
            ++from;
        }
        if (from == islands.cols) {
            continue;
        }
        int to = islands.cols;
        while (!wanted(to - 1)) {
            --to;
        }
        box |= cv::Rect(from, y, to - from, 1);
    }
    box -= cv::Point(1, 1);
    box += cv::Size(2, 2);
    return box & cv::Rect({0, 0}, islands.size());
}

}  // namespace

void find_middles(const cv::Mat& islands, std::vector<cv::Point>& middles) {
    std::vector<bool> some(middles.size());
    bool any = false;
    for (std::size_t i = 0; i < middles.size(); ++i) {
        some[i] = middles[i] == no_middle;
        any = any || some[i];
    }
    if (!any) {
        return;
    }
    Depths(islands, box_of(islands, some), middles).take([&](int island) {
        return some[static_cast<std::size_t>(island)];
    });
}

}  // namespace etchback::copper::eye::detail
