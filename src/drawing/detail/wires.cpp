#include "drawing/detail/wires.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <tuple>

namespace etchback::drawing::detail {
namespace {

// A segment as a stretch from `low` to `high` on the line at `at`.
struct Stretch {
    double at, low, high;
};

Stretch stretch_of(const Segment& s) {
    return is_horizontal(s) ? Stretch{s.a.y, std::min(s.a.x, s.b.x), std::max(s.a.x, s.b.x)}
                            : Stretch{s.a.x, std::min(s.a.y, s.b.y), std::max(s.a.y, s.b.y)};
}

void merge(std::vector<Stretch>& stretches) {
    std::sort(stretches.begin(), stretches.end(), [](const Stretch& a, const Stretch& b) {
        return std::tie(a.at, a.low, a.high) < std::tie(b.at, b.low, b.high);
    });
    std::vector<Stretch> kept;
    for (const Stretch& s : stretches) {
        if (!kept.empty() && std::abs(kept.back().at - s.at) < same_point &&
            s.low <= kept.back().high + same_point) {
            kept.back().high = std::max(kept.back().high, s.high);
        } else {
            kept.push_back(s);
        }
    }
    stretches = std::move(kept);
}

}  // namespace

bool same(Point a, Point b) {
    return std::abs(a.x - b.x) < same_point && std::abs(a.y - b.y) < same_point;
}

bool is_horizontal(const Segment& segment) {
    return std::abs(segment.a.y - segment.b.y) < same_point;
}

std::vector<Segment> merged(const std::vector<Segment>& segments) {
    std::vector<Stretch> horizontal, vertical;
    for (const Segment& s : segments) {
        if (same(s.a, s.b)) {
            continue;
        }
        assert(is_horizontal(s) || std::abs(s.a.x - s.b.x) < same_point);
        (is_horizontal(s) ? horizontal : vertical).push_back(stretch_of(s));
    }
    merge(horizontal);
    merge(vertical);
    std::vector<Segment> result;
    for (const Stretch& s : horizontal) {
        result.push_back({{s.low, s.at}, {s.high, s.at}});
    }
    for (const Stretch& s : vertical) {
        result.push_back({{s.at, s.low}, {s.at, s.high}});
    }
    return result;
}

bool touches(const Segment& segment, Point point) {
    const auto between = [](double v, double p, double q) {
        return v > std::min(p, q) - same_point && v < std::max(p, q) + same_point;
    };
    return between(point.x, segment.a.x, segment.b.x) && between(point.y, segment.a.y, segment.b.y);
}

bool ends_at(const Segment& segment, Point point) {
    return same(segment.a, point) || same(segment.b, point);
}

void add_arms(Arms& arms, const Segment& segment, Point point) {
    if (!touches(segment, point)) {
        return;
    }
    for (const Point& end : {segment.a, segment.b}) {
        arms.right = arms.right || end.x > point.x + same_point;
        arms.left = arms.left || end.x < point.x - same_point;
        arms.down = arms.down || end.y > point.y + same_point;
        arms.up = arms.up || end.y < point.y - same_point;
    }
}

Arms arms_at(const std::vector<Segment>& segments, Point point) {
    Arms arms;
    for (const Segment& segment : segments) {
        add_arms(arms, segment, point);
    }
    return arms;
}

std::vector<std::vector<Point>> chains(const std::vector<Segment>& segments) {
    std::vector<bool> used(segments.size(), false);
    std::vector<std::vector<Point>> result;
    // The other end of an unused segment that starts at `from`.
    const auto follow = [&](Point from) -> const Point* {
        for (std::size_t i = 0; i < segments.size(); ++i) {
            if (!used[i] && ends_at(segments[i], from)) {
                used[i] = true;
                return same(segments[i].a, from) ? &segments[i].b : &segments[i].a;
            }
        }
        return nullptr;
    };
    for (std::size_t i = 0; i < segments.size(); ++i) {
        if (used[i]) {
            continue;
        }
        used[i] = true;
        std::vector<Point> chain{segments[i].a, segments[i].b};
        while (const Point* next = follow(chain.back())) {
            chain.push_back(*next);
        }
        while (const Point* next = follow(chain.front())) {
            chain.insert(chain.begin(), *next);
        }
        result.push_back(std::move(chain));
    }
    return result;
}

bool runs_through(const Segment& segment, const Box& box) {
    const Stretch s = stretch_of(segment);
    const bool flat = is_horizontal(segment);
    const double across_low = flat ? box.top : box.left,
                 across_high = flat ? box.bottom : box.right;
    const double along_low = flat ? box.left : box.top, along_high = flat ? box.right : box.bottom;
    return s.at > across_low + same_point && s.at < across_high - same_point &&
           s.low < along_high - same_point && s.high > along_low + same_point;
}

double shared_length(const Segment& a, const Segment& b) {
    if (is_horizontal(a) != is_horizontal(b)) {
        return 0.0;
    }
    const Stretch s = stretch_of(a), t = stretch_of(b);
    if (std::abs(s.at - t.at) >= same_point) {
        return 0.0;
    }
    const double length = std::min(s.high, t.high) - std::max(s.low, t.low);
    return length > same_point ? length : 0.0;
}

bool cross_at(const Segment& a, const Segment& b, Point& at) {
    if (is_horizontal(a) == is_horizontal(b)) {
        return false;
    }
    const Segment& flat = is_horizontal(a) ? a : b;
    const Segment& steep = is_horizontal(a) ? b : a;
    at = {steep.a.x, flat.a.y};
    return touches(flat, at) && touches(steep, at) && !ends_at(flat, at) && !ends_at(steep, at);
}

}  // namespace etchback::drawing::detail
