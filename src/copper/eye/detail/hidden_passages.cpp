#include "copper/eye/detail/hidden_passages.h"

#include <algorithm>
#include <set>
#include <utility>

#include "copper/eye/detail/raster_pixels.h"
#include "copper/eye/detail/stroke_line.h"

namespace etchback::copper::eye::detail {

namespace {

bool hides(Surface surface) {
    return surface == Surface::body || surface == Surface::unknown || surface == Surface::legend;
}

// A line on its way from island to island.
class Passing {
public:
    explicit Passing(double px_per_mm) : px_per_mm_(px_per_mm) {}

    // The island from which copper was followed below a cover to this one; -1: none was.
    int onto(int island) {
        const int from = covered_ > 0 && island != from_ ? from_ : -1;
        from_ = island;
        covered_ = 0;
        open_ = 0;
        return from;
    }
    void below_cover() { ++covered_; }
    // Along its rim a cover is a little narrower than what it hides.
    void in_the_open() {
        constexpr double rim_mm = 0.25;
        if (++open_ > rim_mm * px_per_mm_) {
            from_ = -1;
        }
    }

private:
    double px_per_mm_;
    int from_ = -1;
    int covered_ = 0;  // pixels since then
    int open_ = 0;
};

}  // namespace

void join_passages(const std::vector<RasterStroke>& strokes,
                   const SidePicture& side,
                   const Raster& raster,
                   const cv::Mat& labels,
                   std::vector<Joint>& joints) {
    for (const RasterStroke& stroke : strokes) {
        const cv::Rect box = box_of(stroke, 0.5 * raster.px_per_mm, labels.size());
        if (stroke.says != RasterStroke::Says::hidden_copper || box.empty()) {
            continue;
        }
        const std::vector<cv::Point> pixels = pixels_along(stroke, labels);
        const std::set<int> followed = followed_islands(pixels, labels, box, raster.px_per_mm);
        std::set<std::pair<int, int>> told;
        Passing passing(raster.px_per_mm);
        for (const cv::Point& p : pixels) {
            const int island = labels.at<int>(p);
            if (island >= 0 && followed.contains(island)) {
                const int from = passing.onto(island);
                if (from >= 0 && told.insert(std::minmax(from, island)).second) {
                    Joint joint;
                    joint.kind = Joint::Kind::bridge;
                    joint.a = std::min(from, island);
                    joint.b = std::max(from, island);
                    joint.joined = 1.0;
                    joint.at = board_of(cv::Point2d(p), raster);
                    joint.why = "your stroke 'hidden copper'";
                    joints.push_back(std::move(joint));
                }
            } else if (hides(side.surface[static_cast<std::size_t>(p.y) * labels.cols + p.x])) {
                passing.below_cover();
            } else if (island < 0) {
                passing.in_the_open();
            }
        }
    }
}

std::set<std::pair<int, int>> followed_in_turn(const RasterStroke& stroke,
                                               const cv::Mat& labels,
                                               double px_per_mm) {
    const cv::Rect box = box_of(stroke, 0.5 * px_per_mm, labels.size());
    std::set<std::pair<int, int>> in_turn;
    if (box.empty()) {
        return in_turn;
    }
    const std::vector<cv::Point> pixels = pixels_along(stroke, labels);
    const std::set<int> followed = followed_islands(pixels, labels, box, px_per_mm);
    int before = -1;
    for (const cv::Point& p : pixels) {
        const int island = labels.at<int>(p);
        if (island < 0 || island == before || !followed.contains(island)) {
            continue;
        }
        if (before >= 0) {
            in_turn.insert(std::minmax(before, island));
        }
        before = island;
    }
    return in_turn;
}

}  // namespace etchback::copper::eye::detail
