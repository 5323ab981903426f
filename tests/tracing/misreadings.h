// Where a picture was misread so that pads were judged wrongly: what a person sees who lays the
// nets over the photo.
#pragma once

#include <map>
#include <opencv2/core/mat.hpp>
#include <string>
#include <vector>

#include "tracing/invented_board.h"

namespace etchback::tracing {

// The truth as each pixel of the raster shows it, by the photo's own camera.
struct TrueSide {
    cv::Mat net;     // CV_32S, -1: no copper
    cv::Mat piece;   // CV_32S, connected piece of copper, 0: none
    cv::Mat hidden;  // CV_8U
};

// The pixel of the raster that shows a place of the board on a side; (-1, -1): there is no photo.
cv::Point raster_place(const InventedBoard& board,
                       const copper::Trace& trace,
                       copper::Side side,
                       copper::Point truly);

// Names of nets as numbers.
struct Names {
    std::map<std::string, int> number;
    int of(const std::string& name) {
        return number.emplace(name, static_cast<int>(number.size())).first->second;
    }
};

TrueSide true_side(const InventedBoard& board,
                   const copper::Trace& trace,
                   copper::Side side,
                   Names& names);

// A place where copper of one net was not followed.
struct Break {
    copper::Side side = copper::Side::top;
    std::vector<cv::Point> along;  // raster pixels of copper that were taken for something else
    std::string as;                // what they were taken for
    bool seen = false;             // the photo shows the copper there
    bool through = false;          // a hole in the board was missed
    int pairs = 0;                 // of pads that it parts
};

// One for each group of pads that was parted from its net, what parts most pairs first; of the
// `most` largest groups.
std::vector<Break> breaks_of(const InventedBoard& board,
                             const TracedBoard& traced,
                             std::size_t most = 1000);

// A place where board was taken for copper, so that two nets became one.
struct FalseBridge {
    copper::Side side = copper::Side::top;
    std::vector<cv::Point> along;  // raster pixels, from one net to the other
    int pairs = 0;
};
std::vector<FalseBridge> false_bridges_of(const InventedBoard& board, const TracedBoard& traced);

}  // namespace etchback::tracing
