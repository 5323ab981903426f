#include "copper/eye/find_islands.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstring>
#include <opencv2/core/hal/intrin.hpp>
#include <opencv2/imgproc.hpp>

#include "base/side_by_side.h"
#include "copper/eye/detail/basins.h"
#include "copper/eye/detail/hidden_joints.h"
#include "copper/eye/detail/hidden_passages.h"
#include "copper/eye/detail/hole_joints.h"
#include "copper/eye/detail/island_middles.h"
#include "copper/eye/detail/label_pixels.h"
#include "copper/eye/detail/raster_pixels.h"
#include "copper/eye/detail/rings.h"
#include "copper/eye/detail/saddle_joints.h"
#include "copper/eye/detail/stroke_islands.h"
#include "copper/eye/detail/told_holes.h"
#include "copper/eye/detail/track_ends.h"

namespace etchback::copper::eye {

namespace {

using namespace detail;

// A side of which there is a picture that tells copper from board: a guess would join what is not.
// Strokes of copper hold on any.
const SidePicture* believed(const BoardPicture& picture,
                            Side side,
                            const std::vector<RasterStroke>& strokes) {
    const auto& seen = picture.side(side);
    const bool told = std::ranges::any_of(
        strokes, [](const RasterStroke& stroke) { return says_copper(stroke.says); });
    return seen && (seen->trusted || told) ? &*seen : nullptr;
}

// What can be seen of the copper of a side: hidden places count as none.
cv::Mat seen_copper(const SidePicture& side, const Raster& raster) {
    const auto all = [](Surface kind) { return cv::v_setall_u8(static_cast<std::uint8_t>(kind)); };
    const cv::v_uint8x16 body = all(Surface::body);
    const cv::v_uint8x16 unknown = all(Surface::unknown);
    const cv::v_uint8x16 background = all(Surface::background);
    const auto shown = [&](const cv::v_uint8x16& level, const cv::v_uint8x16& what) {
        return level & ~((what == body) | (what == unknown) | (what == background));
    };
    cv::Mat copper(raster.height, raster.width, CV_8U);
    std::uint8_t* out = copper.data;
    const std::size_t count = side.surface.size();
    std::size_t i = 0;
    for (; i + 16 <= count; i += 16) {
        const auto* what = reinterpret_cast<const std::uint8_t*>(side.surface.data() + i);
        cv::v_store(out + i, shown(cv::v_load(side.copper.data() + i), cv::v_load(what)));
    }
    for (; i < count; ++i) {
        out[i] = shown(cv::v_setall_u8(side.copper[i]), all(side.surface[i])).get0();
    }
    return copper;
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

bool same(const cv::Mat& a, const cv::Mat& b) {
    return a.data == b.data ||
           (a.size() == b.size() && a.type() == b.type() && a.isContinuous() && b.isContinuous() &&
            std::memcmp(a.data, b.data, a.total() * a.elemSize()) == 0);
}

// What a picture shows of a side.
struct Shown {
    std::vector<Surface> surface;
    std::vector<std::uint8_t> levels;

    bool is_of(const SidePicture& side) const {
        const auto same_bytes = [](const auto& a, const auto& b) {
            return a.size() == b.size() && std::memcmp(a.data(), b.data(), a.size()) == 0;
        };
        return same_bytes(surface, side.surface) && same_bytes(levels, side.copper);
    }
};

// One side on its way to islands.
struct SideWork {
    std::shared_ptr<const Shown> shown;
    std::vector<RasterStroke> strokes;
    bool trusted = true;
    cv::Mat copper;
    cv::Mat walls;  // what nothing goes across
    Basins basins;
    cv::Mat labels;  // indices into Islands::islands, in its own map; only while it is made
    int first = 0;
    int count = 0;  // of islands; those of strokes are the last
    cv::Mat own;    // the same, counted from 0
    std::vector<Island> shapes;
    std::vector<cv::Point> middles;  // of the islands
    // What hidden joints were found from, and these, counted from 0.
    cv::Mat read;  // islands that were read, without those of strokes
    std::shared_ptr<const std::vector<std::int8_t>> glow;
    std::vector<Joint> hidden;
};

// Copper that is seen, and its basins.
void find_pieces(const SidePicture& side,
                 const BoardPicture& picture,
                 const SideWork* before,
                 SideWork& work) {
    work.copper = seen_copper(side, picture.raster);
    if (!side.trusted) {
        work.copper.setTo(0);  // a guess would join what is not
    }
    work.walls = walls_of(work.strokes, work.copper, picture.raster.px_per_mm);
    if (!work.walls.empty()) {
        work.copper.setTo(0, work.walls);
    }
    const bool known = before != nullptr && !before->basins.level.empty();
    work.basins = find_basins(
        work.copper, limits_for(picture), work.walls, known ? &before->basins : nullptr);
}

// Basins of a side, the same as before if it shows the same with the same strokes.
SideWork work_on(const SidePicture& side,
                 const std::vector<RasterStroke>& strokes,
                 const BoardPicture& picture,
                 const SideWork* before) {
    SideWork work;
    work.strokes = strokes;
    work.trusted = side.trusted;
    const bool shows_the_same =
        before != nullptr && before->shown != nullptr && before->shown->is_of(side);
    work.shown = shows_the_same ? before->shown
                                : std::make_shared<const Shown>(Shown{side.surface, side.copper});
    if (shows_the_same && before->strokes == strokes && before->trusted == side.trusted) {
        work.copper = before->copper;
        work.walls = before->walls;
        work.basins = once_more(before->basins);
    } else {
        find_pieces(side, picture, before, work);
    }
    return work;
}

// Islands of basins and of strokes, and joints between them; the first is number `first`.
void number_islands(const SidePicture& side,
                    const BoardPicture& picture,
                    int first,
                    SideWork& work,
                    std::vector<std::int32_t>& map,
                    std::vector<Joint>& joints) {
    work.first = first;
    work.count = work.basins.count;
    map.resize(picture.raster.size());
    work.labels = cv::Mat(work.basins.labels.size(), CV_32S, map.data());
    renumber(work.basins.labels, first, work.labels);
    for (const Saddle& saddle : work.basins.saddles) {
        joints.push_back(joint_of(
            saddle, work.copper, first, picture.raster, picture.registration.photos.empty()));
    }
    int next = first + work.count;
    follow_copper(work.strokes, picture.raster, work.labels, next, joints);
    work.count = next - first;
    join_passages(work.strokes, side, picture.raster, work.labels, joints);
    cut_and_bridge(work.strokes, picture.raster, work.labels, joints);
}

// Islands that were read, without those of strokes.
cv::Mat without_strokes(const SideWork& work, const SideWork* before) {
    if (work.count == work.basins.count) {
        return work.own;
    }
    const bool as_before = before != nullptr && before->basins.count == work.basins.count &&
                           same(before->own, work.own);
    return as_before ? before->read : first_pieces(work.own, work.basins.count);
}

// As if there were no lines of copper: see drop_crossed.
void find_hidden(SideWork& work,
                 const SidePicture& side,
                 const std::vector<std::int8_t>& glow,
                 const Raster& raster,
                 const SideWork* before) {
    const bool glows_the_same =
        before != nullptr && before->glow != nullptr && *before->glow == glow;
    work.glow =
        glows_the_same ? before->glow : std::make_shared<const std::vector<std::int8_t>>(glow);
    work.read = without_strokes(work, before);
    const bool is_the_same = before != nullptr && before->shown == work.shown &&
                             before->basins.count == work.basins.count &&
                             same(before->read, work.read) && same(before->walls, work.walls);
    if (glows_the_same && is_the_same) {
        work.hidden = before->hidden;
    } else {
        join_hidden(side, work.read, work.basins.count, work.walls, raster, glow, work.hidden);
    }
}

void add_hidden(const SideWork& work, std::vector<Joint>& joints) {
    for (Joint joint : work.hidden) {
        joint.a += work.first;
        joint.b += work.first;
        joints.push_back(std::move(joint));
    }
}

void count_from_zero(SideWork& work, const SideWork* before) {
    if (before != nullptr && is_renumbered(work.labels, -work.first, before->own)) {
        work.own = before->own;
    } else {
        renumber(work.labels, -work.first, work.own);
    }
}

// Of islands that are as they were before.
std::vector<cv::Point> middles_known(const SideWork& work, const SideWork* before) {
    std::vector<cv::Point> middles(static_cast<std::size_t>(work.count), no_middle);
    for (std::size_t i = 0; before != nullptr && i < work.basins.before.size(); ++i) {
        if (const int same_one = work.basins.before[i]; same_one >= 0) {
            middles[i] = before->middles[static_cast<std::size_t>(same_one)];
        }
    }
    return middles;
}

void find_shapes(
    SideWork& work, Side side, const Raster& raster, double simplify_mm, const SideWork* before) {
    if (before != nullptr && same(before->own, work.own)) {
        work.shapes = before->shapes;
        work.middles = before->middles;
        return;
    }
    std::vector<Ring> rings = trace_rings(work.own);
    std::vector<std::int64_t> doubled(static_cast<std::size_t>(work.count), 0);
    std::vector<cv::Rect> boxes(doubled.size());
    for (const Ring& ring : rings) {
        const auto island = static_cast<std::size_t>(ring.island);
        doubled[island] += ring.doubled_area();
        boxes[island] |= ring.box();
    }
    simplify(rings, work.own.size(), simplify_mm * raster.px_per_mm);
    const std::vector<Polygon> shapes = polygons_of(rings, work.count, raster);
    work.middles = middles_known(work, before);
    find_middles(work.own, boxes, work.middles);
    for (std::size_t k = 0; k < shapes.size(); ++k) {
        Island island;
        island.side = side;
        island.shape = shapes[k];
        island.area_mm2 =
            0.5 * static_cast<double>(doubled[k]) / (raster.px_per_mm * raster.px_per_mm);
        island.inside = board_of(work.middles[k], raster);
        work.shapes.push_back(std::move(island));
    }
}

}  // namespace

struct FoundBefore {
    SideWork sides[2];
};

void find_islands(const BoardPicture& picture,
                  const std::vector<RasterStroke>& top,
                  const std::vector<RasterStroke>& bottom,
                  const Glow& glow,
                  std::shared_ptr<const FoundBefore>& before,
                  Islands& islands,
                  double simplify_mm) {
    islands.raster = picture.raster;
    islands.islands.clear();
    islands.joints.clear();
    auto found = std::make_shared<FoundBefore>();
    int count = 0;
    const auto known = [&](Side side) {
        return before ? &before->sides[static_cast<std::size_t>(side)] : nullptr;
    };
    const SidePicture* shown[2] = {believed(picture, Side::top, top),
                                   believed(picture, Side::bottom, bottom)};
    base::side_by_side(2, [&](std::size_t i) {
        if (shown[i] != nullptr) {
            const auto side = static_cast<Side>(i);
            found->sides[i] =
                work_on(*shown[i], side == Side::top ? top : bottom, picture, known(side));
        }
    });
    for (const Side side : {Side::top, Side::bottom}) {
        std::vector<std::int32_t>& map = side == Side::top ? islands.top : islands.bottom;
        const SidePicture* seen = shown[static_cast<std::size_t>(side)];
        if (seen == nullptr) {
            map.clear();
        } else {
            SideWork& work = found->sides[static_cast<std::size_t>(side)];
            number_islands(*seen, picture, count, work, map, islands.joints);
            count += work.count;
        }
    }
    cv::Mat& above = found->sides[0].labels;
    cv::Mat& below = found->sides[1].labels;
    join_holes(picture.holes, picture.raster, above, below, islands.joints);
    join_told(told_holes(top, bottom, picture.holes, picture.raster),
              picture.raster,
              above,
              below,
              islands.joints);
    lead_through(top, picture.holes, picture.raster, above, below, islands.joints);
    lead_through(bottom, picture.holes, picture.raster, below, above, islands.joints);
    if (!picture.registration.photos.empty() && shown[0] != nullptr && shown[1] != nullptr) {
        join_track_ends(picture, above, below, islands.joints);
    }
    base::side_by_side(2, [&](std::size_t i) {
        if (shown[i] != nullptr) {
            count_from_zero(found->sides[i], known(static_cast<Side>(i)));
        }
    });
    // Both need only the side's own islands.
    base::side_by_side(4, [&](std::size_t job) {
        const auto side = static_cast<Side>(job % 2);
        SideWork& work = found->sides[job % 2];
        if (shown[job % 2] == nullptr) {
            return;
        }
        if (job < 2) {
            find_hidden(work, *shown[job], glow.of[job], picture.raster, known(side));
        } else {
            find_shapes(work, side, picture.raster, simplify_mm, known(side));
        }
    });
    for (const Side side : {Side::top, Side::bottom}) {
        SideWork& work = found->sides[static_cast<std::size_t>(side)];
        const std::vector<RasterStroke>& strokes = side == Side::top ? top : bottom;
        if (const SidePicture* seen = shown[static_cast<std::size_t>(side)]) {
            add_hidden(work, islands.joints);
            learn_from_strokes(strokes, *seen, picture.raster, work.labels, islands.joints);
            decide_ways(strokes, picture.raster, work.labels, islands.joints);
            drop_crossed(work.labels,
                         work.first + work.basins.count,
                         work.first + work.count,
                         picture.raster,
                         islands.joints);
            islands.islands.insert(islands.islands.end(), work.shapes.begin(), work.shapes.end());
            work.labels.release();
        }
    }
    before = std::move(found);
}

Islands find_islands(const BoardPicture& picture,
                     const std::vector<RasterStroke>& top,
                     const std::vector<RasterStroke>& bottom,
                     const Glow& glow,
                     double simplify_mm) {
    Islands islands;
    std::shared_ptr<const FoundBefore> none;
    find_islands(picture, top, bottom, glow, none, islands, simplify_mm);
    return islands;
}

}  // namespace etchback::copper::eye
