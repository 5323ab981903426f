#include "copper/eye/surface.h"

#include <algorithm>
#include <cmath>
#include <memory>
#include <opencv2/core/hal/intrin.hpp>
#include <opencv2/imgproc.hpp>
#include <tuple>

#include "base/side_by_side.h"
#include "copper/eye/detail/covers.h"
#include "copper/eye/detail/each_row.h"
#include "copper/eye/detail/glow.h"
#include "copper/eye/detail/raster_pixels.h"
#include "copper/eye/detail/side_classes.h"
#include "copper/eye/detail/stroke_islands.h"
#include "copper/eye/detail/work_picture.h"

namespace etchback::copper::eye {

namespace {

using namespace detail;

constexpr double least_separation = 1.6;  // standard deviations between copper and laminate
constexpr double least_coherence = 0.55;  // areas, not grain
constexpr double least_read = 0.3;        // share of the board

std::uint8_t byte_of(Surface s) {
    return static_cast<std::uint8_t>(s);
}

// What lies at each work pixel; `copper` is CV_32F, a probability.
cv::Mat surface_of(const WorkPicture& work, const SideClasses& classes, bool masked) {
    cv::Mat surface(work.colour.size(), CV_8U, cv::Scalar(byte_of(Surface::laminate)));
    surface.setTo(byte_of(masked ? Surface::masked_copper : Surface::bare_copper),
                  classes.copper >= 0.5F);
    surface.setTo(byte_of(Surface::legend), classes.covers.legend);
    surface.setTo(byte_of(Surface::bare_copper), classes.covers.metal);
    surface.setTo(byte_of(Surface::body), classes.covers.body);
    surface.setTo(byte_of(Surface::hole), work.holes & ~classes.covers.metal);
    surface.setTo(byte_of(Surface::background), work.inside == 0);
    return surface;
}

// Along soft edges the finer picture decides what is copper and what is laminate.
void refine_edges(const cv::Mat& copper, bool masked, cv::Mat& surface) {
    const auto all = [](Surface kind) { return cv::v_setall_u8(byte_of(kind)); };
    const cv::v_uint8x16 kind = all(masked ? Surface::masked_copper : Surface::bare_copper);
    const cv::v_uint8x16 half = cv::v_setall_u8(128);
    const auto refined = [&](const cv::v_uint8x16& level, const cv::v_uint8x16& was) {
        const cv::v_uint8x16 is_copper = level >= half;
        const cv::v_uint8x16 was_copper =
            (was == all(Surface::masked_copper)) | (was == all(Surface::bare_copper));
        const cv::v_uint8x16 grown =
            cv::v_select(is_copper & (was == all(Surface::laminate)), kind, was);
        return cv::v_select(was_copper & ~is_copper, all(Surface::laminate), grown);
    };
    for_each_row(surface.rows, [&](int y) {
        const auto* from = copper.ptr<std::uint8_t>(y);
        auto* to = surface.ptr<std::uint8_t>(y);
        int x = 0;
        for (; x + 16 <= surface.cols; x += 16) {
            cv::v_store(to + x, refined(cv::v_load(from + x), cv::v_load(to + x)));
        }
        for (; x < surface.cols; ++x) {
            to[x] = refined(cv::v_setall_u8(from[x]), cv::v_setall_u8(to[x])).get0();
        }
    });
}

// Keeps the photo's own pixels where `picture` has them already.
void see_side(const StraightSide& side,
              const WorkPicture& work,
              const SideClasses& classes,
              bool masked,
              SidePicture& picture) {
    const cv::Size size = side.bgr.size();
    cv::Mat bytes;
    classes.copper.convertTo(bytes, CV_8U, 255.0);
    // Straight into the picture's own pixels.
    picture.copper.resize(side.bgr.total());
    picture.surface.resize(side.bgr.total());
    cv::Mat copper(size, CV_8U, picture.copper.data());
    cv::Mat surface(size, CV_8U, picture.surface.data());
    cv::resize(bytes, copper, size, 0, 0, cv::INTER_LINEAR);
    cv::resize(surface_of(work, classes, masked), surface, size, 0, 0, cv::INTER_NEAREST);
    refine_edges(copper, masked, surface);
    if (picture.bgr.empty()) {
        const cv::Mat whole = side.bgr.isContinuous() ? side.bgr : side.bgr.clone();
        picture.bgr.assign(whole.data, whole.data + whole.total() * 3);
    }
    // A photo in which hardly any of the surface looks like the two classes was not understood.
    const double read = static_cast<double>(cv::countNonZero(classes.covers.board)) /
                        std::max(1, cv::countNonZero(work.inside));
    picture.trusted = classes.empty || (classes.sharp && classes.separation >= least_separation &&
                                        classes.coherence >= least_coherence && read >= least_read);
}

// How likely a hole with copper at its rim on both sides is plated; one side alone tells little.
double plated_by(Hole& hole, const BoardPicture& picture, const bool bare[2]) {
    constexpr double ring = 0.7;
    constexpr double of_via_mm = 0.7;
    bool ringed = false;
    if (!picture.top || !picture.bottom) {
        return 0.5;
    }
    double least = 1.0;
    for (const SidePicture* side : {&*picture.top, &*picture.bottom}) {
        const double r = 0.5 * hole.diameter_mm + 0.12;
        int copper = 0;
        int metal = 0;
        int hidden = 0;
        int all = 0;
        for (int i = 0; i < 48; ++i) {
            const double a = 2.0 * CV_PI * i / 48;
            const int x =
                static_cast<int>((hole.at.x_mm + r * std::cos(a) - picture.raster.origin.x_mm) *
                                 picture.raster.px_per_mm);
            const int y =
                static_cast<int>((hole.at.y_mm + r * std::sin(a) - picture.raster.origin.y_mm) *
                                 picture.raster.px_per_mm);
            if (x < 0 || y < 0 || x >= picture.raster.width || y >= picture.raster.height) {
                continue;
            }
            const std::size_t k = static_cast<std::size_t>(y) * picture.raster.width + x;
            ++all;
            hidden += side->surface[k] == Surface::body || side->surface[k] == Surface::unknown;
            copper += side->copper[k] >= 128 ? 1 : 0;
            metal += side->surface[k] == Surface::bare_copper ? 1 : 0;
        }
        // Without mask, all copper is bare: a dark spot on it may be dirt.
        const bool tells = !bare[side == &*picture.top ? 0 : 1];
        ringed = ringed || (tells && metal > ring * all);
        const double share = all > hidden ? static_cast<double>(copper) / (all - hidden) : 0.5;
        least = std::min(least, share);
    }
    // A dark spot in a ring of bare metal is the hole of a via.
    if (ringed && hole.slot.empty() && hole.diameter_mm < of_via_mm) {
        hole.real = std::max(hole.real, 0.9);
        least = std::max(least, 0.75);
    }
    // Wide holes without a rim of copper are for screws.
    return hole.slot.empty() ? std::clamp(0.05 + 1.1 * least, 0.05, 0.97) : 0.1;
}

// What looks like a hole where the person says that a part stands is a mark on the part: only the
// other face tells whether there is one.
void doubt_marks_on_parts(const std::vector<RasterStroke>& top,
                          const std::vector<RasterStroke>& bottom,
                          const Raster& raster,
                          Hole& hole) {
    constexpr double seen_once = 0.6;
    for (const auto& [strokes, seen, other] :
         {std::tuple(&top, &hole.seen_top, &hole.seen_bottom),
          std::tuple(&bottom, &hole.seen_bottom, &hole.seen_top)}) {
        const bool below_part = std::ranges::any_of(*strokes, [&](const RasterStroke& stroke) {
            return stroke.says == RasterStroke::Says::body &&
                   distance_px(pixel_of(hole.at, raster), stroke) <= 0.5 * stroke.width_px;
        });
        if (*seen && below_part) {
            *seen = false;
            hole.real = *other ? std::min(hole.real, seen_once) : 0.0;
        }
    }
}

// Copper without mask shows each speck of dirt, and hardly a drill is thinner than this (common
// practice).
void doubt_specks(const bool bare[2], Hole& hole) {
    constexpr double thinnest_mm = 0.3;
    constexpr double still = 0.6;
    const bool seen_on_bare = (hole.seen_top && bare[0]) || (hole.seen_bottom && bare[1]);
    if (seen_on_bare && hole.seen_top != hole.seen_bottom && hole.slot.empty() &&
        hole.diameter_mm < thinnest_mm) {
        hole.real *= still;
    }
}

// What each face tells of the other's copper.
void add_glow(const SideClasses classes[2],
              const GlowFace faces[2],
              const BoardPicture& picture,
              Glow& glow) {
    constexpr float surely_none = 0.2F;
    if (!picture.top || !picture.bottom) {
        return;
    }
    base::side_by_side(2, [&](std::size_t own) {
        const std::size_t other = 1 - own;
        const SidePicture& side = own == 0 ? *picture.top : *picture.bottom;
        if (!side.trusted || classes[own].empty) {
            return;
        }
        const cv::Mat clear = classes[other].covers.board & (classes[other].copper < surely_none);
        const cv::Mat odds =
            glow_of(faces[other], clear, classes[own].copper, classes[own].covers.board);
        if (odds.empty()) {
            return;
        }
        cv::Mat tenths;
        odds.convertTo(tenths, CV_8S, 10.0);
        cv::Mat large;
        cv::resize(
            tenths, large, {picture.raster.width, picture.raster.height}, 0, 0, cv::INTER_NEAREST);
        const auto* from = large.ptr<std::int8_t>();
        glow.of[own].assign(from, from + large.total());
    });
}

// What a person should know who relies on a side.
void tell(Side side,
          const SideClasses& classes,
          const SidePicture& seen,
          std::vector<Remark>& remarks) {
    const std::string name = side == Side::top ? "top" : "bottom";
    if (classes.empty) {
        remarks.push_back(
            {name + ": no copper is seen here", "if there is some, mark it by a stroke"});
    } else if (!seen.trusted) {
        remarks.push_back(
            {name + ": copper and laminate look nearly alike in this photo; what is read from it "
                    "is not to be trusted",
             "take a photo in raking light from one side, or one with the board lit from "
             "behind; or mark copper and laminate by strokes and check nets by continuity"});
    }
}

void add_bodies(const SidePicture& side, const Raster& raster, std::vector<Polygon>& bodies) {
    // Only looked at, although OpenCV has no picture of constant pixels.
    const cv::Mat surface(
        raster.height, raster.width, CV_8U, const_cast<Surface*>(side.surface.data()));
    const cv::Mat mask = surface == byte_of(Surface::body);
    std::vector<std::vector<cv::Point>> rings;
    cv::findContours(mask, rings, cv::RETR_EXTERNAL, cv::CHAIN_APPROX_SIMPLE);
    for (const auto& ring : rings) {
        std::vector<cv::Point> few;
        cv::approxPolyDP(ring, few, 0.1 * raster.px_per_mm, true);
        if (few.size() < 3) {
            continue;
        }
        Polygon& polygon = bodies.emplace_back();
        for (const cv::Point& p : few) {
            polygon.outer.push_back({raster.origin.x_mm + (p.x + 0.5) / raster.px_per_mm,
                                     raster.origin.y_mm + (p.y + 0.5) / raster.px_per_mm});
        }
    }
}

}  // namespace

struct Classifier::Memory {
    StraightBoard board;
    std::vector<copper::detail::PlacedPart> parts;
    WorkPicture work[2];
    SideKnown known[2];
    GlowFace faces[2];
    bool bare[2] = {false, false};  // without mask; each of its own: some have mask on one side
};

Classifier::Classifier(StraightBoard board, std::vector<copper::detail::PlacedPart> parts)
    : memory_(std::make_unique<Memory>()) {
    memory_->board = std::move(board);
    memory_->parts = std::move(parts);
    base::side_by_side(2, [&](std::size_t i) {
        const auto side = static_cast<Side>(i);
        const auto& straight = side == Side::top ? memory_->board.top : memory_->board.bottom;
        if (straight) {
            WorkPicture& work = memory_->work[i];
            work = work_picture(*straight, memory_->board.raster, memory_->board.holes);
            mark_parts(memory_->parts, side, memory_->board.raster, work);
            memory_->bare[i] = share_without_mask(work) >= 0.3;
        }
    });
    // Tinned nearly all over, a side without mask shows little laminate: the other side tells. A
    // pale mask is light grey, too, but no laminate is seen between.
    constexpr double least_laminate = 0.08;
    for (const std::size_t i : {0U, 1U}) {
        memory_->bare[i] =
            memory_->bare[i] || (memory_->bare[1 - i] && is_tinned(memory_->work[i]) &&
                                 share_without_mask(memory_->work[i]) >= least_laminate);
    }
    base::side_by_side(2, [&](std::size_t i) {
        if (!memory_->work[i].colour.empty()) {
            memory_->known[i] = know_side(memory_->work[i], !memory_->bare[i]);
            memory_->faces[i] = glow_face(memory_->work[i]);
        }
    });
}

Classifier::Classifier(Classifier&&) noexcept = default;
Classifier& Classifier::operator=(Classifier&&) noexcept = default;
Classifier::~Classifier() = default;

class Classifier::Seen {
public:
    std::vector<RasterStroke> strokes[2];
    SideClasses classes[2];
};

BoardPicture Classifier::picture(const std::vector<RasterStroke>& top,
                                 const std::vector<RasterStroke>& bottom) const {
    BoardPicture picture;
    std::shared_ptr<const Seen> seen;
    Glow glow;
    look(top, bottom, seen, picture, glow);
    return picture;
}

void Classifier::look(const std::vector<RasterStroke>& top,
                      const std::vector<RasterStroke>& bottom,
                      std::shared_ptr<const Seen>& seen,
                      BoardPicture& picture,
                      Glow& glow) const {
    const StraightBoard& board = memory_->board;
    auto now = std::make_shared<Seen>();
    now->strokes[0] = top;
    now->strokes[1] = bottom;
    picture.raster = board.raster;
    picture.holes = board.holes;
    picture.outline = board.outline;
    picture.registration = board.registration;
    picture.remarks = board.remarks;
    for (const Side side : {Side::top, Side::bottom}) {
        const auto& straight = side == Side::top ? board.top : board.bottom;
        if (!straight) {
            continue;
        }
        const auto index = static_cast<std::size_t>(side);
        auto& shown = side == Side::top ? picture.top : picture.bottom;
        if (shown && seen && seen->strokes[index] == now->strokes[index]) {
            now->classes[index] = seen->classes[index];
        } else {
            look_at(side, now->strokes[index], now->classes[index], shown);
            auto& bodies = side == Side::top ? picture.bodies_top : picture.bodies_bottom;
            bodies.clear();
            add_bodies(*shown, picture.raster, bodies);
        }
        tell(side, now->classes[index], *shown, picture.remarks);
    }
    glow = {};
    add_glow(now->classes, memory_->faces, picture, glow);
    for (Hole& hole : picture.holes) {
        hole.plated = plated_by(hole, picture, memory_->bare);
        doubt_marks_on_parts(top, bottom, board.raster, hole);
        doubt_specks(memory_->bare, hole);
    }
    seen = std::move(now);
}

void Classifier::look_at(Side side,
                         const std::vector<RasterStroke>& strokes,
                         SideClasses& classes,
                         std::optional<SidePicture>& shown) const {
    const auto index = static_cast<std::size_t>(side);
    const StraightBoard& board = memory_->board;
    const bool masked = !memory_->bare[index];
    const bool two_sided = board.top.has_value() && board.bottom.has_value();
    // Mask is put where copper is: a bare side below a masked one has none.
    const bool may_be_empty = !masked && two_sided && !memory_->bare[1 - index];
    const WorkPicture& work = memory_->work[index];
    classes = classify_side(work, memory_->known[index], strokes, may_be_empty);
    if (!shown) {
        shown.emplace();
    }
    see_side(side == Side::top ? *board.top : *board.bottom, work, classes, masked, *shown);
}

BoardPicture classify(const StraightBoard& board,
                      const std::vector<RasterStroke>& top,
                      const std::vector<RasterStroke>& bottom,
                      const std::vector<copper::detail::PlacedPart>& parts) {
    return Classifier(board, parts).picture(top, bottom);
}

}  // namespace etchback::copper::eye
