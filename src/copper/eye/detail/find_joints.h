// Soldered joints, bare pads and ends of leads: compact spots that are bright and without hue.
#pragma once

#include <opencv2/core.hpp>
#include <vector>

#include "copper/eye/detail/find_spots.h"

namespace etchback::copper::eye::detail {

// In a straightened picture. A spot's place is the middle of what shines, its radius that of a disc
// of the same area; between 0.3 and 2 mm. Lines as thin as letters are passed over; where pads hang
// together by bare tracks, the widest places stand for them.
std::vector<Spot> find_joints(const cv::Mat& bgr, const cv::Mat& inside, double px_per_mm);

}  // namespace etchback::copper::eye::detail
