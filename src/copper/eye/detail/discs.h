// Discs of pixels on masks (CV_8U): morphology with a disc as cv::MORPH_ELLIPSE gives it, on runs
// of pixels. A mask has few runs where pixels are many, and a disc of many pixels costs no more
// than its rows.
//
// The results are OpenCV's: what lies beyond the picture's edge grows in nowhere, and takes away
// nothing. A radius is rounded, and at least one pixel.
#pragma once

#include <opencv2/core.hpp>

namespace etchback::copper::eye::detail {

// All that a disc with its middle in the mask covers (cv::dilate).
cv::Mat grown(const cv::Mat& mask, double radius_px);

// Where the middle of a disc that lies within the mask may be (cv::erode).
cv::Mat shrunk(const cv::Mat& mask, double radius_px);

// The parts of a mask into which a disc fits (cv::MORPH_OPEN).
cv::Mat opened(const cv::Mat& mask, double radius_px);

// The mask with the gaps into which no disc fits (cv::MORPH_CLOSE).
cv::Mat closed(const cv::Mat& mask, double radius_px);

}  // namespace etchback::copper::eye::detail
