#include "tracing/pen_wishes.h"

#include <algorithm>

#include "base/disjoint_sets.h"
#include "copper/detail/pad_feet.h"

namespace etchback::tracing {

namespace {

using copper::Joint;
using copper::Side;

bool is_among(copper::Point at, const std::vector<copper::Point>& places) {
    return std::ranges::any_of(places, [&](copper::Point place) {
        return place.x_mm == at.x_mm && place.y_mm == at.y_mm;
    });
}

bool is_inside(cv::Point p, const cv::Mat& picture) {
    return cv::Rect({0, 0}, picture.size()).contains(p);
}

// What was read about a plated hole on each side; -1: nothing.
NetLink read_about(const Lookout& view, const photographer::TruthHole& hole) {
    int about[2] = {-1, -1};
    for (const Side side : {Side::top, Side::bottom}) {
        const cv::Point at = raster_place(view.board(), view.trace(), side, hole.at);
        const cv::Mat& piece = view.seen(side).piece;
        if (is_inside(at, piece) && piece.at<int>(at) >= 0) {
            about[static_cast<std::size_t>(side)] = view.group_about(side, at);
        }
    }
    return {about[0], about[1]};
}

// A plated hole that leads somewhere.
struct WayThrough {
    cv::Point here;
    int group = -1;      // on the other side
    bool known = false;  // to the program
};

std::vector<WayThrough> ways_through(const Lookout& view,
                                     Side side,
                                     const std::vector<copper::Point>& told) {
    std::vector<WayThrough> ways;
    for (const photographer::TruthHole& hole : view.board().truth.holes) {
        const cv::Point here = raster_place(view.board(), view.trace(), side, hole.at);
        if (!hole.plated || !is_inside(here, view.seen(side).piece)) {
            continue;
        }
        const NetLink about = read_about(view, hole);
        const int group = side == Side::top ? about.b : about.a;
        if (group >= 0) {
            ways.push_back({here, group, is_among(hole.at, told) || view.is_found(hole.at)});
        }
    }
    return ways;
}

// Pins on no copper, by the known piece that they stand on.
std::vector<std::vector<cv::Point>> dark_on_pieces(const Lookout& view, Side side) {
    const SeenSide& seen = view.seen(side);
    std::vector<std::vector<cv::Point>> dark(static_cast<std::size_t>(seen.pieces));
    for (const std::size_t i : view.dark()) {
        const copper::Pad& pad = view.trace().pads[i];
        const cv::Point p = view.pixel(pad.at);
        if ((!pad.side || *pad.side == side) && is_inside(p, seen.net) &&
            seen.net.at<int>(p) == view.true_net(i)) {
            dark[static_cast<std::size_t>(seen.piece.at<int>(p))].push_back(p);
        }
    }
    return dark;
}

// Which of the nets on a piece are worth being one: what has most pins of it first, then all that
// makes things better.
void choose_groups(const Lookout& view,
                   const std::map<int, int>& pixels_of_group,
                   int net,
                   int least_pixels,
                   Wish& wish) {
    const auto pins_of = [&](int group) {
        const PadsByNet& pads = view.pads()[static_cast<std::size_t>(group)];
        const auto found = pads.find(net);
        return found == pads.end() ? 0 : found->second;
    };
    std::vector<std::pair<int, int>> order;
    for (const auto& [group, pixels] : pixels_of_group) {
        if (pixels >= least_pixels && !view.pads()[static_cast<std::size_t>(group)].empty()) {
            order.emplace_back(pins_of(group), group);
        }
    }
    std::ranges::sort(order, std::greater{});
    PadsByNet all;
    for (const auto& [count, group] : order) {
        const PadsByNet& pads = view.pads()[static_cast<std::size_t>(group)];
        const int gain = gain_of_joining(all, pads);
        if (wish.groups.empty() ? count > 0 : gain > 0) {
            wish.groups.push_back(group);
            wish.gain += std::max(0, gain);
            for (const auto& [of, pins] : pads) {
                all[of] += pins;
            }
        }
    }
    for (std::size_t i = 0; i < wish.dark.size(); ++i) {
        wish.gain += all.contains(net) ? all[net] : 0;
        ++all[net];
    }
}

}  // namespace

Wish wish_holes(const Lookout& view, Side side, const std::vector<copper::Point>& told) {
    Wish wish;
    wish.side = side;
    wish.says = "plated hole";
    std::vector<NetLink> links;
    std::vector<copper::Point> joining;
    for (const photographer::TruthHole& hole : view.board().truth.holes) {
        const NetLink about = read_about(view, hole);
        if (!hole.plated || is_among(hole.at, told) || (about.a >= 0 && about.a == about.b)) {
            continue;
        }
        if (about.a < 0 || about.b < 0) {
            wish.told.push_back(hole.at);
        } else {
            links.push_back(about);
            joining.push_back(hole.at);
        }
    }
    const WorthJoining worth = worth_joining(links, view.pads());
    wish.gain = worth.gain;
    for (std::size_t i = 0; i < joining.size(); ++i) {
        if (std::ranges::find(worth.harmful, i) == worth.harmful.end()) {
            wish.told.push_back(joining[i]);
        }
    }
    return wish;
}

std::optional<Wish> wish_ways(const Lookout& view, Side side) {
    using Kind = Joint::Kind;
    const copper::Islands& islands = view.trace().islands;
    Wish wish;
    wish.side = side;
    wish.says = "goes on";
    std::vector<NetLink> links;
    std::vector<cv::Point2d> places;
    for (const Joint& joint : islands.joints) {
        const bool is_way = joint.kind == Kind::gap || joint.kind == Kind::hidden;
        const bool is_hole = joint.kind == Kind::hole && joint.joined <= 0.5;
        const auto& island = islands.islands[static_cast<std::size_t>(joint.a)];
        if (!is_hole && (!is_way || island.side != side)) {
            continue;
        }
        if (!view.is_right(side, joint)) {
            wish.wrong.push_back(view.pixel(joint.at));
        } else if (view.group_of(joint.a) != view.group_of(joint.b)) {
            links.push_back({view.group_of(joint.a), view.group_of(joint.b)});
            places.push_back(view.pixel(joint.at));
        }
    }
    const WorthJoining worth = worth_joining(links, view.pads());
    wish.gain = worth.gain;
    std::vector<std::vector<cv::Point2d>*> kind(links.size(), &wish.others);
    for (const std::size_t i : worth.links) {
        kind[i] = &wish.right;
    }
    for (const std::size_t i : worth.harmful) {
        kind[i] = &wish.wrong;
    }
    for (std::size_t i = 0; i < links.size(); ++i) {
        kind[i]->push_back(places[i]);
    }
    return wish.gain > 0 ? std::optional(wish) : std::nullopt;
}

std::optional<Wish> wish_stops(const Lookout& view, Side side) {
    using Kind = Joint::Kind;
    const copper::Trace& trace = view.trace();
    base::DisjointSets kept(trace.islands.islands.size());
    Wish wish;
    wish.side = side;
    wish.says = "stops";
    std::map<int, std::vector<cv::Point2d>> wrong;  // by net
    for (const Joint& joint : trace.islands.joints) {
        if (joint.joined <= 0.5) {
            continue;
        }
        const auto& island = trace.islands.islands[static_cast<std::size_t>(joint.a)];
        const bool may_stop = joint.kind != Kind::bridge && joint.kind != Kind::jumper &&
                              (joint.kind == Kind::hole || island.side == side);
        if (!may_stop || view.is_right(side, joint)) {
            kept.join(joint.a, joint.b);
            if (may_stop) {
                wish.wrong.push_back(view.pixel(joint.at));
            }
        } else {
            wrong[view.group_of(joint.a)].push_back(view.pixel(joint.at));
        }
    }
    std::map<int, std::map<int, PadsByNet>> parted;  // pads of each net, by what stays one
    const auto feet = copper::detail::feet_of(trace.islands, trace.pads);
    for (std::size_t i = 0; i < trace.pads.size(); ++i) {
        if (const int island = feet[i].island; island >= 0) {
            ++parted[trace.nets.net_of_pad[i]][kept.find(island)][view.true_net(i)];
        }
    }
    for (const auto& [group, places] : wrong) {
        int gain = 0;
        PadsByNet all;
        for (const auto& [piece, pads] : parted[group]) {
            gain -= gain_of_joining(all, pads);
            for (const auto& [net, pins] : pads) {
                all[net] += pins;
            }
        }
        wish.gain += std::max(0, gain);
        std::vector<cv::Point2d>& all_of = gain > 0 ? wish.right : wish.others;
        all_of.insert(all_of.end(), places.begin(), places.end());
    }
    return wish.gain > 0 ? std::optional(wish) : std::nullopt;
}

std::vector<Wish> wish_copper(const Lookout& view,
                              Side side,
                              const std::vector<copper::Point>& told) {
    constexpr double least_mm2 = 0.03;
    const SeenSide& seen = view.seen(side);
    const int least = cvRound(least_mm2 * view.px_per_mm() * view.px_per_mm());
    std::vector<std::map<int, int>> read = view.read_on(side);
    std::vector<std::vector<WayThrough>> ways(read.size());
    for (const WayThrough& way : ways_through(view, side, told)) {
        if (const int piece = seen.piece.at<int>(way.here); piece >= 0) {
            ways[static_cast<std::size_t>(piece)].push_back(way);
            read[static_cast<std::size_t>(piece)][way.group] += least;
        }
    }
    const std::vector<std::vector<cv::Point>> dark = dark_on_pieces(view, side);
    std::vector<Wish> wishes;
    for (std::size_t k = 0; k < read.size(); ++k) {
        Wish wish;
        wish.side = side;
        wish.says = "copper";
        wish.piece = static_cast<int>(k);
        wish.dark = dark[k];
        choose_groups(view, read[k], view.net_of_piece(side)[k], least, wish);
        for (const WayThrough& way : ways[k]) {
            const auto on_piece = view.read_on(side)[k].find(way.group);
            const bool only_through =
                on_piece == view.read_on(side)[k].end() || on_piece->second < least;
            wish.holes.emplace_back(way.group, way.here);
            wish.needs_holes = wish.needs_holes ||
                               (!way.known && only_through &&
                                std::ranges::find(wish.groups, way.group) != wish.groups.end());
        }
        if (wish.gain > 0) {
            wishes.push_back(std::move(wish));
        }
    }
    return wishes;
}

std::vector<Wish> wish_cuts(const Lookout& view, Side side) {
    std::vector<Wish> wishes;
    Wish every;
    every.side = side;
    every.says = "cut";
    for (std::size_t group = 0; group < view.pads().size(); ++group) {
        const PadsByNet& pads = view.pads()[group];
        if (pads.size() < 2) {
            continue;
        }
        int all = 0;
        for (const auto& [net, count] : pads) {
            every.gain += all * count;
            all += count;
        }
        every.groups.push_back(static_cast<int>(group));
        for (const auto& [net, count] : pads) {
            Wish wish;
            wish.side = side;
            wish.says = "cut";
            wish.groups = {static_cast<int>(group)};
            wish.net = net;
            wish.gain = count * (all - count);
            wishes.push_back(std::move(wish));
        }
    }
    if (!every.groups.empty()) {
        wishes.push_back(std::move(every));
    }
    return wishes;
}

}  // namespace etchback::tracing
