// Pieces of copper that lie beside each other with nothing but a narrow cover between.
#pragma once

#include <opencv2/core.hpp>
#include <vector>

namespace etchback::copper::eye::detail {

struct CoverNeighbours {
    int a = -1;  // islands, a < b
    int b = -1;
    cv::Point from;       // of a
    cv::Point to;         // of b
    double length = 0.0;  // pixels, the shortest way below what covers
    int meetings = 0;     // of pixels where waves met
};

// Those that are at most `most` pixels apart, by way over pixels of `covers` (CV_8U, see Cover)
// that no `walls` (may be empty) close. `labels`: CV_32S; only the first `count` islands.
// `step`: looks at each so-manieth pixel only.
std::vector<CoverNeighbours> cover_neighbours(const cv::Mat& labels,
                                              int count,
                                              const cv::Mat& covers,
                                              const cv::Mat& walls,
                                              double most,
                                              int step = 1);

}  // namespace etchback::copper::eye::detail
