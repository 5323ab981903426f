// What a person sees and concludes of the copper of a side; see drawing_person.h.
#pragma once

#include <opencv2/core.hpp>

#include "tracing/misreadings.h"

namespace etchback::tracing {

struct SeenSide {
    cv::Mat net;    // CV_32S at each raster pixel: of copper that they know, -1: none or not known
    cv::Mat piece;  // CV_32S: known copper of one net that hangs together, -1: none
    int pieces = 0;
    cv::Mat board;  // CV_8U, 255: they see that there is no copper
    int concluded_rightly = 0;
    int concluded_wrongly = 0;
};

SeenSide seen_side(const InventedBoard& board,
                   const TracedBoard& traced,
                   copper::Side side,
                   Names& names);

}  // namespace etchback::tracing
