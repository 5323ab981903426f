// Pictures of labels, CV_32S: which piece lies at each pixel, below 0 where there is none.
#pragma once

#include <opencv2/core.hpp>
#include <utility>
#include <vector>

namespace etchback::copper::eye::detail {

// Pieces numbered `by` higher; where there is none, -1. Into `out`, which stays where it is if it
// is of this size.
void renumber(const cv::Mat& labels, int by, cv::Mat& out);

// Whether `out` is what renumber() makes of them.
bool is_renumbered(const cv::Mat& labels, int by, const cv::Mat& out);

// Only the pieces 0 to `count` - 1.
cv::Mat first_pieces(const cv::Mat& labels, int count);

// CV_8U, 255 where there is one of the pieces 0 to `count` - 1.
cv::Mat pieces_below(const cv::Mat& labels, int count);

// Takes the pieces away where a picture of levels (CV_8U) is below `least`.
void keep_where(const cv::Mat& level, int least, cv::Mat& labels);

// The lowest and the highest number of a piece; where there is none at all, the lowest is higher.
std::pair<int, int> first_and_last(const cv::Mat& labels);

// Of the pieces 0 to `count` - 1.
std::vector<int> pixels_of_each(const cv::Mat& labels, int count);

}  // namespace etchback::copper::eye::detail
