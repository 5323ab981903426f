// Solder joints and bare pads where the dossier says that a pin is soldered.
#pragma once

#include <opencv2/core.hpp>

#include "copper/eye/detail/two_classes.h"
#include "copper/eye/detail/work_picture.h"

namespace etchback::copper::eye::detail {

// CV_8U: what hangs together with each pad's place and looks like metal, and a small disc about the
// place in any case. `other`: pixels that do not look like the board. `lamp`: the hue of what has
// none, red to green and blue to green.
cv::Mat solder_at_pads(const WorkPicture& work,
                       const TwoClasses& classes,
                       const cv::Mat& other,
                       const cv::Vec2f& lamp);

}  // namespace etchback::copper::eye::detail
