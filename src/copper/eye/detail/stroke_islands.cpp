#include "copper/eye/detail/stroke_islands.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <opencv2/imgproc.hpp>
#include <optional>
#include <set>
#include <string_view>
#include <utility>

#include "copper/eye/detail/hidden_passages.h"
#include "copper/eye/detail/hole_joints.h"
#include "copper/eye/detail/label_pixels.h"
#include "copper/eye/detail/raster_pixels.h"
#include "copper/eye/detail/stroke_line.h"

namespace etchback::copper::eye::detail {

namespace {

using Says = RasterStroke::Says;

bool parts(Says says) {
    return says == Says::cut || says == Says::laminate || says == Says::no_copper;
}

// Where the copper ends beyond an end of a line, if that is no further than a hand's error.
std::optional<cv::Point2f> edge_beyond(cv::Point2f end,
                                       cv::Point2f before,
                                       const cv::Mat& copper,
                                       double px_per_mm) {
    const cv::Point2f way = end - before;
    const auto length = static_cast<float>(cv::norm(way));
    if (length < 1.0F) {
        return std::nullopt;
    }
    for (float t = 0.0F; t <= hand_mm * px_per_mm + 1.0; t += 1.0F) {
        const cv::Point2f at = end + way * (t / length);
        if (const cv::Point p = at; !is_inside(p, copper) || copper.at<std::uint8_t>(p) < 128) {
            return at;
        }
    }
    return std::nullopt;
}

// Pieces of a line that lie on no island become islands.
void label_line(const RasterStroke& stroke,
                const std::vector<cv::Point>& pixels,
                const std::set<int>& followed,
                cv::Rect box,
                cv::Mat& labels,
                int& next) {
    RasterStroke moved = stroke;
    for (cv::Point2f& p : moved.along) {
        p -= cv::Point2f(box.tl());
    }
    cv::Mat line(box.size(), CV_8U, cv::Scalar(0));
    draw(moved.along, stroke.width_px, line);
    // However thin, it hangs together over sides of pixels.
    cv::Mat middle(box.size(), CV_8U, cv::Scalar(0));
    for (const cv::Point& p : pixels) {
        if (box.contains(p)) {
            middle.at<std::uint8_t>(p - box.tl()) = 255;
        }
    }
    cv::Mat cross;
    cv::dilate(middle, cross, cv::getStructuringElement(cv::MORPH_CROSS, {3, 3}));
    line |= cross;
    for (int y = 0; y < line.rows; ++y) {
        for (int x = 0; x < line.cols; ++x) {
            const cv::Point p = box.tl() + cv::Point(x, y);
            std::uint8_t& drawn = line.at<std::uint8_t>(y, x);
            if (labels.at<int>(p) >= 0) {
                drawn = 0;
                continue;
            }
            // A broad line leaves a gap to a neighbour that it does not follow.
            for (const cv::Point step :
                 {cv::Point(1, 0), cv::Point(0, 1), cv::Point(-1, 0), cv::Point(0, -1)}) {
                const int beside = is_inside(p + step, labels) ? labels.at<int>(p + step) : -1;
                if (beside >= 0 && !followed.contains(beside) &&
                    middle.at<std::uint8_t>(y, x) == 0) {
                    drawn = 0;
                }
            }
        }
    }
    cv::Mat pieces;
    cv::connectedComponents(line, pieces, 4, CV_32S);
    // Only pieces that the middle of the line goes through: the rest are slivers beside a track.
    std::map<int, int> island_of;
    for (const cv::Point& p : pixels) {
        const int piece = box.contains(p) ? pieces.at<int>(p - box.tl()) : 0;
        if (piece != 0 && island_of.emplace(piece, next).second) {
            ++next;
        }
    }
    for (int y = 0; y < pieces.rows; ++y) {
        for (int x = 0; x < pieces.cols; ++x) {
            const auto found = island_of.find(pieces.at<int>(y, x));
            if (found != island_of.end()) {
                labels.at<int>(box.tl() + cv::Point(x, y)) = found->second;
            }
        }
    }
}

Joint joint_by(const RasterStroke& stroke, cv::Point2d at, const Raster& raster) {
    Joint joint;
    joint.kind = Joint::Kind::bridge;
    joint.joined = stroke.says == Says::cut ? 0.0 : 1.0;
    joint.at = board_of(at, raster);
    joint.why = stroke.says == Says::bridge ? "your stroke 'bridge here'"
                : stroke.says == Says::cut  ? "your stroke 'cut here'"
                                            : "your stroke 'copper'";
    return joint;
}

// The islands that lie below a cut or just beside it.
std::set<int> beside(const RasterStroke& cut, const cv::Mat& labels) {
    const cv::Rect box = box_of(cut, 4.0, labels.size());
    RasterStroke moved = cut;
    for (cv::Point2f& p : moved.along) {
        p -= cv::Point2f(box.tl());
    }
    cv::Mat mask(box.size(), CV_8U, cv::Scalar(0));
    draw(moved.along, cut.width_px + 4.0F, mask);
    std::set<int> islands;
    for (int y = 0; y < mask.rows; ++y) {
        for (int x = 0; x < mask.cols; ++x) {
            const int island = labels.at<int>(box.y + y, box.x + x);
            if (mask.at<std::uint8_t>(y, x) != 0 && island >= 0) {
                islands.insert(island);
            }
        }
    }
    return islands;
}

double to_segment(cv::Point2d p, cv::Point2d a, cv::Point2d b) {
    const cv::Point2d way = b - a;
    const double square = way.dot(way);
    const double t = square > 0.0 ? std::clamp((p - a).dot(way) / square, 0.0, 1.0) : 0.0;
    return cv::norm(p - a - t * way);
}

}  // namespace

double distance_px(cv::Point2d at, const RasterStroke& stroke) {
    double nearest = std::numeric_limits<double>::infinity();
    for (std::size_t i = 0; i < stroke.along.size(); ++i) {
        const cv::Point2d from = stroke.along[i];
        const cv::Point2d to = stroke.along[std::min(i + 1, stroke.along.size() - 1)];
        nearest = std::min(nearest, to_segment(at, from, to));
    }
    return nearest;
}

int island_near(cv::Point2d at, const cv::Mat& labels, double reach) {
    const int r = cvCeil(reach);
    int nearest = -1;
    double best = r + 1.0;
    for (int dy = -r; dy <= r; ++dy) {
        for (int dx = -r; dx <= r; ++dx) {
            const cv::Point p = cv::Point(at) + cv::Point(dx, dy);
            const double far = std::hypot(dx, dy);
            if (far < best && is_inside(p, labels) && labels.at<int>(p) >= 0) {
                best = far;
                nearest = labels.at<int>(p);
            }
        }
    }
    return nearest;
}

bool says_copper(Says says) {
    return says == Says::copper || says == Says::masked_copper || says == Says::bare_copper;
}

cv::Mat walls_of(const std::vector<RasterStroke>& strokes,
                 const cv::Mat& copper,
                 double px_per_mm) {
    cv::Mat walls;
    for (const RasterStroke& stroke : strokes) {
        if (!parts(stroke.says) || stroke.along.empty()) {
            continue;
        }
        if (walls.empty()) {
            walls = cv::Mat(copper.size(), CV_8U, cv::Scalar(0));
        }
        std::vector<cv::Point2f> along = stroke.along;
        if (along.size() > 1) {
            const auto last = along.size() - 1;
            const auto behind = edge_beyond(along[last], along[last - 1], copper, px_per_mm);
            const auto ahead = edge_beyond(along[0], along[1], copper, px_per_mm);
            if (behind) {
                along.push_back(*behind);
            }
            if (ahead) {
                along.insert(along.begin(), *ahead);
            }
        }
        draw(along, stroke.width_px, walls);
    }
    return walls;
}

void follow_copper(const std::vector<RasterStroke>& strokes,
                   const Raster& raster,
                   cv::Mat& labels,
                   int& next,
                   std::vector<Joint>& joints) {
    for (const RasterStroke& stroke : strokes) {
        const cv::Rect box = box_of(stroke, 0.5 * raster.px_per_mm, labels.size());
        if (!says_copper(stroke.says) || stroke.along.empty() || box.empty()) {
            continue;
        }
        const std::vector<cv::Point> pixels = pixels_along(stroke, labels);
        std::set<int> followed = followed_islands(pixels, labels, box, raster.px_per_mm);
        const int first_own = next;
        label_line(stroke, pixels, followed, box, labels, next);
        int before = -1;
        std::set<std::pair<int, int>> told;
        for (const cv::Point& p : pixels) {
            const int island = labels.at<int>(p);
            if (island < 0 || (island < first_own && !followed.contains(island))) {
                continue;
            }
            if (before >= 0 && island != before &&
                told.insert(std::minmax(before, island)).second) {
                Joint joint = joint_by(stroke, p, raster);
                joint.a = std::min(before, island);
                joint.b = std::max(before, island);
                joints.push_back(std::move(joint));
            }
            before = island;
        }
    }
}

void learn_from_strokes(const std::vector<RasterStroke>& strokes,
                        const SidePicture& side,
                        const Raster& raster,
                        const cv::Mat& labels,
                        std::vector<Joint>& joints) {
    constexpr double beside_mm = 0.6;
    constexpr double each = 0.25;  // how much likelier one shown place makes the others
    // On invented boards, taking them for joined did more harm than good.
    constexpr double still_asked = 0.49;
    constexpr double least = 0.2;  // what is hardly thought of stays so
    if (std::ranges::none_of(strokes, says_copper, &RasterStroke::says)) {
        return;
    }
    const auto [first, last] = first_and_last(labels);
    const auto is_own = [&](int island) { return island >= first && island <= last; };
    const auto is_below_print = [&](const Joint& joint) {
        const cv::Point p = pixel_of(joint.at, raster);
        return (joint.kind == Joint::Kind::gap || joint.kind == Joint::Kind::hidden) &&
               is_own(joint.a) && is_own(joint.b) && is_inside(p, labels) &&
               side.surface[static_cast<std::size_t>(p.y) * labels.cols + p.x] == Surface::legend;
    };
    std::set<const Joint*> shown;
    for (const RasterStroke& stroke : strokes) {
        if (!says_copper(stroke.says)) {
            continue;
        }
        const std::vector<cv::Point> pixels = pixels_along(stroke, labels);
        std::set<int> passed;
        for (const cv::Point& p : pixels) {
            passed.insert(labels.at<int>(p));
        }
        for (const Joint& joint : joints) {
            if (!passed.contains(joint.a) || !passed.contains(joint.b) || !is_below_print(joint)) {
                continue;
            }
            const cv::Point2d at = pixel_of(joint.at, raster);
            if (std::ranges::any_of(pixels, [&](cv::Point p) {
                    return cv::norm(cv::Point2d(p) - at) <= beside_mm * raster.px_per_mm;
                })) {
                shown.insert(&joint);
            }
        }
    }
    if (shown.empty()) {
        return;
    }
    const double likelier = 1.0 + each * static_cast<double>(shown.size());
    for (Joint& joint : joints) {
        if (!shown.contains(&joint) && joint.joined >= least && is_below_print(joint)) {
            const double odds = likelier * joint.joined / (1.0 - joint.joined);
            joint.joined = std::max(joint.joined, std::min(still_asked, odds / (1.0 + odds)));
            joint.why += ", as where you followed copper below print";
        }
    }
}

void lead_through(const std::vector<RasterStroke>& strokes,
                  const std::vector<Hole>& holes,
                  const Raster& raster,
                  const cv::Mat& own,
                  const cv::Mat& other,
                  std::vector<Joint>& joints) {
    constexpr double least_real = 0.5;
    constexpr double least_share = 0.3;
    if (own.empty() || other.empty()) {
        return;
    }
    for (const RasterStroke& stroke : strokes) {
        if (!says_copper(stroke.says) || stroke.along.size() < 2) {
            continue;
        }
        for (const Hole& hole : holes) {
            const cv::Point2d at = pixel_of(hole.at, raster);
            if (hole.real < least_real || distance_px(at, stroke) > hand_mm * raster.px_per_mm) {
                continue;
            }
            const int here = island_near(at, own, hand_mm * raster.px_per_mm);
            for (const Rim& rim : rim_of(hole, other, raster)) {
                if (here >= 0 && rim.share >= least_share) {
                    Joint joint = joint_by(stroke, at, raster);
                    joint.a = std::min(here, rim.island);
                    joint.b = std::max(here, rim.island);
                    joint.why = "your stroke 'copper' leads through a hole";
                    joints.push_back(std::move(joint));
                }
            }
        }
    }
}

namespace {

// A line that decides places in doubt.
class Deciding {
public:
    Deciding(const RasterStroke& stroke, const cv::Mat& labels, double px_per_mm)
        : stroke_(&stroke), mark_px_(mark_mm * px_per_mm) {
        if (stroke.says == Says::hidden_copper) {
            in_turn_ = followed_in_turn(stroke, labels, px_per_mm);
        }
    }

    static bool is_one(Says says) {
        return says == Says::goes_on || says == Says::stops || says == Says::hidden_copper;
    }
    Says says() const { return stroke_->says; }
    bool decides(const Joint& joint, cv::Point2d at) const {
        return is_meant(joint) && distance_px(at, *stroke_) <= mark_px_;
    }

private:
    static constexpr double mark_mm = 0.3;

    // `goes on` means whatever is open, `stops` whatever may be closed; `hidden copper` open holes,
    // and ways between two islands that it follows one after the other.
    bool is_meant(const Joint& joint) const {
        using Kind = Joint::Kind;
        const bool is_way = joint.kind == Kind::gap || joint.kind == Kind::hidden;
        const bool is_hole = joint.kind == Kind::hole;
        if (stroke_->says == Says::stops) {
            return is_way || is_hole || joint.kind == Kind::neck;
        }
        return (is_hole && joint.joined <= 0.5) ||
               (is_way && (stroke_->says == Says::goes_on ||
                           in_turn_.contains(std::minmax(joint.a, joint.b))));
    }

    const RasterStroke* stroke_;
    double mark_px_;
    std::set<std::pair<int, int>> in_turn_;
};

std::string_view why_of(Says says) {
    return says == Says::goes_on ? "your stroke 'goes on'"
           : says == Says::stops ? "your stroke 'stops'"
                                 : "your stroke 'hidden copper'";
}

}  // namespace

void decide_ways(const std::vector<RasterStroke>& strokes,
                 const Raster& raster,
                 const cv::Mat& labels,
                 std::vector<Joint>& joints) {
    std::vector<Deciding> deciding;
    for (const RasterStroke& stroke : strokes) {
        if (Deciding::is_one(stroke.says)) {
            deciding.emplace_back(stroke, labels, raster.px_per_mm);
        }
    }
    if (deciding.empty()) {
        return;
    }
    const auto [first, last] = first_and_last(labels);
    const auto is_own = [first = first, last = last](int island) {
        return island >= first && island <= last;
    };
    for (Joint& joint : joints) {
        if (!is_own(joint.a) && !is_own(joint.b)) {
            continue;
        }
        const cv::Point2d at = pixel_of(joint.at, raster);
        // The last one counts.
        const auto found =
            std::ranges::find_if(deciding.rbegin(), deciding.rend(), [&](const Deciding& line) {
                return line.decides(joint, at);
            });
        if (found != deciding.rend()) {
            joint.was_way = joint.kind == Joint::Kind::gap || joint.kind == Joint::Kind::hidden;
            joint.kind = Joint::Kind::bridge;
            joint.joined = found->says() == Says::stops ? 0.0 : 1.0;
            joint.why = why_of(found->says());
        }
    }
}

void drop_crossed(
    const cv::Mat& labels, int first, int end, const Raster& raster, std::vector<Joint>& joints) {
    if (first == end) {
        return;
    }
    const auto crosses = [&](const Joint& joint) {
        if (joint.kind != Joint::Kind::hidden || joint.path.size() != 2) {
            return false;
        }
        RasterStroke way;
        for (const Point& p : joint.path) {
            way.along.emplace_back(pixel_of(p, raster));
        }
        return std::ranges::any_of(pixels_along(way, labels), [&](cv::Point p) {
            const int label = labels.at<int>(p);
            return label >= first && label < end;
        });
    };
    std::erase_if(joints, crosses);
}

void cut_and_bridge(const std::vector<RasterStroke>& strokes,
                    const Raster& raster,
                    const cv::Mat& labels,
                    std::vector<Joint>& joints) {
    for (const RasterStroke& stroke : strokes) {
        if ((stroke.says != Says::cut && stroke.says != Says::bridge) || stroke.along.empty()) {
            continue;
        }
        std::set<int> islands;
        if (stroke.says == Says::cut) {
            islands = beside(stroke, labels);
        } else {
            for (const cv::Point2f& end : {stroke.along.front(), stroke.along.back()}) {
                if (const int island = island_near(end, labels, hand_mm * raster.px_per_mm);
                    island >= 0) {
                    islands.insert(island);
                }
            }
        }
        Joint joint = joint_by(stroke, stroke.along[stroke.along.size() / 2], raster);
        for (auto a = islands.begin(); a != islands.end(); ++a) {
            for (auto b = std::next(a); b != islands.end(); ++b) {
                joint.a = *a;
                joint.b = *b;
                joints.push_back(joint);
            }
        }
    }
}

}  // namespace etchback::copper::eye::detail
