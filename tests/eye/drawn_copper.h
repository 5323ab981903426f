// Pictures of copper drawn by hand, and what is asked of the islands on them. 20 pixels are 1 mm.
#pragma once

#include <algorithm>
#include <numeric>
#include <opencv2/imgproc.hpp>
#include <optional>
#include <utility>
#include <vector>

#include "copper/eye/find_islands.h"
#include "copper/eye/photo.h"

namespace etchback::copper::eye {

inline Photo blank(int width = 200, int height = 120) {
    return {"copper.png", cv::Mat(height, width, CV_8UC3, cv::Scalar::all(0))};
}

inline void copper(Photo& photo, cv::Rect where) {
    cv::rectangle(photo.bgr, where, cv::Scalar::all(255), cv::FILLED);
}

inline BoardPicture read(const Photo& top,
                         std::optional<Photo> bottom = {},
                         std::vector<Hole> holes = {}) {
    return *separated(top, bottom, 20.0, std::move(holes));
}

inline int count(const Islands& islands, Joint::Kind kind) {
    return static_cast<int>(std::ranges::count(islands.joints, kind, &Joint::kind));
}

// Whether closed joints make two islands one.
inline bool are_one(const Islands& islands, std::size_t a, std::size_t b) {
    std::vector<int> group(islands.islands.size());
    std::iota(group.begin(), group.end(), 0);
    for (std::size_t turn = 0; turn < group.size(); ++turn) {
        for (const Joint& joint : islands.joints) {
            if (joint.joined > 0.5) {
                int& one = group[static_cast<std::size_t>(joint.a)];
                int& other = group[static_cast<std::size_t>(joint.b)];
                one = other = std::min(one, other);
            }
        }
    }
    return group[a] == group[b];
}

// On the top.
inline std::size_t island_at(const Islands& islands, int x, int y) {
    const std::size_t at = static_cast<std::size_t>(y * islands.raster.width + x);
    return static_cast<std::size_t>(islands.map(Side::top)[at]);
}

// Masked copper, some of which something hides.
inline BoardPicture masked_below(const Photo& photo, cv::Rect where, Surface cover) {
    BoardPicture picture = read(photo);
    std::ranges::replace(picture.top->surface, Surface::bare_copper, Surface::masked_copper);
    for (int y = where.y; y < where.br().y; ++y) {
        for (int x = where.x; x < where.br().x; ++x) {
            picture.top->surface[static_cast<std::size_t>(y * picture.raster.width + x)] = cover;
        }
    }
    return picture;
}

// Two tracks that meet a stroke of print aslant, not face to face.
inline BoardPicture print_between() {
    Photo photo = blank();
    copper(photo, {10, 50, 70, 16});
    copper(photo, {86, 20, 16, 60});
    return masked_below(photo, {80, 30, 6, 56}, Surface::legend);
}

}  // namespace etchback::copper::eye
