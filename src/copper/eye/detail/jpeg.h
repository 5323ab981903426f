// JPEG through libjpeg itself, because only it says that a file ended early: OpenCV fills the rest
// with grey and calls it a picture.
#pragma once

#include <cstdint>
#include <opencv2/core/mat.hpp>
#include <span>
#include <string>

namespace etchback::copper::eye::detail {

struct Jpeg {
    cv::Mat bgr;  // CV_8UC3; empty: not read, see `broken`
    cv::Size size;
    int orientation = 1;  // EXIF, not applied
    std::string broken;   // what libjpeg says is wrong with the file; empty: nothing
};

// A picture of more than `most_pixels` is not decoded: `size` is set, `bgr` is empty and `broken`
// is, too.
Jpeg read_jpeg(std::span<const std::uint8_t> bytes, std::int64_t most_pixels);

}  // namespace etchback::copper::eye::detail
