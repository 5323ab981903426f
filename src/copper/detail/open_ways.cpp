#include "copper/detail/open_ways.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <utility>

#include "base/disjoint_sets.h"
#include "copper/detail/pad_feet.h"

namespace etchback::copper::detail {

namespace {

bool is_open_way(const Joint& joint) {
    return joint.kind == Joint::Kind::gap || joint.kind == Joint::Kind::hidden;
}

double odds_of(double chance) {
    const double p = std::min(chance, 0.995);
    return p / (1.0 - p);
}

double log_odds(double chance) {
    const double p = std::clamp(chance, 0.005, 0.995);
    return std::log(p / (1.0 - p));
}

double apart_mm(Point a, Point b) {
    return std::hypot(a.x_mm - b.x_mm, a.y_mm - b.y_mm);
}

Surface surface_at(const BoardPicture& picture, Side side, Point at) {
    const Raster& raster = picture.raster;
    const int x = static_cast<int>((at.x_mm - raster.origin.x_mm) * raster.px_per_mm);
    const int y = static_cast<int>((at.y_mm - raster.origin.y_mm) * raster.px_per_mm);
    const auto& seen = picture.side(side);
    if (!seen || seen->surface.size() != raster.size() || x < 0 || y < 0 || x >= raster.width ||
        y >= raster.height) {
        return Surface::unknown;
    }
    return seen->surface[static_cast<std::size_t>(y) * raster.width + x];
}

// A logistic model of whether copper goes on, fitted to 7700 ways on invented boards (seeds 1 to 60
// of tests/tracing but 40, whose top tells nothing). On boards that were left out of the fit, of
// what it calls 15, 45, 65 and 95 in a hundred, 13, 44, 70 and 93 are joined.
double chance_of(const OpenWay& way) {
    const auto when = [](bool is, double weight) { return is ? weight : 0.0; };
    double odds = -1.21;
    if (way.gap > 0.0) {
        odds += 0.72 + 0.27 * log_odds(way.gap) + 2.02 * std::min(way.gap_mm, 1.0) +
                when(way.in_print, 0.03) + when(way.in_body, 0.82);
    }
    if (way.path > 0.0) {
        const double seen = std::clamp(log_odds(way.path), -4.0, 4.0);
        odds += -0.83 + 0.59 * seen - 0.11 * std::log(0.1 + way.path_mm) +
                when(way.below_part, 0.61 - 0.21 * seen);
    }
    odds += when(way.pads_near > 0, -0.50) + when(way.pads_near > 1, -3.53) +
            when(way.few_pins == 0, -0.03) + when(way.few_pins == 1, -0.35) +
            when(way.many_pins == 0, 1.28) + when(way.many_pins == 1, 0.58) +
            0.56 * std::log1p(way.many_pins) + 1.89 * way.few_share + 1.28 * way.many_share +
            when(way.few_pins == 1 && way.pads_near > 0, 1.07) -
            when(way.few_pins >= 1, 0.97 * std::log1p(way.many_pins));
    return 1.0 / (1.0 + std::exp(-odds));
}

// What may be taken for joined without being asked. Nobody sees what lies below a part; and where
// much would be joined by mistake, more is wanted than a little likelihood.
double assumed(const OpenWay& way, double chance) {
    constexpr double most_unseen = 0.45;
    constexpr int many_pairs = 10;
    const bool is_proposed = way.below_part || way.pairs >= many_pairs;
    return is_proposed ? std::min(chance, most_unseen) : chance;
}

// Pieces of copper, and the ways between them that are open.
class Pieces {
public:
    // What strokes join is one piece, or only where they confirm a way that was seen: else the
    // pieces would need its rivals.
    enum class Strokes { join, confirm };

    // `joints`: of the islands, as they were seen.
    Pieces(const Islands& islands,
           const std::vector<Joint>& joints,
           const std::vector<Pad>& pads,
           const BoardPicture& picture,
           Strokes strokes = Strokes::join)
        : islands_(islands),
          joints_(joints),
          picture_(picture),
          sets_(islands.islands.size()),
          read_(islands.islands.size()) {
        for (const Joint& joint : joints) {
            const bool is_stroke = joint.kind == Joint::Kind::bridge;
            if (joint.joined <= 0.5 || is_open_way(joint)) {
                continue;
            }
            if (!is_stroke || strokes == Strokes::join || joint.was_way) {
                sets_.join(joint.a, joint.b);
            }
            if (!is_stroke) {
                read_.join(joint.a, joint.b);
            }
        }
        feet_ = feet_of(islands, pads);
        for (std::size_t i = 0; i < pads.size(); ++i) {
            for (const int island : {feet_[i].island, feet_[i].other}) {
                if (island >= 0) {
                    pads_on_[island].push_back(pads[i].at);
                }
            }
        }
    }

    void join(const Joint& joint) {
        sets_.join(joint.a, joint.b);
        read_.join(joint.a, joint.b);
    }

    std::vector<OpenWay> ways() {
        count();
        std::vector<OpenWay> all;
        for (const auto& [ends, joints] : between_) {
            all.push_back(way_of(ends, joints));
        }
        return all;
    }

    // The other joints between the two ends of a way.
    std::vector<int> beside(const OpenWay& way) {
        const Joint& joint = joints_[static_cast<std::size_t>(way.joint)];
        std::vector<int> others = between_.at(ends_of(joint));
        std::erase(others, way.joint);
        return others;
    }

private:
    struct Piece {
        int pins = 0;
        double odds = 0.0;  // of all ways out
    };

    std::pair<int, int> ends_of(const Joint& joint) {
        return std::minmax({sets_.find(joint.a), sets_.find(joint.b)});
    }
    const Joint& joint_at(int j) const { return joints_[static_cast<std::size_t>(j)]; }
    int best_of(const std::vector<int>& joints) const {
        return *std::ranges::max_element(joints, {}, [&](int j) { return joint_at(j).joined; });
    }

    void count() {
        pieces_.clear();
        pins_read_.clear();
        between_.clear();
        for (const PadFoot& foot : feet_) {
            if (foot.island >= 0) {
                ++pieces_[sets_.find(foot.island)].pins;
                ++pins_read_[read_.find(foot.island)];
            }
        }
        for (std::size_t j = 0; j < joints_.size(); ++j) {
            const Joint& joint = joints_[j];
            const std::pair<int, int> ends = ends_of(joint);
            if (is_open_way(joint) && ends.first != ends.second) {
                between_[ends].push_back(static_cast<int>(j));
            }
        }
        for (const auto& [ends, joints] : between_) {
            const double odds = odds_of(joint_at(best_of(joints)).joined);
            pieces_[ends.first].odds += odds;
            pieces_[ends.second].odds += odds;
        }
    }

    bool is_near_pad(int island, Point end) const {
        constexpr double near_mm = 1.0;
        const auto found = pads_on_.find(island);
        return found != pads_on_.end() && std::ranges::any_of(found->second, [&](Point pad) {
                   return apart_mm(pad, end) < near_mm;
               });
    }

    void look_at_places(OpenWay& way, const std::vector<int>& joints) const {
        for (const int j : joints) {
            const Joint& joint = joint_at(j);
            if (joint.kind == Joint::Kind::gap && joint.joined > way.gap) {
                way.gap = joint.joined;
                way.gap_mm = joint.width_mm;
            } else if (joint.kind == Joint::Kind::hidden && joint.joined > way.path) {
                way.path = joint.joined;
                way.path_mm =
                    joint.path.empty() ? 0.0 : apart_mm(joint.path.front(), joint.path.back());
                way.below_part = joint.below_part;
            }
        }
        const Joint& best = joint_at(way.joint);
        const Side side = islands_.islands[static_cast<std::size_t>(best.a)].side;
        const Surface surface = surface_at(picture_, side, best.at);
        way.in_print = surface == Surface::legend;
        way.in_body = surface == Surface::body || surface == Surface::unknown;
        const bool straight = !best.path.empty();
        way.pads_near = (is_near_pad(best.a, straight ? best.path.front() : best.at) ? 1 : 0) +
                        (is_near_pad(best.b, straight ? best.path.back() : best.at) ? 1 : 0);
    }

    OpenWay way_of(std::pair<int, int> ends, const std::vector<int>& joints) {
        OpenWay way;
        way.joint = best_of(joints);
        look_at_places(way, joints);
        const Joint& best = joint_at(way.joint);
        const double odds = odds_of(best.joined);
        const Piece* few = &pieces_[ends.first];
        const Piece* many = &pieces_[ends.second];
        if (many->pins <= few->pins) {
            std::swap(few, many);
        }
        way.few_pins = few->pins;
        way.many_pins = many->pins;
        way.few_share = odds / few->odds;
        way.many_share = odds / many->odds;
        way.pairs = pins_read_[read_.find(best.a)] * pins_read_[read_.find(best.b)];
        return way;
    }

    const Islands& islands_;
    const std::vector<Joint>& joints_;
    const BoardPicture& picture_;
    std::vector<PadFoot> feet_;
    base::DisjointSets sets_;
    base::DisjointSets read_;  // as it is without strokes
    std::map<int, int> pins_read_;
    std::map<int, Piece> pieces_;
    std::map<int, std::vector<Point>> pads_on_;
    std::map<std::pair<int, int>, std::vector<int>> between_;
};

}  // namespace

std::vector<OpenWay> open_ways(const Islands& islands,
                               const std::vector<Pad>& pads,
                               const BoardPicture& picture) {
    return Pieces(islands, islands.joints, pads, picture).ways();
}

namespace {

// Takes the likeliest way again and again, as long as one is likelier than not: these, with their
// chance. `weigh(way, chance)`, asked of each way in each round, gives the chance that counts.
template <typename Weigh>
std::map<int, double> take_likeliest(Pieces& pieces,
                                     const std::vector<Joint>& as_seen,
                                     Weigh weigh) {
    std::map<int, double> taken;
    while (true) {
        const std::vector<OpenWay> ways = pieces.ways();
        const OpenWay* best = nullptr;
        double most = 0.5;
        for (const OpenWay& way : ways) {
            const double chance = weigh(way, assumed(way, chance_of(way)));
            if (chance > most) {
                most = chance;
                best = &way;
            }
        }
        if (best == nullptr) {
            return taken;
        }
        taken[best->joint] = most;
        pieces.join(as_seen[static_cast<std::size_t>(best->joint)]);
    }
}

// What would be taken for joined if strokes joined nothing but ways that were seen.
std::map<int, double> taken_without_strokes(const Islands& islands,
                                            const std::vector<Pad>& pads,
                                            const BoardPicture& picture) {
    const auto is_stroke = [](const Joint& joint) {
        return joint.kind == Joint::Kind::bridge && joint.joined > 0.5;
    };
    if (std::ranges::none_of(islands.joints, is_stroke)) {
        return {};
    }
    Pieces pieces(islands, islands.joints, pads, picture, Pieces::Strokes::confirm);
    return take_likeliest(
        pieces, islands.joints, [](const OpenWay& /*way*/, double chance) { return chance; });
}

}  // namespace

void weigh_open_ways(Islands& islands, const std::vector<Pad>& pads, const BoardPicture& picture) {
    constexpr double least_other = 0.02;
    const std::vector<Joint> as_seen = islands.joints;
    const std::map<int, double> before = taken_without_strokes(islands, pads, picture);
    Pieces pieces(islands, as_seen, pads, picture);
    const auto set = [&](int joint, double chance) {
        islands.joints[static_cast<std::size_t>(joint)].joined = chance;
    };
    take_likeliest(pieces, as_seen, [&](const OpenWay& way, double chance) {
        const auto stays = [&](int joint) {
            const auto found = before.find(joint);
            chance = found == before.end() ? chance : std::max(chance, found->second);
        };
        stays(way.joint);
        for (const int other : pieces.beside(way)) {
            stays(other);
            set(other,
                std::min(islands.joints[static_cast<std::size_t>(other)].joined, least_other));
        }
        set(way.joint, chance);
        return chance;
    });
}

}  // namespace etchback::copper::detail
