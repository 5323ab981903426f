#include <algorithm>
#include <cmath>
#include <utility>

#include "copper/eye/detail/rings.h"

namespace etchback::copper::eye::detail {

namespace {

std::int64_t cross(cv::Point a, cv::Point b, cv::Point c) {
    return static_cast<std::int64_t>(b.x - a.x) * (c.y - a.y) -
           static_cast<std::int64_t>(b.y - a.y) * (c.x - a.x);
}

// Counts of ring corners at each corner of the raster.
class Corners {
public:
    Corners(const std::vector<Ring>& rings, cv::Size map)
        : counts_(map.height + 1, map.width + 1, CV_8U, cv::Scalar(0)) {
        for (const Ring& ring : rings) {
            for (const cv::Point& corner : ring.corners) {
                ++counts_.at<std::uint8_t>(corner);
            }
        }
    }

    bool is_shared(cv::Point p) const { return counts_.at<std::uint8_t>(p) > 1; }
    void remove(cv::Point p) { --counts_.at<std::uint8_t>(p); }

    // Whether a corner lies in the closed triangle, other than at its own corners.
    bool any_in(cv::Point a, cv::Point b, cv::Point c) const {
        if (cross(a, b, c) < 0) {
            std::swap(b, c);
        }
        const int top = std::min({a.y, b.y, c.y});
        const int bottom = std::max({a.y, b.y, c.y});
        for (int y = top; y <= bottom; ++y) {
            const auto [from, to] = span(a, b, c, y);
            const auto* row = counts_.ptr<std::uint8_t>(y);
            for (int x = from; x <= to; ++x) {
                const cv::Point p(x, y);
                if (row[x] != 0 && p != a && p != b && p != c && cross(a, b, p) >= 0 &&
                    cross(b, c, p) >= 0 && cross(c, a, p) >= 0) {
                    return true;
                }
            }
        }
        return false;
    }

private:
    // Columns of the triangle in a row, rounded outwards.
    static std::pair<int, int> span(cv::Point a, cv::Point b, cv::Point c, int y) {
        double from = 1e9;
        double to = -1e9;
        for (const auto& [p, q] : {std::pair(a, b), std::pair(b, c), std::pair(c, a)}) {
            if (std::min(p.y, q.y) > y || std::max(p.y, q.y) < y) {
                continue;
            }
            if (p.y == q.y) {
                from = std::min<double>(from, std::min(p.x, q.x));
                to = std::max<double>(to, std::max(p.x, q.x));
                continue;
            }
            const double x = p.x + static_cast<double>(q.x - p.x) * (y - p.y) / (q.y - p.y);
            from = std::min(from, x);
            to = std::max(to, x);
        }
        return {static_cast<int>(std::floor(from)), static_cast<int>(std::ceil(to))};
    }

    cv::Mat counts_;
};

double distance_to_segment(cv::Point p, cv::Point a, cv::Point b) {
    const double dx = b.x - a.x;
    const double dy = b.y - a.y;
    const double length2 = dx * dx + dy * dy;
    const double along =
        length2 > 0 ? std::clamp(((p.x - a.x) * dx + (p.y - a.y) * dy) / length2, 0.0, 1.0) : 0.0;
    return std::hypot(p.x - a.x - along * dx, p.y - a.y - along * dy);
}

// One ring while corners are taken from it.
class Thinning {
public:
    Thinning(Ring& ring, Corners& all, double tolerance)
        : ring_(ring), all_(all), tolerance_(tolerance), from_(ring.corners) {
        const int n = static_cast<int>(from_.size());
        for (int i = 0; i < n; ++i) {
            next_.push_back((i + 1) % n);
            before_.push_back((i + n - 1) % n);
        }
        left_ = n;
    }

    void run() {
        // Short edges first, so that steps of slanted edges vanish before long edges are bent; each
        // pass visits corners in order, which makes the result the same everywhere.
        bool changed = true;
        while (changed && left_ > 3) {
            changed = false;
            int i = 0;
            while (next_gone(i)) {
                ++i;
            }
            const int first = i;
            do {
                const int after = next_[static_cast<std::size_t>(i)];
                if (left_ > 3 && i != first && may_go(i)) {
                    take(i);
                    changed = true;
                }
                i = after;
            } while (i != first);
        }
        finish();
    }

private:
    bool next_gone(int i) const { return next_[static_cast<std::size_t>(i)] < 0; }

    bool may_go(int i) const {
        const int p = before_[static_cast<std::size_t>(i)];
        const int n = next_[static_cast<std::size_t>(i)];
        const cv::Point a = from_[static_cast<std::size_t>(p)];
        const cv::Point b = from_[static_cast<std::size_t>(i)];
        const cv::Point c = from_[static_cast<std::size_t>(n)];
        if (a == c || all_.is_shared(b) || distance_to_segment(b, a, c) > tolerance_) {
            return false;
        }
        const int size = static_cast<int>(from_.size());
        for (int k = (p + 1) % size; k != n; k = (k + 1) % size) {
            if (distance_to_segment(from_[static_cast<std::size_t>(k)], a, c) > tolerance_) {
                return false;
            }
        }
        return !all_.any_in(a, b, c);
    }

    void take(int i) {
        const int p = before_[static_cast<std::size_t>(i)];
        const int n = next_[static_cast<std::size_t>(i)];
        next_[static_cast<std::size_t>(p)] = n;
        before_[static_cast<std::size_t>(n)] = p;
        next_[static_cast<std::size_t>(i)] = -1;
        all_.remove(from_[static_cast<std::size_t>(i)]);
        --left_;
    }

    void finish() {
        ring_.corners.clear();
        for (std::size_t i = 0; i < from_.size(); ++i) {
            if (next_[i] >= 0) {
                ring_.corners.push_back(from_[i]);
            }
        }
    }

    Ring& ring_;
    Corners& all_;
    double tolerance_;
    std::vector<cv::Point> from_;
    std::vector<int> next_;
    std::vector<int> before_;
    int left_ = 0;
};

}  // namespace

void simplify(std::vector<Ring>& rings, cv::Size map, double tolerance_px) {
    Corners corners(rings, map);
    for (Ring& ring : rings) {
        Thinning(ring, corners, tolerance_px).run();
    }
}

}  // namespace etchback::copper::eye::detail
