// Spots of a side by place.
#pragma once

#include <algorithm>
#include <opencv2/core.hpp>
#include <vector>

namespace etchback::copper::eye::detail {

// A round spot of a side, laid on the board by that side's own outline.
struct SideSpot {
    cv::Point2d mm;
    cv::Point2d px;  // of the photo
    double radius_mm = 0.0;
    bool dark = true;
    double score = 0.0;
};

class SpotGrid {
public:
    // Keeps a reference to the spots.
    explicit SpotGrid(const std::vector<SideSpot>& spots) : spots_(spots) {
        if (spots.empty()) {
            return;
        }
        cv::Point2d last = spots.front().mm;
        first_ = last;
        for (const SideSpot& spot : spots) {
            first_ = {std::min(first_.x, spot.mm.x), std::min(first_.y, spot.mm.y)};
            last = {std::max(last.x, spot.mm.x), std::max(last.y, spot.mm.y)};
        }
        columns_ = column_of(last.x) + 1;
        rows_ = row_of(last.y) + 1;
        cells_.resize(static_cast<std::size_t>(columns_) * rows_);
        for (std::size_t i = 0; i < spots.size(); ++i) {
            const std::size_t row = row_of(spots[i].mm.y);
            cells_[row * columns_ + column_of(spots[i].mm.x)].push_back(static_cast<int>(i));
        }
    }

    // Calls visit(index) for each spot within `reach`.
    template <typename Visit>
    void around(cv::Point2d at, double reach, Visit visit) const {
        const int left = std::max(0, column_of(at.x - reach));
        const int right = std::min(columns_ - 1, column_of(at.x + reach));
        const int upper = std::max(0, row_of(at.y - reach));
        const int lower = std::min(rows_ - 1, row_of(at.y + reach));
        for (int row = upper; row <= lower; ++row) {
            for (int column = left; column <= right; ++column) {
                for (const int i : cells_[static_cast<std::size_t>(row) * columns_ + column]) {
                    const cv::Point2d d = spots_[i].mm - at;
                    if (d.dot(d) <= reach * reach) {
                        visit(i);
                    }
                }
            }
        }
    }

    // The nearest of those that fits(spot); -1: none within reach.
    template <typename Fits>
    int nearest(cv::Point2d at, double reach, Fits fits) const {
        int best = -1;
        double least = 0.0;
        around(at, reach, [&](int i) {
            const cv::Point2d d = spots_[i].mm - at;
            if (fits(spots_[i]) && (best < 0 || d.dot(d) < least)) {
                least = d.dot(d);
                best = i;
            }
        });
        return best;
    }

private:
    static constexpr double cell_mm = 1.5;
    // Held within what an int can count, for a place that a bad homography makes up.
    static int cell_of(double d) { return cvFloor(std::clamp(d / cell_mm, -1e6, 1e6)); }
    int column_of(double x) const { return cell_of(x - first_.x); }
    int row_of(double y) const { return cell_of(y - first_.y); }

    const std::vector<SideSpot>& spots_;
    cv::Point2d first_;
    int columns_ = 0;
    int rows_ = 0;
    std::vector<std::vector<int>> cells_;
};

}  // namespace etchback::copper::eye::detail
