#include "copper/eye/detail/rings.h"

#include <algorithm>
#include <array>

namespace etchback::copper::eye::detail {

namespace {

// Directions of a walk: right, down, left, up.
const std::array<cv::Point, 4> steps = {{{1, 0}, {0, 1}, {-1, 0}, {0, -1}}};

class Walker {
public:
    explicit Walker(const cv::Mat& islands)
        : islands_(islands), seen_(islands.rows + 1, islands.cols + 1, CV_8U, cv::Scalar(0)) {}

    std::vector<Ring> rings() {
        std::vector<Ring> found;
        const std::vector<int> none(static_cast<std::size_t>(islands_.cols), -1);
        for (int y = 0; y < islands_.rows; ++y) {
            const int* row = islands_.ptr<int>(y);
            const int* above = y > 0 ? islands_.ptr<int>(y - 1) : none.data();
            const int* below = y + 1 < islands_.rows ? islands_.ptr<int>(y + 1) : none.data();
            for (int x = 0; x < islands_.cols; ++x) {
                if (row[x] < 0) {
                    continue;
                }
                // Every ring has an edge along the upper or lower side of a pixel.
                if (above[x] != row[x] && !is_seen({x, y}, 0)) {
                    found.push_back(walk({x, y}, 0, row[x]));
                }
                if (below[x] != row[x] && !is_seen({x + 1, y + 1}, 2)) {
                    found.push_back(walk({x + 1, y + 1}, 2, row[x]));
                }
            }
        }
        std::stable_sort(found.begin(), found.end(), [](const Ring& a, const Ring& b) {
            return a.island < b.island;
        });
        return found;
    }

private:
    int island(int x, int y) const {
        return x < 0 || y < 0 || x >= islands_.cols || y >= islands_.rows ? -1
                                                                          : islands_.at<int>(y, x);
    }

    // The pixel to the right of the edge that leaves corner `at` in direction `d`.
    int right_of(cv::Point at, int d) const {
        static const std::array<cv::Point, 4> pixel = {{{0, 0}, {-1, 0}, {-1, -1}, {0, -1}}};
        const cv::Point p = at + pixel[static_cast<std::size_t>(d)];
        return island(p.x, p.y);
    }
    int left_of(cv::Point at, int d) const {
        static const std::array<cv::Point, 4> pixel = {{{0, -1}, {0, 0}, {-1, 0}, {-1, -1}}};
        const cv::Point p = at + pixel[static_cast<std::size_t>(d)];
        return island(p.x, p.y);
    }

    bool is_seen(cv::Point at, int d) const { return (seen_.at<std::uint8_t>(at) >> d & 1) != 0; }
    void mark(cv::Point at, int d) {
        seen_.at<std::uint8_t>(at) |= static_cast<std::uint8_t>(1 << d);
    }

    Ring walk(cv::Point from, int first, int island) {
        Ring ring;
        ring.island = island;
        cv::Point at = from;
        int d = first;
        int before = -1;
        do {
            if (d != before) {
                ring.corners.push_back(at);
            }
            mark(at, d);
            at += steps[static_cast<std::size_t>(d)];
            before = d;
            // Keep to the copper: the sharpest right turn first parts pixels that meet at a corner.
            for (const int turn : {1, 0, 3, 2}) {
                const int next = (d + turn) % 4;
                if (right_of(at, next) == island && left_of(at, next) != island) {
                    d = next;
                    break;
                }
            }
        } while (at != from || d != first);
        if (before == first) {
            // It began in the middle of a straight edge.
            ring.corners.erase(ring.corners.begin());
        }
        return ring;
    }

    const cv::Mat& islands_;
    cv::Mat seen_;  // CV_8U, one bit for each direction that leaves a corner
};

Polyline in_mm(const Ring& ring, const Raster& raster) {
    Polyline line;
    line.reserve(ring.corners.size());
    for (const cv::Point& c : ring.corners) {
        line.push_back({raster.origin.x_mm + c.x / raster.px_per_mm,
                        raster.origin.y_mm + c.y / raster.px_per_mm});
    }
    return line;
}

}  // namespace

std::int64_t Ring::doubled_area() const {
    std::int64_t sum = 0;
    for (std::size_t i = 0; i < corners.size(); ++i) {
        const cv::Point& a = corners[i];
        const cv::Point& b = corners[(i + 1) % corners.size()];
        sum += static_cast<std::int64_t>(a.x) * b.y - static_cast<std::int64_t>(b.x) * a.y;
    }
    return sum;
}

cv::Rect Ring::box() const {
    cv::Point low = corners.front();
    cv::Point high = low;
    for (const cv::Point& p : corners) {
        low = {std::min(low.x, p.x), std::min(low.y, p.y)};
        high = {std::max(high.x, p.x), std::max(high.y, p.y)};
    }
    return {low, high};
}

std::vector<Ring> trace_rings(const cv::Mat& islands) {
    return Walker(islands).rings();
}

std::vector<Polygon> polygons_of(const std::vector<Ring>& rings,
                                 int islands,
                                 const Raster& raster) {
    std::vector<Polygon> polygons(static_cast<std::size_t>(islands));
    for (const Ring& ring : rings) {
        Polygon& polygon = polygons[static_cast<std::size_t>(ring.island)];
        if (ring.doubled_area() > 0) {
            polygon.outer = in_mm(ring, raster);
        } else {
            polygon.holes.push_back(in_mm(ring, raster));
        }
    }
    return polygons;
}

}  // namespace etchback::copper::eye::detail
