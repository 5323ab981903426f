// Copper pictures that somebody has already separated: nothing to learn, only to read.
#include <fmt/format.h>

#include <opencv2/imgproc.hpp>
#include <utility>

#include "copper/eye/surface.h"

namespace etchback::copper::eye {

namespace {

SidePicture side_of(const cv::Mat& bgr) {
    cv::Mat grey;
    cv::cvtColor(bgr, grey, cv::COLOR_BGR2GRAY);
    SidePicture side;
    side.copper.assign(grey.begin<std::uint8_t>(), grey.end<std::uint8_t>());
    side.surface.resize(side.copper.size());
    for (std::size_t i = 0; i < side.copper.size(); ++i) {
        side.surface[i] = side.copper[i] >= 128 ? Surface::bare_copper : Surface::laminate;
    }
    const cv::Mat whole = bgr.isContinuous() ? bgr : bgr.clone();
    side.bgr.assign(whole.data, whole.data + whole.total() * 3);
    return side;
}

}  // namespace

base::Result<BoardPicture> separated(const std::optional<Photo>& top,
                                     const std::optional<Photo>& bottom,
                                     double px_per_mm,
                                     std::vector<Hole> holes) {
    const Photo* first = top ? &*top : bottom ? &*bottom : nullptr;
    if (first == nullptr) {
        return base::Error{
            {}, "there is no copper picture of either side", "give one of the top or the bottom"};
    }
    if (!(px_per_mm > 0.0)) {
        return base::Error{{first->file, 0, 0},
                           fmt::format("{:g} pixels per mm is no scale", px_per_mm),
                           "give a scale above zero"};
    }
    if (top && bottom && top->bgr.size() != bottom->bgr.size()) {
        return base::Error{{bottom->file, 0, 0},
                           fmt::format("the copper pictures differ in size: {} has {} x {} pixels, "
                                       "{} has {} x {}",
                                       top->file,
                                       top->bgr.cols,
                                       top->bgr.rows,
                                       bottom->file,
                                       bottom->bgr.cols,
                                       bottom->bgr.rows),
                           "bring both to one frame, seen from the top side, origin at the upper "
                           "left corner of the board"};
    }
    BoardPicture picture;
    picture.raster = {first->bgr.cols, first->bgr.rows, px_per_mm, {}};
    if (top) {
        picture.top = side_of(top->bgr);
    }
    if (bottom) {
        picture.bottom = side_of(bottom->bgr);
    }
    picture.holes = std::move(holes);
    picture.registration.good = true;
    picture.registration.scale_known = true;
    picture.registration.scale_from = "pixels per mm of the copper pictures";
    return picture;
}

}  // namespace etchback::copper::eye
