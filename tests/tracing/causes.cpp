#include "tracing/causes.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgcodecs.hpp>
#include <opencv2/imgproc.hpp>
#include <queue>

#include "base/disjoint_sets.h"
#include "board-photographer/bodies.h"
#include "copper/detail/pad_feet.h"
#include "copper/eye/registration.h"
#include "tracing/misreadings.h"
#include "tracing/score.h"

namespace etchback::tracing {

namespace {

using copper::Point;
using copper::Side;
using copper::Surface;

struct View {
    Names names;
    TrueSide side[2];
    std::vector<std::map<int, int>> nets_of_island;  // net -> pixels
    std::vector<int> net_of_island;                  // the most frequent; -1
    std::vector<bool> mixed;

    View(const InventedBoard& board, const TracedBoard& traced) {
        const copper::Trace& trace = traced.trace;
        nets_of_island.resize(trace.islands.islands.size());
        for (const Side s : {Side::top, Side::bottom}) {
            TrueSide& own = side[static_cast<std::size_t>(s)];
            own = true_side(board, trace, s, names);
            const auto& map = trace.islands.map(s);
            for (std::size_t i = 0; i < map.size(); ++i) {
                if (map[i] >= 0 && own.net.ptr<int>()[i] >= 0) {
                    ++nets_of_island[static_cast<std::size_t>(map[i])][own.net.ptr<int>()[i]];
                }
            }
        }
        const double px = trace.picture.raster.px_per_mm;
        for (const auto& nets : nets_of_island) {
            int best = -1;
            int most = 0;
            int many = 0;
            for (const auto& [net, count] : nets) {
                many += count > 0.15 * px * px ? 1 : 0;
                if (count > most) {
                    most = count;
                    best = net;
                }
            }
            net_of_island.push_back(best);
            mixed.push_back(many > 1);
        }
    }
};

// What is truly at the places of an island where no copper is.
std::string why_mixed(const copper::Trace& trace, const View& view, int island) {
    const Side s = trace.islands.islands[static_cast<std::size_t>(island)].side;
    const TrueSide& truth = view.side[static_cast<std::size_t>(s)];
    const auto& map = trace.islands.map(s);
    const auto& picture = trace.picture.side(s);
    int hidden = 0;
    int metal = 0;
    int masked = 0;
    for (std::size_t i = 0; i < map.size(); ++i) {
        if (map[i] == island && truth.net.ptr<int>()[i] < 0) {
            if (truth.hidden.data[i] != 0) {
                ++hidden;
            } else if (picture->surface[i] == Surface::bare_copper) {
                ++metal;
            } else {
                ++masked;
            }
        }
    }
    const int all = std::max(1, hidden + metal + masked);
    return hidden > 0.35 * all ? "island over a body"
           : metal > 0.5 * all ? "island over false metal"
                               : "island over laminate";
}

// The first kind of joint without which two islands of one net stay apart.
std::string needed(const copper::Trace& trace, const View& view, int a, int b) {
    using Kind = copper::Joint::Kind;
    base::DisjointSets sets(trace.islands.islands.size());
    const auto join = [&](auto take) {
        for (const copper::Joint& joint : trace.islands.joints) {
            if (take(joint) && view.net_of_island[static_cast<std::size_t>(joint.a)] ==
                                   view.net_of_island[static_cast<std::size_t>(joint.b)]) {
                sets.join(joint.a, joint.b);
            }
        }
        return sets.together(a, b);
    };
    join([](const copper::Joint& joint) { return joint.joined > 0.5; });
    if (join([](const copper::Joint& joint) { return joint.kind == Kind::gap; })) {
        return "a gap";
    }
    if (join([](const copper::Joint& joint) { return joint.kind == Kind::hole; })) {
        return "a hole";
    }
    if (join([](const copper::Joint& joint) { return joint.kind == Kind::hidden; })) {
        return "hidden copper";
    }
    return "no joint";
}

std::string kind_of(const copper::Joint& joint) {
    switch (joint.kind) {
        case copper::Joint::Kind::neck:
            return "neck";
        case copper::Joint::Kind::gap:
            return "gap";
        case copper::Joint::Kind::hidden:
            return "hidden";
        case copper::Joint::Kind::hole:
            return "hole";
        case copper::Joint::Kind::bridge:
            return "bridge";
        case copper::Joint::Kind::jumper:
            return "jumper";
    }
    return "";
}

}  // namespace

namespace {

// Where false copper of one island touches copper of two nets.
void mark_bridges(const std::vector<std::int32_t>& map,
                  const TrueSide& truth,
                  const copper::Raster& raster,
                  cv::Mat& out) {
    if (map.empty()) {
        return;
    }
    cv::Mat wrong(raster.height, raster.width, CV_8U, cv::Scalar(0));
    for (std::size_t i = 0; i < map.size(); ++i) {
        wrong.data[i] = map[i] >= 0 && truth.net.ptr<int>()[i] < 0 ? 255 : 0;
    }
    cv::Mat pieces;
    const int count = cv::connectedComponents(wrong, pieces, 4, CV_32S);
    std::vector<std::map<int, int>> nets(static_cast<std::size_t>(count));
    std::vector<cv::Rect> box(static_cast<std::size_t>(count));
    for (int y = 1; y + 1 < raster.height; ++y) {
        for (int x = 1; x + 1 < raster.width; ++x) {
            const int piece = pieces.at<int>(y, x);
            if (piece == 0) {
                continue;
            }
            const auto k = static_cast<std::size_t>(piece);
            box[k] = box[k].empty() ? cv::Rect(x, y, 1, 1) : box[k] | cv::Rect(x, y, 1, 1);
            const std::size_t i = static_cast<std::size_t>(y) * raster.width + x;
            for (const std::ptrdiff_t step : {std::ptrdiff_t{-1},
                                              std::ptrdiff_t{1},
                                              -static_cast<std::ptrdiff_t>(raster.width),
                                              static_cast<std::ptrdiff_t>(raster.width)}) {
                const std::size_t j = i + static_cast<std::size_t>(step);
                const int net = truth.net.ptr<int>()[j];
                if (map[j] == map[i] && net >= 0) {
                    ++nets[k][net];
                }
            }
        }
    }
    for (std::size_t k = 1; k < nets.size(); ++k) {
        if (nets[k].size() > 1) {
            cv::rectangle(out, box[k], cv::Scalar(255, 0, 255), 2);
        }
    }
}

}  // namespace

std::map<std::string, int> causes_of(const InventedBoard& board, const TracedBoard& traced) {
    const copper::Trace& trace = traced.trace;
    View view(board, traced);
    const auto feet = copper::detail::feet_of(trace.islands, trace.pads);
    const std::size_t n = trace.islands.islands.size();
    std::vector<std::vector<std::pair<int, int>>> closed(n);
    for (std::size_t j = 0; j < trace.islands.joints.size(); ++j) {
        const copper::Joint& joint = trace.islands.joints[j];
        if (joint.joined > 0.5) {
            closed[static_cast<std::size_t>(joint.a)].emplace_back(joint.b, static_cast<int>(j));
            closed[static_cast<std::size_t>(joint.b)].emplace_back(joint.a, static_cast<int>(j));
        }
    }
    const auto foot_is = [&](std::size_t pad) -> std::string {
        const int island = feet[pad].island;
        if (island < 0) {
            return "nothing";
        }
        const auto& nets = view.nets_of_island[static_cast<std::size_t>(island)];
        return nets.contains(view.names.of(traced.nets[pad])) ? "" : "wrong";
    };
    Owning owning(trace.islands, trace.pads, trace.nets);
    std::map<std::string, int> causes;
    for (const photographer::Via& via : board.layout.vias) {
        const auto near = [&](const copper::Hole& hole) {
            return std::hypot(hole.at.x_mm - via.at.x_mm, hole.at.y_mm - via.at.y_mm) < 0.4;
        };
        const auto found = std::ranges::find_if(trace.picture.holes, near);
        ++causes[std::string(via.tented ? "(tented via " : "(via ") +
                 (found == trace.picture.holes.end()  ? "missed)"
                  : found->plated * found->real > 0.5 ? "found)"
                                                      : "doubted)")];
    }
    for (std::size_t a = 0; a < trace.pads.size(); ++a) {
        for (std::size_t b = 0; b < a; ++b) {
            const bool same = trace.nets.net_of_pad[a] >= 0 &&
                              trace.nets.net_of_pad[a] == trace.nets.net_of_pad[b];
            if (same == (traced.nets[a] == traced.nets[b])) {
                continue;
            }
            const std::string how = std::string(owning.owns(a, b) ? "" : "no doubt: ") +
                                    (same ? "joined: " : "parted: ");
            const std::string fa = foot_is(a);
            const std::string fb = foot_is(b);
            if (!fa.empty() || !fb.empty()) {
                ++causes[how + "pad on " + (fa.empty() ? fb : fa)];
                continue;
            }
            if (!same) {
                ++causes[how + needed(trace, view, feet[a].island, feet[b].island)];
                continue;
            }
            // Breadth first along closed joints; the first thing wrong on the way.
            std::vector<std::pair<int, int>> from(n, {-2, -1});
            std::queue<int> queue;
            queue.push(feet[b].island);
            from[static_cast<std::size_t>(feet[b].island)] = {-1, -1};
            while (!queue.empty()) {
                const int at = queue.front();
                queue.pop();
                for (const auto& [to, joint] : closed[static_cast<std::size_t>(at)]) {
                    if (from[static_cast<std::size_t>(to)].first == -2) {
                        from[static_cast<std::size_t>(to)] = {at, joint};
                        queue.push(to);
                    }
                }
            }
            std::string cause = "other";
            for (int at = feet[a].island; at >= 0; at = from[static_cast<std::size_t>(at)].first) {
                if (view.mixed[static_cast<std::size_t>(at)]) {
                    cause = why_mixed(trace, view, at);
                    break;
                }
                const auto [to, joint] = from[static_cast<std::size_t>(at)];
                if (to >= 0 && view.net_of_island[static_cast<std::size_t>(at)] !=
                                   view.net_of_island[static_cast<std::size_t>(to)]) {
                    cause =
                        "a false " + kind_of(trace.islands.joints[static_cast<std::size_t>(joint)]);
                    break;
                }
            }
            ++causes[how + cause];
        }
    }
    for (const Break& one : breaks_of(board, traced)) {
        causes["way: " + one.as + (one.through ? ", through a hole" : "")] += one.pairs;
    }
    return causes;
}

void draw_misread(const InventedBoard& board,
                  const TracedBoard& traced,
                  const std::filesystem::path& prefix) {
    const copper::Trace& trace = traced.trace;
    View view(board, traced);
    const copper::Raster& raster = trace.picture.raster;
    for (const Side s : {Side::top, Side::bottom}) {
        const auto& picture = trace.picture.side(s);
        if (!picture || picture->bgr.empty()) {
            continue;
        }
        const TrueSide& truth = view.side[static_cast<std::size_t>(s)];
        cv::Mat out(raster.height, raster.width, CV_8UC3);
        std::copy(picture->bgr.begin(), picture->bgr.end(), out.data);
        const auto& map = trace.islands.map(s);
        const cv::Mat plain = out.clone();
        for (int y = 1; y < raster.height; ++y) {
            for (int x = 1; x < raster.width; ++x) {
                const std::size_t i = static_cast<std::size_t>(y) * raster.width + x;
                cv::Vec3b& p = out.at<cv::Vec3b>(y, x);
                const auto mix = [&](const cv::Vec3b& c) { p = p / 2 + c / 2; };
                const bool ours = !map.empty() && map[i] >= 0;
                const bool theirs = truth.piece.ptr<int>()[i] > 0;
                const Surface surface = picture->surface[i];
                if (surface == Surface::body || surface == Surface::unknown) {
                    mix({150, 150, 150});
                } else if (surface == Surface::legend) {
                    mix({200, 0, 200});
                }
                if (ours && !theirs) {
                    mix({0, 0, 255});
                } else if (!ours && theirs && truth.hidden.data[i] == 0 &&
                           surface != Surface::body) {
                    mix({255, 0, 0});
                }
                if (!map.empty() && (map[i] != map[i - 1] ||
                                     map[i] != map[i - static_cast<std::size_t>(raster.width)])) {
                    p = {0, 255, 0};
                }
            }
        }
        for (const copper::Joint& joint : trace.islands.joints) {
            if (trace.islands.islands[static_cast<std::size_t>(joint.a)].side != s) {
                continue;
            }
            const cv::Point at(cvRound((joint.at.x_mm - raster.origin.x_mm) * raster.px_per_mm),
                               cvRound((joint.at.y_mm - raster.origin.y_mm) * raster.px_per_mm));
            const bool good =
                (view.net_of_island[static_cast<std::size_t>(joint.a)] ==
                 view.net_of_island[static_cast<std::size_t>(joint.b)]) == (joint.joined > 0.5);
            cv::circle(out,
                       at,
                       good ? 3 : 7,
                       joint.joined > 0.5 ? cv::Scalar(255, 255, 255) : cv::Scalar(0, 255, 255),
                       good ? 1 : 2);
        }
        mark_bridges(map, truth, raster, out);
        cv::Mat both;
        cv::hconcat(plain, out, both);
        const double shrink = std::min(1.0, 2600.0 / both.cols);
        cv::resize(both, both, {}, shrink, shrink, cv::INTER_AREA);
        cv::imwrite(prefix.string() + (s == Side::top ? "-top.png" : "-bottom.png"), both);
    }
}

namespace {

// Whether pads are joined or parted by this joint alone.
bool matters(const copper::Trace& trace, const copper::Joint& one) {
    base::DisjointSets sets(trace.islands.islands.size());
    for (const copper::Joint& joint : trace.islands.joints) {
        if (&joint != &one && joint.joined > 0.5) {
            sets.join(joint.a, joint.b);
        }
    }
    if (sets.together(one.a, one.b)) {
        return false;
    }
    bool pads[2] = {false, false};
    for (const copper::detail::PadFoot& foot : copper::detail::feet_of(trace.islands, trace.pads)) {
        if (foot.island >= 0) {
            pads[0] = pads[0] || sets.together(foot.island, one.a);
            pads[1] = pads[1] || sets.together(foot.island, one.b);
        }
    }
    return pads[0] && pads[1];
}

// What lies at the place of a joint that is not seen.
std::string where(const copper::Trace& trace, const copper::Joint& joint) {
    using Kind = copper::Joint::Kind;
    if (joint.kind != Kind::gap && joint.kind != Kind::hidden) {
        return "";
    }
    const copper::Raster& raster = trace.picture.raster;
    const Side side = trace.islands.islands[static_cast<std::size_t>(joint.a)].side;
    const int x = static_cast<int>((joint.at.x_mm - raster.origin.x_mm) * raster.px_per_mm);
    const int y = static_cast<int>((joint.at.y_mm - raster.origin.y_mm) * raster.px_per_mm);
    const auto& picture = trace.picture.side(side);
    if (!picture || x < 0 || y < 0 || x >= raster.width || y >= raster.height) {
        return "";
    }
    const Surface surface = picture->surface[static_cast<std::size_t>(y) * raster.width + x];
    return surface == Surface::legend ? " below print"
           : surface == Surface::body ? " below a body"
                                      : " in the open";
}

}  // namespace

void add_reliability(const InventedBoard& board, const TracedBoard& traced, Reliability& sum) {
    View view(board, traced);
    for (const copper::Joint& joint : traced.trace.islands.joints) {
        const int a = view.net_of_island[static_cast<std::size_t>(joint.a)];
        const int b = view.net_of_island[static_cast<std::size_t>(joint.b)];
        if (a < 0 || b < 0) {
            continue;
        }
        if (!matters(traced.trace, joint)) {
            continue;
        }
        const std::string kind = kind_of(joint) + where(traced.trace, joint);
        auto& bin = sum.by_kind[kind][std::min(19, static_cast<int>(20 * joint.joined))];
        bin.first += a == b ? 1 : 0;
        ++bin.second;
    }
    for (const copper::Doubt& doubt : traced.trace.nets.doubts) {
        if (doubt.joint < 0 && doubt.words.find("hangs on nothing") != std::string::npos) {
            const std::string& net = traced.nets[doubt.pads.front()];
            const bool is_wrong = std::ranges::count(traced.nets, net) > 1;
            auto& bin = sum.by_kind["pad that hangs on nothing, wrongly"]
                                   [static_cast<int>(20 * doubt.wrong)];
            bin.first += is_wrong ? 1 : 0;
            ++bin.second;
        }
    }
}

}  // namespace etchback::tracing
