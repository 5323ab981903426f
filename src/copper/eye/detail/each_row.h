// Rows of pictures, worked on side by side.
#pragma once

#include <opencv2/core.hpp>
#include <opencv2/core/utility.hpp>

namespace etchback::copper::eye::detail {

// Calls work(y) for each row, 0 to `rows` - 1, on all cores. No row may need what is written for
// another.
template <typename Work>
void for_each_row(int rows, Work work) {
    cv::parallel_for_(cv::Range(0, rows), [&](const cv::Range& some) {
        for (int y = some.start; y < some.end; ++y) {
            work(y);
        }
    });
}

// The same as cv::GaussianBlur of a CV_32F picture, bit by bit, on all cores.
cv::Mat blurred(const cv::Mat& values, double sigma_px);

}  // namespace etchback::copper::eye::detail
