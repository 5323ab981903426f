#include "copper/eye/detail/hidden_joints.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <opencv2/imgproc.hpp>
#include <utility>

#include "copper/eye/detail/cover_neighbours.h"
#include "copper/eye/detail/covered_ends.h"
#include "copper/eye/detail/raster_pixels.h"

namespace etchback::copper::eye::detail {

namespace {

// What lies on the straight way between two contacts.
struct Between {
    double length = 0.0;  // pixels, all
    double bodies = 0.0;  // pixels below a part
    double prints = 0.0;
    double seen = 0.0;     // pixels where no copper is seen although nothing hides it
    double copper = 0.0;   // mean probability below print
    double glow = 0.0;     // mean log odds of copper, as the other face shows it
    double told = 0.0;     // share of the hidden way of which it shows anything
    bool crossed = false;  // copper of another island lies there
};

Between between(const CoveredEnd& a,
                const CoveredEnd& b,
                const SidePicture& side,
                const cv::Mat& labels,
                const cv::Mat& covers,
                const cv::Mat& walls,
                const std::vector<std::int8_t>& glow) {
    Between out;
    const cv::Point2d way = b.at - a.at;
    out.length = cv::norm(way);
    const int steps = std::max(1, cvRound(out.length));
    for (int i = 1; i < steps; ++i) {
        const cv::Point2d q = a.at + way * (static_cast<double>(i) / steps);
        const cv::Point p(cvRound(q.x), cvRound(q.y));
        out.crossed = out.crossed || (!walls.empty() && walls.at<std::uint8_t>(p) != 0);
        const int label = labels.at<int>(p);
        if (label >= 0) {
            out.crossed = out.crossed || (label != a.island && label != b.island);
            continue;
        }
        const std::uint8_t cover = covers.at<std::uint8_t>(p);
        const std::size_t k = static_cast<std::size_t>(p.y) * labels.cols + p.x;
        if (!glow.empty() && glow[k] != 0) {
            out.glow += 0.1 * glow[k];
            out.told += 1.0;
        }
        if (cover == body) {
            out.bodies += 1.0;
        } else if (cover == print) {
            out.prints += 1.0;
            out.copper += side.copper[k] / 255.0;
        } else {
            out.seen += 1.0;
        }
    }
    out.copper /= std::max(1.0, out.prints);
    out.glow /= std::max(1.0, out.told);
    out.told /= std::max(1.0, out.bodies + out.prints + out.seen);
    return out;
}

struct Pair {
    std::size_t a = 0;
    std::size_t b = 0;
    Between way;
    double facing = 0.0;
    double score = 0.0;  // to compare with rivals
};

// All pairs of contacts that copper may join straight.
std::vector<Pair> pairs_of(const std::vector<CoveredEnd>& contacts,
                           const SidePicture& side,
                           const cv::Mat& labels,
                           const cv::Mat& covers,
                           const cv::Mat& walls,
                           const std::vector<std::int8_t>& glow,
                           double px_per_mm) {
    constexpr double longest_mm = 15.0;
    constexpr double least_facing = 0.6;
    constexpr double most_seen_mm = 0.25;
    std::vector<Pair> pairs;
    for (std::size_t i = 0; i < contacts.size(); ++i) {
        for (std::size_t j = i + 1; j < contacts.size(); ++j) {
            const CoveredEnd& a = contacts[i];
            const CoveredEnd& b = contacts[j];
            const cv::Point2d way = b.at - a.at;
            const double length = cv::norm(way);
            if (a.island == b.island || (a.pin && b.pin) || length > longest_mm * px_per_mm ||
                length < 1.0) {
                continue;
            }
            const double of_a = a.pin ? 1.0 : a.into.dot(way) / length;
            const double of_b = b.pin ? 1.0 : -b.into.dot(way) / length;
            Pair pair{i, j, {}, std::min(of_a, of_b), 0.0};
            if (pair.facing < least_facing) {
                continue;
            }
            pair.way = between(a, b, side, labels, covers, walls, glow);
            if (pair.way.crossed || pair.way.seen > most_seen_mm * px_per_mm ||
                pair.way.bodies + pair.way.prints < 1.0) {
                continue;
            }
            pair.score = pair.facing * std::exp(-length / px_per_mm / 4.0);
            pairs.push_back(pair);
        }
    }
    return pairs;
}

// What tells whether copper runs on: a logistic model for places below print and one for places
// below parts, fitted to 2000 pairs on invented boards (seeds 1 to 30 of tests/tracing).
struct Weights {
    double always;
    double log_length;
    double facing;
    double alike;
    double pin;
    double solder;
    double of_body;
    double copper;  // that was read through the print
    double seen;
    double rival;
    double wide;
    double depth;
    double end;
    double glow;
};
constexpr Weights below_print = {
    -3.24, 0.56, 2.43, -1.23, 0.70, -0.68, 0.06, 6.70, -7.07, 0.01, 0.18, 0.18, 0.16, 0.31};
constexpr Weights below_body = {
    -0.89, -0.73, 0.43, -0.52, 0.36, -0.35, 0.27, 7.15, -0.06, 0.37, 0.23, 0.25, -0.25, 0.16};

// `rival`: 0 where neither end has a better way to go, to 1.
double chance_of(
    const Pair& pair, const CoveredEnd& a, const CoveredEnd& b, double rival, double px_per_mm) {
    constexpr double deepest = 3.0;
    constexpr double least_told = 0.6;
    const double covered = std::max(1.0, pair.way.bodies + pair.way.prints);
    const double of_body = pair.way.bodies / covered;
    const bool to_pin = a.pin || b.pin;
    const double alike = std::min(a.width, b.width) / std::max({a.width, b.width, 1.0});
    const double solder = a.pin ? b.solder : b.pin ? a.solder : std::max(a.solder, b.solder);
    double depth = deepest_mm;
    double end = deepest;
    for (const CoveredEnd* contact : {&a, &b}) {
        if (!contact->pin) {
            const double own = contact->depth / px_per_mm;
            depth = std::min(depth, own);
            end = std::min(end, own / std::max(0.2, contact->width / px_per_mm));
        }
    }
    const Weights& w = of_body < 0.5 ? below_print : below_body;
    const double odds =
        w.always + w.log_length * std::log(pair.way.length / px_per_mm + 0.1) +
        w.facing * pair.facing + w.alike * (to_pin ? 0.0 : std::sqrt(alike)) +
        w.pin * (to_pin ? 1.0 : 0.0) + w.solder * solder + w.of_body * of_body +
        w.copper * (1.0 - of_body) * pair.way.copper + w.seen * pair.way.seen / px_per_mm +
        w.rival * rival + w.wide * (std::max(a.width, b.width) > 2.0 * px_per_mm ? 1.0 : 0.0) +
        w.depth * depth + w.end * end + w.glow * (pair.way.told > least_told ? pair.way.glow : 0.0);
    const double chance = 1.0 / (1.0 + std::exp(-odds));
    return chance;
}

// The same for copper that lies beside other copper with a narrow cover between; fitted to 5900
// pairs (seeds 1 to 60).
double chance_beside(const CoverNeighbours& pair,
                     const CoveredEnd& a,
                     const CoveredEnd& b,
                     const Between& way,
                     double px_per_mm) {
    constexpr double least_told = 0.6;
    constexpr double most_meetings_mm = 2.0;
    const double covered = std::max(0.01 * px_per_mm, way.bodies + way.prints);
    const cv::Point2d along = b.at - a.at;
    const double length = cv::norm(along);
    const cv::Point2d toward = length > 0.0 ? along / length : cv::Point2d();
    const double of_a = a.into.dot(toward);
    const double of_b = -b.into.dot(toward);
    const double odds =
        -1.97 - 0.78 * pair.length / px_per_mm + 0.14 * std::log(0.05 + way.length / px_per_mm) +
        1.02 * way.bodies / covered - 3.35 * way.seen / px_per_mm +
        5.55 * way.copper * way.prints / covered + 0.35 * (way.told > least_told ? way.glow : 0.0) +
        0.49 * std::max(of_a, of_b) - 0.65 * std::min(of_a, of_b) +
        0.07 * std::min(a.depth, b.depth) / px_per_mm +
        0.95 * ((a.pin ? 1.0 : 0.0) + (b.pin ? 1.0 : 0.0)) +
        0.46 * std::min(pair.meetings / px_per_mm, most_meetings_mm);
    return 1.0 / (1.0 + std::exp(-odds));
}

// The end of an island that a place of its rim belongs to, moved there.
CoveredEnd end_at(cv::Point at,
                  int island,
                  const std::vector<CoveredEnd>& ends,
                  const cv::Mat& labels,
                  const cv::Mat& covers,
                  double px_per_mm) {
    CoveredEnd found;
    found.island = island;
    double nearest = 1.0 * px_per_mm;
    for (const CoveredEnd& end : ends) {
        const double off = cv::norm(end.at - cv::Point2d(at));
        if (end.island == island && off < nearest) {
            nearest = off;
            found = end;
        }
    }
    found.at = at;
    aim(found, labels, covers, 0.8 * px_per_mm);
    return found;
}

// The likeliest joint of each pair of islands.
class Likeliest {
public:
    explicit Likeliest(const Raster& raster) : raster_(raster) {}

    void add(const CoveredEnd& a, const CoveredEnd& b, const Between& way, double chance) {
        constexpr double least_chance = 0.03;
        Joint& best = kept_[std::minmax({a.island, b.island})];
        if (chance < least_chance || (best.a >= 0 && best.joined >= chance)) {
            return;
        }
        best.kind = Joint::Kind::hidden;
        best.a = std::min(a.island, b.island);
        best.b = std::max(a.island, b.island);
        best.joined = chance;
        best.path = {board_of(a.at, raster_), board_of(b.at, raster_)};
        best.at = board_of(0.5 * (a.at + b.at), raster_);
        best.width_mm = std::min(a.width, b.width) / raster_.px_per_mm;
        best.below_part = 2.0 * way.bodies >= way.bodies + way.prints;
        best.why = fmt::format("copper may run on for {:.1f} mm below {}",
                               way.length / raster_.px_per_mm,
                               best.below_part ? "what hides it" : "print");
    }

    void append_to(std::vector<Joint>& joints) {
        for (auto& [islands, joint] : kept_) {
            if (joint.a >= 0) {
                joints.push_back(std::move(joint));
            }
        }
    }

private:
    const Raster& raster_;
    std::map<std::pair<int, int>, Joint> kept_;
};

// Rivals of each pair: 0 where neither end has a better way to go, to 1.
std::vector<double> rivals_of(const std::vector<Pair>& pairs, const std::vector<CoveredEnd>& ends) {
    // The best way out of each end, and the best that leads elsewhere.
    std::vector<std::pair<double, int>> best(ends.size(), {0.0, -1});
    std::vector<double> second(ends.size(), 0.0);
    for (int pass = 0; pass < 2; ++pass) {
        for (const Pair& pair : pairs) {
            for (const auto& [own, other] :
                 {std::pair(pair.a, pair.b), std::pair(pair.b, pair.a)}) {
                const int to = ends[other].island;
                if (pass == 0 && pair.score > best[own].first) {
                    best[own] = {pair.score, to};
                } else if (pass == 1 && to != best[own].second) {
                    second[own] = std::max(second[own], pair.score);
                }
            }
        }
    }
    const auto rival_of = [&](std::size_t own, std::size_t other) {
        return ends[own].pin                            ? 0.0
               : ends[other].island == best[own].second ? second[own]
                                                        : best[own].first;
    };
    std::vector<double> rivals;
    for (const Pair& pair : pairs) {
        const double most = std::max(rival_of(pair.a, pair.b), rival_of(pair.b, pair.a));
        rivals.push_back(most / (most + pair.score));
    }
    return rivals;
}

}  // namespace

void join_hidden(const SidePicture& side,
                 const cv::Mat& labels,
                 int count,
                 const cv::Mat& walls,
                 const Raster& raster,
                 const std::vector<std::int8_t>& glow,
                 std::vector<Joint>& joints) {
    constexpr double beside_mm = 1.5;
    constexpr double enough_px_per_mm = 20.0;
    const double mm = raster.px_per_mm;
    const cv::Mat covers = covers_of(side, raster);
    const std::vector<CoveredEnd> ends = covered_ends(side, covers, labels, count, mm);
    const std::vector<Pair> pairs = pairs_of(ends, side, labels, covers, walls, glow, mm);
    const std::vector<double> rivals = rivals_of(pairs, ends);
    Likeliest likeliest(raster);
    for (std::size_t i = 0; i < pairs.size(); ++i) {
        const CoveredEnd& a = ends[pairs[i].a];
        const CoveredEnd& b = ends[pairs[i].b];
        likeliest.add(a, b, pairs[i].way, chance_of(pairs[i], a, b, rivals[i], mm));
    }
    // Along its rim a cover is a pixel narrower than what it hides.
    cv::Mat wide;
    cv::dilate(covers, wide, cv::getStructuringElement(cv::MORPH_RECT, {3, 3}));
    const int step = std::max(1, static_cast<int>(mm / enough_px_per_mm));
    for (const CoverNeighbours& pair :
         cover_neighbours(labels, count, wide, walls, beside_mm * mm, step)) {
        const CoveredEnd a = end_at(pair.from, pair.a, ends, labels, covers, mm);
        const CoveredEnd b = end_at(pair.to, pair.b, ends, labels, covers, mm);
        const Between way = between(a, b, side, labels, covers, walls, glow);
        likeliest.add(a, b, way, chance_beside(pair, a, b, way, mm));
    }
    likeliest.append_to(joints);
}

}  // namespace etchback::copper::eye::detail
