#include "copper/eye/find_islands.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <set>

#include "copper/eye/detail/basins.h"
#include "copper/eye/detail/hidden_joints.h"
#include "copper/eye/detail/hole_joints.h"
#include "copper/eye/detail/raster_pixels.h"
#include "copper/eye/detail/rings.h"
#include "copper/eye/detail/track_ends.h"

namespace etchback::copper::eye {

namespace {

using namespace detail;
using Says = RasterStroke::Says;

// A side of which there is a picture that tells copper from board: a guess would join what is not.
const SidePicture* believed(const BoardPicture& picture, Side side) {
    const auto& seen = picture.side(side);
    return seen && seen->trusted ? &*seen : nullptr;
}

// What can be seen of the copper of a side: hidden places count as none.
cv::Mat seen_copper(const SidePicture& side, const Raster& raster) {
    cv::Mat copper(raster.height, raster.width, CV_8U);
    std::copy(side.copper.begin(), side.copper.end(), copper.begin<std::uint8_t>());
    for (std::size_t i = 0; i < side.surface.size(); ++i) {
        const Surface s = side.surface[i];
        if (s == Surface::body || s == Surface::unknown || s == Surface::background) {
            copper.data[i] = 0;
        }
    }
    return copper;
}

void draw(const RasterStroke& stroke, double value, cv::Mat& picture) {
    const int width = std::max(1, cvRound(stroke.width_px));
    for (std::size_t i = 0; i < stroke.along.size(); ++i) {
        const cv::Point a = stroke.along[i];
        const cv::Point b = stroke.along[std::min(i + 1, stroke.along.size() - 1)];
        cv::line(picture, a, b, cv::Scalar(value), width, cv::LINE_8);
    }
}

// Straight copper pictures are sharp to the pixel; photographs are not.
BasinLimits limits_for(const BoardPicture& picture) {
    BasinLimits limits;
    const double px_per_mm = picture.raster.px_per_mm;
    if (!picture.registration.photos.empty()) {
        limits.blur_px = std::max(0.9, 0.05 * px_per_mm);
        limits.least_core_px = std::max(12, cvRound(0.10 * px_per_mm * px_per_mm));
        limits.least_island_px = std::max(8, cvRound(0.05 * px_per_mm * px_per_mm));
    }
    return limits;
}

// Width of the copper (or, from outside copper, of what lies between) about a pixel.
double width_at(const cv::Mat& copper, cv::Point at, bool of_copper, const Raster& raster) {
    const int reach = cvCeil(0.5 * raster.px_per_mm) + 2;
    double nearest = reach;
    for (int dy = -reach; dy <= reach; ++dy) {
        for (int dx = -reach; dx <= reach; ++dx) {
            const cv::Point p(at.x + dx, at.y + dy);
            const bool inside = p.x >= 0 && p.y >= 0 && p.x < copper.cols && p.y < copper.rows;
            if ((inside && copper.at<std::uint8_t>(p) >= 128) != of_copper) {
                nearest = std::min(nearest, std::hypot(dx, dy));
            }
        }
    }
    return (2.0 * nearest - 1.0) / raster.px_per_mm;
}

// The pixel nearest to `at` that is copper or is not, as wanted: a saddle may lie one beside.
cv::Point nearest(const cv::Mat& copper, cv::Point at, bool of_copper) {
    for (int reach = 0; reach <= 3; ++reach) {
        for (int dy = -reach; dy <= reach; ++dy) {
            for (int dx = -reach; dx <= reach; ++dx) {
                const cv::Point p(at.x + dx, at.y + dy);
                if (p.x >= 0 && p.y >= 0 && p.x < copper.cols && p.y < copper.rows &&
                    (copper.at<std::uint8_t>(p) >= 128) == of_copper) {
                    return p;
                }
            }
        }
    }
    return at;
}

// How likely a saddle joins. The averaged level falls with the width of a neck and with doubt; it
// never contradicts what is seen at the pixels.
// How many of the necks of a width truly join, on invented boards (tests/tracing).
double share_by_width(double width_mm) {
    return std::clamp(0.58 + 1.6 * (width_mm - 0.1), 0.55, 0.97);
}

double chance_of(const Saddle& saddle) {
    const double level = saddle.level / 255.0;
    return saddle.joined ? std::clamp(0.55 + 0.75 * (level - 0.25), 0.55, 0.98)
                         : std::clamp(0.45 * level / 0.6, 0.03, 0.45);
}

Joint joint_of(
    const Saddle& saddle, const cv::Mat& copper, int first, const Raster& raster, bool sharp) {
    Joint joint;
    joint.kind = saddle.joined ? Joint::Kind::neck : Joint::Kind::gap;
    joint.a = first + saddle.a;
    joint.b = first + saddle.b;
    joint.joined = chance_of(saddle);
    joint.at = board_of(saddle.at, raster);
    joint.width_mm =
        width_at(copper, nearest(copper, saddle.at, saddle.joined), saddle.joined, raster);
    if (saddle.joined && !sharp) {
        joint.joined = std::min(joint.joined, share_by_width(joint.width_mm));
    }
    joint.why = saddle.joined ? fmt::format("a neck of copper, {:.2f} mm wide", joint.width_mm)
                              : fmt::format("a gap of {:.2f} mm that is not clear", joint.width_mm);
    return joint;
}

// Every pair of islands that a stroke of the person touches.
void add_strokes(const std::vector<RasterStroke>& strokes,
                 const cv::Mat& labels,
                 const Raster& raster,
                 std::vector<Joint>& joints) {
    for (const RasterStroke& stroke : strokes) {
        if ((stroke.says != Says::cut && stroke.says != Says::bridge) || stroke.along.empty()) {
            continue;
        }
        const bool is_bridge = stroke.says == Says::bridge;
        // A cut was drawn into the copper: what it parts lies just beside it.
        RasterStroke wider = stroke;
        wider.width_px += is_bridge ? 0.0F : 4.0F;
        cv::Mat mask(labels.size(), CV_8U, cv::Scalar(0));
        draw(wider, 255, mask);
        std::set<int> touched;
        for (int y = 0; y < labels.rows; ++y) {
            for (int x = 0; x < labels.cols; ++x) {
                if (mask.at<std::uint8_t>(y, x) != 0 && labels.at<int>(y, x) >= 0) {
                    touched.insert(labels.at<int>(y, x));
                }
            }
        }
        Joint joint;
        joint.kind = Joint::Kind::bridge;
        joint.joined = is_bridge ? 1.0 : 0.0;
        joint.at = board_of(stroke.along[stroke.along.size() / 2], raster);
        joint.why = is_bridge ? "your stroke 'bridge here'" : "your stroke 'cut here'";
        for (auto a = touched.begin(); a != touched.end(); ++a) {
            for (auto b = std::next(a); b != touched.end(); ++b) {
                joint.a = *a;
                joint.b = *b;
                joints.push_back(joint);
            }
        }
    }
}

// The middle of the widest place of each island.
std::vector<cv::Point> middles_of(const cv::Mat& labels, int first, int count) {
    // Distances count from the nearest pixel of another island or of none.
    cv::Mat apart(labels.size(), CV_8U, cv::Scalar(0));
    for (int y = 1; y + 1 < labels.rows; ++y) {
        const int* row = labels.ptr<int>(y);
        const int* above = labels.ptr<int>(y - 1);
        for (int x = 1; x + 1 < labels.cols; ++x) {
            if (row[x] >= 0 && row[x] == row[x - 1] && row[x] == above[x]) {
                apart.at<std::uint8_t>(y, x) = 255;
            }
        }
    }
    cv::Mat depth;
    cv::distanceTransform(apart, depth, cv::DIST_L2, cv::DIST_MASK_3);
    std::vector<cv::Point> middle(static_cast<std::size_t>(count), cv::Point(-1, -1));
    std::vector<float> best(static_cast<std::size_t>(count), -1.0F);
    for (int y = 0; y < labels.rows; ++y) {
        const int* row = labels.ptr<int>(y);
        const float* d = depth.ptr<float>(y);
        for (int x = 0; x < labels.cols; ++x) {
            if (row[x] >= 0) {
                const auto i = static_cast<std::size_t>(row[x] - first);
                if (d[x] > best[i]) {
                    best[i] = d[x];
                    middle[i] = {x, y};
                }
            }
        }
    }
    return middle;
}

// One side on its way to islands.
struct SideWork {
    cv::Mat copper;
    cv::Mat labels;  // indices into Islands::islands
    int first = 0;
    int count = 0;
};

SideWork work_on(const SidePicture& side,
                 const std::vector<RasterStroke>& strokes,
                 const BoardPicture& picture,
                 Islands& islands) {
    SideWork work;
    work.first = static_cast<int>(islands.islands.size());
    work.copper = seen_copper(side, picture.raster);
    for (const RasterStroke& stroke : strokes) {
        if (stroke.says == Says::cut) {
            draw(stroke, 0, work.copper);
        }
    }
    const Basins basins = find_basins(work.copper, limits_for(picture));
    work.count = basins.count;
    basins.labels.copyTo(work.labels);
    work.labels.setTo(-1, work.labels < 0);
    for (int y = 0; y < work.labels.rows; ++y) {
        int* row = work.labels.ptr<int>(y);
        for (int x = 0; x < work.labels.cols; ++x) {
            row[x] += row[x] >= 0 ? work.first : 0;
        }
    }
    for (const Saddle& saddle : basins.saddles) {
        islands.joints.push_back(joint_of(
            saddle, work.copper, work.first, picture.raster, picture.registration.photos.empty()));
    }
    return work;
}

void add_shapes(SideWork& work, Side side, double simplify_mm, Islands& islands) {
    const Raster& raster = islands.raster;
    cv::Mat own = work.labels.clone();
    for (int y = 0; y < own.rows; ++y) {
        int* row = own.ptr<int>(y);
        for (int x = 0; x < own.cols; ++x) {
            row[x] -= row[x] >= 0 ? work.first : 0;
        }
    }
    std::vector<Ring> rings = trace_rings(own);
    std::vector<std::int64_t> doubled(static_cast<std::size_t>(work.count), 0);
    for (const Ring& ring : rings) {
        doubled[static_cast<std::size_t>(ring.island)] += ring.doubled_area();
    }
    simplify(rings, own.size(), simplify_mm * raster.px_per_mm);
    const std::vector<Polygon> shapes = polygons_of(rings, work.count, raster);
    const std::vector<cv::Point> middles = middles_of(own, 0, work.count);
    for (int i = 0; i < work.count; ++i) {
        const auto k = static_cast<std::size_t>(i);
        Island island;
        island.side = side;
        island.shape = shapes[k];
        island.area_mm2 =
            0.5 * static_cast<double>(doubled[k]) / (raster.px_per_mm * raster.px_per_mm);
        island.inside = board_of(middles[k], raster);
        islands.islands[static_cast<std::size_t>(work.first + i)] = std::move(island);
    }
    const auto* labels = work.labels.ptr<int>();
    (side == Side::top ? islands.top : islands.bottom).assign(labels, labels + work.labels.total());
}

}  // namespace

Islands find_islands(const BoardPicture& picture,
                     const std::vector<RasterStroke>& top,
                     const std::vector<RasterStroke>& bottom,
                     double simplify_mm) {
    Islands islands;
    islands.raster = picture.raster;
    SideWork works[2];
    for (const Side side : {Side::top, Side::bottom}) {
        if (const SidePicture* seen = believed(picture, side)) {
            SideWork& work = works[static_cast<std::size_t>(side)];
            work = work_on(*seen, side == Side::top ? top : bottom, picture, islands);
            islands.islands.resize(islands.islands.size() + static_cast<std::size_t>(work.count));
        }
    }
    join_holes(picture.holes, picture.raster, works[0].labels, works[1].labels, islands.joints);
    if (!picture.registration.photos.empty() && believed(picture, Side::top) != nullptr &&
        believed(picture, Side::bottom) != nullptr) {
        join_track_ends(picture, works[0].labels, works[1].labels, islands.joints);
    }
    for (const Side side : {Side::top, Side::bottom}) {
        SideWork& work = works[static_cast<std::size_t>(side)];
        if (const SidePicture* seen = believed(picture, side)) {
            add_strokes(
                side == Side::top ? top : bottom, work.labels, picture.raster, islands.joints);
            join_hidden(*seen, work.labels, picture.raster, islands.joints);
            add_shapes(work, side, simplify_mm, islands);
        }
    }
    return islands;
}

}  // namespace etchback::copper::eye
