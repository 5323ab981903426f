#include "tracing/misreadings.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <deque>
#include <opencv2/imgproc.hpp>

#include "base/disjoint_sets.h"
#include "copper/detail/pad_feet.h"
#include "copper/eye/registration.h"

namespace etchback::tracing {

namespace {

using copper::Point;
using copper::Side;
using copper::Surface;

// Both sides as one graph of pixels; holes lead from side to side.
class Walk {
public:
    Walk(const InventedBoard& board, const copper::Trace& trace) : trace_(trace) {
        const copper::Raster& raster = trace.picture.raster;
        size_ = {raster.width, raster.height};
        is_hole_.assign(2 * raster.size(), false);
        for (const Side s : {Side::top, Side::bottom}) {
            truth_[index(s)] = true_side(board, trace, s, names);
        }
        for (const photographer::TruthHole& hole : board.truth.holes) {
            if (!hole.plated) {
                continue;
            }
            const cv::Point above = raster_place(board, trace, Side::top, hole.at);
            const cv::Point below = raster_place(board, trace, Side::bottom, hole.at);
            if (inside(above) && inside(below)) {
                holes_[node(Side::top, above)].push_back(node(Side::bottom, below));
                holes_[node(Side::bottom, below)].push_back(node(Side::top, above));
                is_hole_[static_cast<std::size_t>(node(Side::top, above))] = true;
                is_hole_[static_cast<std::size_t>(node(Side::bottom, below))] = true;
            }
        }
    }

    struct Way {
        std::vector<int> nodes;
        bool found = false;
    };

    // The way from one set of pixels to another with the least that costs. `cost`: of entering a
    // node, below 0: closed. Costs are 0 or 1, a hole 2.
    template <typename Starts, typename Ends, typename Cost>
    Way find(Starts starts, Ends ends, Cost cost) const {
        std::vector<int> best(static_cast<std::size_t>(2 * size_.area()), -1);
        std::vector<int> from(best.size(), -1);
        std::deque<std::pair<int, int>> queue;
        for (int i = 0; i < 2 * size_.area(); ++i) {
            if (starts(i)) {
                best[static_cast<std::size_t>(i)] = 0;
                queue.emplace_back(i, 0);
            }
        }
        const auto enter = [&](int to, int by, int total) {
            int& known = best[static_cast<std::size_t>(to)];
            if (known >= 0 && known <= total) {
                return;
            }
            const bool cheap = by >= 0 && best[static_cast<std::size_t>(by)] == total;
            known = total;
            from[static_cast<std::size_t>(to)] = by;
            cheap ? queue.emplace_front(to, total) : queue.emplace_back(to, total);
        };
        while (!queue.empty()) {
            const auto [at, total] = queue.front();
            queue.pop_front();
            if (total > best[static_cast<std::size_t>(at)]) {
                continue;
            }
            if (ends(at)) {
                Way way;
                way.found = true;
                for (int i = at; i >= 0; i = from[static_cast<std::size_t>(i)]) {
                    way.nodes.push_back(i);
                }
                return way;
            }
            const cv::Point p = place(at);
            for (const cv::Point step :
                 {cv::Point(1, 0), cv::Point(-1, 0), cv::Point(0, 1), cv::Point(0, -1)}) {
                if (inside(p + step)) {
                    const int to = node(side(at), p + step);
                    if (const int c = cost(to); c >= 0) {
                        enter(to, at, total + c);
                    }
                }
            }
            if (is_hole_[static_cast<std::size_t>(at)]) {
                for (const int to : holes_.at(at)) {
                    if (cost(to) >= 0) {
                        enter(to, at, total + 2);
                    }
                }
            }
        }
        return {};
    }

    static std::size_t index(Side s) { return static_cast<std::size_t>(s); }
    bool inside(cv::Point p) const {
        return p.x >= 0 && p.y >= 0 && p.x < size_.width && p.y < size_.height;
    }
    int node(Side s, cv::Point p) const {
        return static_cast<int>(index(s)) * size_.area() + p.y * size_.width + p.x;
    }
    Side side(int node) const { return node < size_.area() ? Side::top : Side::bottom; }
    std::size_t pixel(int node) const { return static_cast<std::size_t>(node % size_.area()); }
    cv::Point place(int node) const {
        const int i = node % size_.area();
        return {i % size_.width, i / size_.width};
    }
    int net(int node) const { return truth_[index(side(node))].net.ptr<int>()[pixel(node)]; }
    bool hidden(int node) const { return truth_[index(side(node))].hidden.data[pixel(node)] != 0; }
    int island(int node) const {
        const auto& map = trace_.islands.map(side(node));
        return map.empty() ? -1 : map[pixel(node)];
    }
    Surface surface(int node) const {
        const auto& picture = trace_.picture.side(side(node));
        return picture ? picture->surface[pixel(node)] : Surface::unknown;
    }

    // The middle of the copper close by: the shortest way cuts corners, a hand draws along a track.
    cv::Point middle_near(int at) const {
        const cv::Point p = place(at);
        const int r = std::max(1, cvRound(0.6 * trace_.picture.raster.px_per_mm));
        const cv::Rect box =
            cv::Rect({0, 0}, size_) & cv::Rect(p.x - 2 * r, p.y - 2 * r, 4 * r + 1, 4 * r + 1);
        const cv::Mat own = truth_[index(side(at))].net(box) == net(at);
        cv::Mat depth;
        cv::distanceTransform(own, depth, cv::DIST_L2, cv::DIST_MASK_3);
        const cv::Rect near = box & cv::Rect(p.x - r / 2, p.y - r / 2, r + 1, r + 1);
        cv::Point best = p;
        for (int y = near.y; y < near.y + near.height; ++y) {
            for (int x = near.x; x < near.x + near.width; ++x) {
                const auto at_depth = [&](cv::Point q) { return depth.at<float>(q - box.tl()); };
                if (at_depth({x, y}) > at_depth(best) + 0.01F) {
                    best = {x, y};
                }
            }
        }
        return best;
    }

    Names names;

private:
    const copper::Trace& trace_;
    cv::Size size_;
    TrueSide truth_[2];
    std::map<int, std::vector<int>> holes_;
    std::vector<bool> is_hole_;
};

const char* name_of(Surface surface) {
    switch (surface) {
        case Surface::unknown:
            return "unknown";
        case Surface::masked_copper:
        case Surface::bare_copper:
            return "copper without an island";
        case Surface::laminate:
            return "laminate";
        case Surface::hole:
            return "a hole";
        case Surface::legend:
            return "print";
        case Surface::body:
            return "a body";
        case Surface::background:
            return "background";
    }
    return "";
}

base::DisjointSets groups_of(const copper::Trace& trace) {
    base::DisjointSets sets(trace.islands.islands.size());
    const auto& net_of = trace.nets.net_of_island;
    std::map<int, int> first;
    for (std::size_t i = 0; i < net_of.size(); ++i) {
        const auto [at, is_new] = first.emplace(net_of[i], static_cast<int>(i));
        if (!is_new) {
            sets.join(at->second, static_cast<int>(i));
        }
    }
    return sets;
}

Break break_of(const Walk& walk, const Walk::Way& way) {
    std::map<std::pair<Side, std::string>, std::vector<cv::Point>> lost;
    Break out;
    int hidden = 0;
    int all = 0;
    for (std::size_t i = 0; i < way.nodes.size(); ++i) {
        const int at = way.nodes[i];
        if (i > 0 && walk.side(at) != walk.side(way.nodes[i - 1])) {
            out.through = true;
        }
        if (walk.island(at) < 0) {
            ++all;
            hidden += walk.hidden(at) ? 1 : 0;
            lost[{walk.side(at), walk.hidden(at) ? "" : name_of(walk.surface(at))}].push_back(
                walk.place(at));
        }
    }
    if (lost.empty()) {
        out.as = out.through ? "a missed hole" : "an open joint";
        return out;
    }
    const auto most =
        std::ranges::max_element(lost, {}, [](const auto& one) { return one.second.size(); });
    out.side = most->first.first;
    out.seen = 3 * hidden < all;
    out.as = out.seen ? most->first.second : "hidden";
    for (const int at : way.nodes) {
        if (walk.island(at) < 0 && walk.side(at) == out.side) {
            out.along.push_back(walk.middle_near(at));
        }
    }
    return out;
}

}  // namespace

cv::Point raster_place(const InventedBoard& board,
                       const copper::Trace& trace,
                       Side side,
                       Point truly) {
    const auto fit =
        std::ranges::find(trace.picture.registration.photos, side, &copper::PhotoFit::side);
    if (fit == trace.picture.registration.photos.end()) {
        return {-1, -1};
    }
    const photographer::Shot& shot = board.shot(side);
    const Point at = copper::eye::board_point(*fit, shot.bgr.size(), shot.camera.pixel(truly));
    const copper::Raster& raster = trace.picture.raster;
    return {static_cast<int>(std::floor((at.x_mm - raster.origin.x_mm) * raster.px_per_mm)),
            static_cast<int>(std::floor((at.y_mm - raster.origin.y_mm) * raster.px_per_mm))};
}

TrueSide true_side(const InventedBoard& board,
                   const copper::Trace& trace,
                   Side side,
                   Names& names) {
    const copper::Raster& raster = trace.picture.raster;
    const photographer::Truth& truth = board.truth;
    const cv::Mat& copper = side == Side::top ? truth.top : truth.bottom;
    cv::Mat pieces;
    const int count = cv::connectedComponents(copper > 127, pieces, 4, CV_32S);
    std::vector<int> net(static_cast<std::size_t>(count), -1);
    for (const photographer::TruthPad& pad : truth.pads) {
        const int x =
            static_cast<int>((pad.at.x_mm - truth.raster.origin.x_mm) * truth.raster.px_per_mm);
        const int y =
            static_cast<int>((pad.at.y_mm - truth.raster.origin.y_mm) * truth.raster.px_per_mm);
        const bool on = side == Side::top ? pad.top : pad.bottom;
        if (on && x >= 0 && y >= 0 && x < pieces.cols && y < pieces.rows && pieces.at<int>(y, x)) {
            net[static_cast<std::size_t>(pieces.at<int>(y, x))] = names.of(pad.net);
        }
    }
    TrueSide out;
    out.net = cv::Mat(raster.height, raster.width, CV_32S, cv::Scalar(-1));
    out.piece = cv::Mat(raster.height, raster.width, CV_32S, cv::Scalar(0));
    out.hidden = cv::Mat(raster.height, raster.width, CV_8U, cv::Scalar(0));
    const auto fit =
        std::ranges::find(trace.picture.registration.photos, side, &copper::PhotoFit::side);
    if (fit == trace.picture.registration.photos.end()) {
        return out;
    }
    const photographer::Shot& shot = board.shot(side);
    for (int y = 0; y < raster.height; ++y) {
        for (int x = 0; x < raster.width; ++x) {
            const Point at{raster.origin.x_mm + (x + 0.5) / raster.px_per_mm,
                           raster.origin.y_mm + (y + 0.5) / raster.px_per_mm};
            const cv::Point2d px = copper::eye::photo_pixel(*fit, shot.bgr.size(), at);
            const cv::Point photo(cvRound(px.x), cvRound(px.y));
            if (photo.x < 0 || photo.y < 0 || photo.x >= shot.covered.cols ||
                photo.y >= shot.covered.rows) {
                continue;
            }
            out.hidden.at<std::uint8_t>(y, x) = shot.covered.at<std::uint8_t>(photo);
            const Point truly = shot.camera.board(px);
            const int tx = static_cast<int>(
                std::floor((truly.x_mm - truth.raster.origin.x_mm) * truth.raster.px_per_mm));
            const int ty = static_cast<int>(
                std::floor((truly.y_mm - truth.raster.origin.y_mm) * truth.raster.px_per_mm));
            if (tx >= 0 && ty >= 0 && tx < pieces.cols && ty < pieces.rows) {
                out.piece.at<int>(y, x) = pieces.at<int>(ty, tx);
                out.net.at<int>(y, x) = net[static_cast<std::size_t>(pieces.at<int>(ty, tx))];
            }
        }
    }
    return out;
}

std::vector<Break> breaks_of(const InventedBoard& board,
                             const TracedBoard& traced,
                             std::size_t most) {
    const copper::Trace& trace = traced.trace;
    Walk walk(board, trace);
    const auto feet = copper::detail::feet_of(trace.islands, trace.pads);
    base::DisjointSets groups = groups_of(trace);
    // The groups of pads of each true net, and how many pads each has.
    std::map<std::string, std::map<int, int>> parts;
    for (std::size_t i = 0; i < trace.pads.size(); ++i) {
        if (feet[i].island >= 0) {
            ++parts[traced.nets[i]][groups.find(feet[i].island)];
        }
    }
    struct Lost {
        int pairs = 0;
        std::string net;
        int group = -1;
    };
    std::vector<Lost> lost;
    for (const auto& [name, of] : parts) {
        int total = 0;
        int largest = 0;
        int largest_group = -1;
        for (const auto& [group, pads] : of) {
            total += pads;
            if (pads > largest) {
                largest = pads;
                largest_group = group;
            }
        }
        for (const auto& [group, pads] : of) {
            if (group != largest_group) {
                lost.push_back({pads * (total - pads), name, group});
            }
        }
    }
    std::ranges::stable_sort(lost, std::greater{}, &Lost::pairs);
    lost.resize(std::min(lost.size(), most));
    std::vector<Break> breaks;
    for (const Lost& one : lost) {
        const std::map<int, int>& of = parts.at(one.net);
        const int net = walk.names.of(one.net);
        const auto group_at = [&](int node) {
            const int island = walk.island(node);
            return island < 0 ? -1 : groups.find(island);
        };
        const Walk::Way way = walk.find(
            [&](int node) { return walk.net(node) == net && group_at(node) == one.group; },
            [&](int node) {
                const int there = walk.net(node) == net ? group_at(node) : -1;
                return there >= 0 && there != one.group && of.contains(there);
            },
            [&](int node) {
                return walk.net(node) != net ? -1 : (walk.island(node) >= 0 ? 0 : 1);
            });
        Break found;
        found.as = "a wire link";
        if (way.found) {
            found = break_of(walk, way);
        }
        found.pairs = one.pairs;
        breaks.push_back(std::move(found));
    }
    return breaks;
}

std::vector<FalseBridge> false_bridges_of(const InventedBoard& board, const TracedBoard& traced) {
    const copper::Trace& trace = traced.trace;
    Walk walk(board, trace);
    const auto feet = copper::detail::feet_of(trace.islands, trace.pads);
    base::DisjointSets groups = groups_of(trace);
    std::map<int, std::map<int, int>> nets_of;  // group -> true net -> pads
    for (std::size_t i = 0; i < trace.pads.size(); ++i) {
        if (feet[i].island >= 0) {
            ++nets_of[groups.find(feet[i].island)][walk.names.of(traced.nets[i])];
        }
    }
    std::vector<FalseBridge> bridges;
    for (const auto& [group, nets] : nets_of) {
        for (const auto& [net, pads] : nets) {
            if (nets.size() < 2) {
                break;
            }
            const auto in_group = [&](int node) {
                const int island = walk.island(node);
                return island >= 0 && groups.find(island) == group;
            };
            const Walk::Way way = walk.find(
                [&, n = net](int node) { return walk.net(node) == n && in_group(node); },
                [&, n = net](int node) {
                    const int there = walk.net(node);
                    return in_group(node) && there >= 0 && there != n && nets.contains(there);
                },
                [&](int node) { return !in_group(node) ? -1 : (walk.net(node) < 0 ? 1 : 0); });
            FalseBridge bridge;
            for (const int at : way.nodes) {
                if (walk.net(at) < 0) {
                    bridge.side = walk.side(at);
                    bridge.along.push_back(walk.place(at));
                }
            }
            int others = 0;
            for (const auto& [other, count] : nets) {
                others += other == net ? 0 : count;
            }
            bridge.pairs = pads * others;
            if (!bridge.along.empty()) {
                bridges.push_back(std::move(bridge));
            }
        }
    }
    std::ranges::stable_sort(bridges, std::greater{}, &FalseBridge::pairs);
    return bridges;
}

}  // namespace etchback::tracing
