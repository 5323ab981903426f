#include "copper/eye/detail/each_row.h"

#include <algorithm>
#include <opencv2/imgproc.hpp>

namespace etchback::copper::eye::detail {

cv::Mat blurred(const cv::Mat& values, double sigma_px) {
    CV_Assert(values.depth() == CV_32F);  // of bytes, a part of a picture is rounded differently
    constexpr int least_rows = 64;        // what lies above and below is averaged once more
    cv::Mat out(values.size(), values.type());
    const int bands = std::clamp(values.rows / least_rows, 1, cv::getNumThreads());
    cv::parallel_for_(
        cv::Range(0, values.rows),
        [&](const cv::Range& band) {
            // A part of a picture is averaged with what lies about it.
            cv::Mat of_band = out.rowRange(band);
            cv::GaussianBlur(values.rowRange(band), of_band, {}, sigma_px);
        },
        bands);
    return out;
}

}  // namespace etchback::copper::eye::detail
