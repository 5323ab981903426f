#include "copper/eye/detail/covers.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "base/side_by_side.h"
#include "copper/eye/detail/discs.h"
#include "copper/eye/detail/each_row.h"
#include "copper/eye/detail/part_places.h"
#include "copper/eye/detail/runs.h"
#include "copper/eye/detail/solder.h"

namespace etchback::copper::eye::detail {

namespace {

constexpr float too_strange = 18.0F;  // squared standard deviations

// The mask where it reaches further than `radius_px` in every direction, and what hangs on it.
cv::Mat thick_parts(const cv::Mat& mask, double radius_px) {
    cv::Mat padded;
    cv::copyMakeBorder(mask, padded, 1, 1, 1, 1, cv::BORDER_CONSTANT, cv::Scalar(0));
    cv::Mat depth;
    cv::distanceTransform(padded, depth, cv::DIST_L2, cv::DIST_MASK_3);
    depth = depth(cv::Rect({1, 1}, mask.size()));
    const cv::Mat core = depth > radius_px;
    if (cv::countNonZero(core) == 0) {
        return cv::Mat::zeros(mask.size(), CV_8U);
    }
    cv::Mat grown;
    // The reach of the core is the mask's thick part.
    cv::distanceTransform(~core, grown, cv::DIST_L2, cv::DIST_MASK_3);
    return mask & (grown <= 1.5 * radius_px);
}

// Takes away pieces smaller than an area.
void drop_small(cv::Mat& mask, double least_px) {
    const Pieces pieces = pieces_of(mask, true);
    for (const Run& run : pieces.runs) {
        if (pieces.pixels[static_cast<std::size_t>(run.piece)] < least_px) {
            set_run(mask, run, 0);
        }
    }
}

// Whether somewhere a piece reaches further than that in every direction.
bool is_broad(const std::vector<Run>& piece, double radius_px, cv::Size size) {
    const cv::Rect box = box_about(piece, 1, size);
    if (std::min(box.width, box.height) < 2.0 * radius_px) {
        return false;
    }
    cv::Mat mask(box.size(), CV_8U, cv::Scalar(0));
    for (const Run& run : piece) {
        mask.row(run.y - box.y).colRange(run.from - box.x, run.to - box.x).setTo(255);
    }
    cv::Mat depth;
    cv::distanceTransform(mask, depth, cv::DIST_L2, cv::DIST_MASK_3);
    double deepest = 0.0;
    cv::minMaxLoc(depth, nullptr, &deepest);
    return deepest > radius_px;
}

// Where the dossier says where parts are soldered, other bare copper is a via or a test point. What
// no hole is seen in and is nowhere as broad as that is a letter.
void give_letters_to_print(const WorkPicture& work, cv::Mat& metal) {
    constexpr double least_radius_mm = 0.3;
    if (work.pads.empty()) {
        return;
    }
    for (const std::vector<Run>& piece : pieces_of(metal, true).by_piece()) {
        const bool drilled = std::ranges::any_of(piece, [&](const Run& run) {
            const auto* hole = work.holes.ptr<std::uint8_t>(run.y);
            return std::any_of(
                hole + run.from, hole + run.to, [](std::uint8_t set) { return set != 0; });
        });
        if (!drilled && !is_broad(piece, least_radius_mm * work.px_per_mm, metal.size())) {
            for (const Run& run : piece) {
                set_run(metal, run, 0);
            }
        }
    }
}

// Pieces of `body` close about a drilled hole are dark flanks of the solder in it.
void give_flanks_to_solder(const WorkPicture& work, Covers& covers) {
    constexpr double largest_mm2 = 5.0;
    constexpr double reach_mm = 1.3;
    const double mm = work.px_per_mm;
    const int margin = cvCeil(reach_mm * mm) + 1;
    for (const std::vector<Run>& piece : pieces_of(covers.body, true).by_piece()) {
        if (pixels_in(piece) >= largest_mm2 * mm * mm) {
            continue;
        }
        const cv::Rect box = box_about(piece, margin, covers.body.size());
        const cv::Mat drilled = work.holes(box);
        if (cv::countNonZero(drilled) == 0) {
            continue;
        }
        cv::Mat to_hole;
        cv::distanceTransform(~drilled, to_hole, cv::DIST_L2, cv::DIST_MASK_3);
        const bool close = std::ranges::all_of(piece, [&](const Run& run) {
            const auto* far = to_hole.ptr<float>(run.y - box.y) - box.x;
            return *std::max_element(far + run.from, far + run.to) < reach_mm * mm;
        });
        for (const Run& run : close ? piece : std::vector<Run>()) {
            set_run(covers.body, run, 0);
            set_run(covers.metal, run, 255);
        }
    }
}

// The hue of the lightest grey things, which is the lamp's.
cv::Vec2f lamp_hue(const WorkPicture& work) {
    constexpr float widest = 0.35F;
    std::vector<cv::Vec3f> grey;
    for (int y = 0; y < work.colour.rows; y += 2) {
        const auto* colours = work.colour.ptr<cv::Vec3f>(y);
        const auto* inside = work.inside.ptr<std::uint8_t>(y);
        for (int x = 0; x < work.colour.cols; x += 2) {
            const cv::Vec3f& c = colours[x];
            if (inside[x] != 0 && c[1] * c[1] + c[2] * c[2] < widest * widest) {
                grey.push_back(c);
            }
        }
    }
    if (grey.size() < 200) {
        return {0.0F, 0.0F};
    }
    std::vector<float> lights;
    for (const cv::Vec3f& c : grey) {
        lights.push_back(c[0]);
    }
    const auto from = lights.begin() + static_cast<std::ptrdiff_t>(lights.size() * 9 / 10);
    std::nth_element(lights.begin(), from, lights.end());
    const float least = std::max(*from, 4.8F);
    cv::Vec2f sum(0.0F, 0.0F);
    int count = 0;
    for (const cv::Vec3f& c : grey) {
        if (c[0] >= least) {
            sum += cv::Vec2f(c[1], c[2]);
            ++count;
        }
    }
    return count > 50 ? cv::Vec2f(sum * (1.0F / static_cast<float>(count))) : cv::Vec2f(0, 0);
}

// Metal that reaches the middle of a part's place is its body's. `box`: of the part, in the picture
// of `metal`.
void give_middle_to_body(const cv::RotatedRect& frame, cv::Rect box, cv::Mat& metal) {
    cv::RotatedRect middle = frame;
    middle.size.width *= 0.2F;
    middle.size.height *= 0.2F;
    cv::Mat within = metal(box);
    const cv::Mat core = filled(middle, 0.0, box);
    const Pieces pieces = pieces_of(within & filled(frame, 0.0, box), false);
    std::vector<bool> takes(pieces.pixels.size(), false);
    for (const Run& run : pieces.runs) {
        const auto* row = core.ptr<std::uint8_t>(run.y);
        if (std::any_of(row + run.from, row + run.to, [](std::uint8_t set) { return set != 0; })) {
            takes[static_cast<std::size_t>(run.piece)] = true;
        }
    }
    for (const Run& run : pieces.runs) {
        if (takes[static_cast<std::size_t>(run.piece)]) {
            set_run(within, run, 0);
        }
    }
}

// Where the dossier places parts, a frame is one only about two pins at least; where only strokes
// beside it are seen, of one part: what has pins of several lies between frames.
bool may_hold_a_part(const cv::RotatedRect& frame, bool whole, const WorkPicture& work) {
    constexpr double beside_mm = 0.6;
    if (work.pads.empty()) {
        return true;
    }
    const double turn = frame.angle * CV_PI / 180.0;
    int part = -1;
    int pins = 0;
    for (const KnownPad& pad : work.pads) {
        const cv::Point2d d = pad.at - cv::Point2d(frame.center);
        const double u = std::abs(d.x * std::cos(turn) + d.y * std::sin(turn));
        const double v = std::abs(-d.x * std::sin(turn) + d.y * std::cos(turn));
        if (u < 0.5 * frame.size.width + beside_mm * work.px_per_mm &&
            v < 0.5 * frame.size.height + beside_mm * work.px_per_mm) {
            if (pins > 0 && !whole && pad.part != part) {
                return false;
            }
            part = pad.part;
            ++pins;
        }
    }
    return pins >= 2;
}

// Within a printed frame that holds more than board a part stands, also where it looks as the
// board does. Its solder stays what it is.
void fill_frames(const WorkPicture& work,
                 const cv::Mat& other,
                 const Printed& printed,
                 Covers& covers) {
    constexpr double least_strange = 0.12;
    const double mm = work.px_per_mm;
    std::vector<cv::RotatedRect> frames = printed.frames;
    const std::size_t whole = frames.size();
    for (const cv::RotatedRect& frame : frames_between_strokes(printed, covers.metal, mm)) {
        frames.push_back(frame);
    }
    for (std::size_t i = 0; i < frames.size(); ++i) {
        const cv::RotatedRect& frame = frames[i];
        const int margin = cvCeil(0.1 * mm) + 2;
        cv::Rect box = frame.boundingRect();
        box -= cv::Point(margin, margin);
        box += cv::Size(2 * margin, 2 * margin);
        box &= cv::Rect({0, 0}, other.size());
        if (box.empty() || frame.size.area() > 0.3F * static_cast<float>(other.total())) {
            continue;  // the edge of the board
        }
        if (!may_hold_a_part(frame, i < whole, work)) {
            continue;
        }
        cv::RotatedRect heart = frame;
        heart.size.width *= 0.6F;
        heart.size.height *= 0.6F;
        const cv::Mat inner = filled(heart, 0.0, box);
        const int all = cv::countNonZero(inner);
        if (all == 0 ||
            cv::countNonZero(inner & (other(box) | covers.metal(box))) < least_strange * all) {
            continue;
        }
        // The frame is print, although it may run along a joint without a gap.
        const cv::Mat within = filled(frame, -0.22 * mm, box);
        const cv::Mat line = filled(frame, 0.05 * mm, box) & ~within;
        covers.metal(box) &= ~line;
        give_middle_to_body(frame, box, covers.metal);
        covers.body(box) |= within & ~covers.metal(box);
    }
}

// What does not look like the board, by how it shines.
struct Strange {
    cv::Mat all;
    cv::Mat bright;
    cv::Mat dark;
    cv::Mat shining;
    cv::Mat light_print;
};

Strange strange_kinds(const WorkPicture& work,
                      const TwoClasses& classes,
                      const cv::Mat& even,
                      const cv::Mat& strange,
                      const cv::Vec2f& lamp) {
    const float lightest = std::max(classes.clouds[0].mean[0], classes.clouds[1].mean[0]);
    const float darkest = std::min(classes.clouds[0].mean[0], classes.clouds[1].mean[0]);
    Strange kinds;
    kinds.all = cv::Mat(strange > too_strange) & work.inside;
    for (cv::Mat* kind : {&kinds.bright, &kinds.dark, &kinds.shining, &kinds.light_print}) {
        *kind = cv::Mat::zeros(strange.size(), CV_8U);
    }
    for_each_row(strange.rows, [&](int y) {
        const auto* all = kinds.all.ptr<std::uint8_t>(y);
        const auto* colours = work.colour.ptr<cv::Vec3f>(y);
        const auto* evens = even.ptr<cv::Vec3f>(y);
        for (int x = 0; x < strange.cols; ++x) {
            if (all[x] == 0) {
                continue;
            }
            const cv::Vec3f& c = colours[x];
            const float over = evens[x][0];
            kinds.shining.ptr<std::uint8_t>(y)[x] = over > lightest + 0.05F ? 255 : 0;
            // Tin and solder have no hue, but mirror the lamp's; gold is clearly yellow. Cream and
            // tan between them are bodies.
            const auto is_metal = [&] {
                return std::hypot(c[1] - lamp[0], c[2] - lamp[1]) < 0.2F ||
                       (c[1] - lamp[0] > 0.0F && c[1] - lamp[0] < 0.45F &&
                        c[2] - lamp[1] > -0.95F && c[2] - lamp[1] < -0.42F);
            };
            if (over > lightest + 0.12F && is_metal()) {
                kinds.bright.ptr<std::uint8_t>(y)[x] = 255;
                kinds.light_print.ptr<std::uint8_t>(y)[x] = over > lightest + 0.4F ? 255 : 0;
            } else if (over < darkest - 0.15F) {
                kinds.dark.ptr<std::uint8_t>(y)[x] = 255;
            }
        }
    });
    return kinds;
}

// Bare metal, and what else does not look like the board; what of it is print is not yet known.
Covers metal_and_bodies(const WorkPicture& work, const Strange& kinds, const cv::Mat& solder) {
    const double mm = work.px_per_mm;
    Covers covers;
    // Drops of solder have dark flanks, and a hole in them may be open.
    // Letters and frames are bright, too, but nowhere broad: they go before gaps are closed, lest
    // a frame that runs along a joint grows together with it.
    covers.metal = closed(opened(kinds.bright | work.holes, 0.17 * mm), 0.14 * mm);
    const cv::Mat large = thick_parts(covers.metal, 1.6 * mm);
    covers.metal &= ~large;
    drop_small(covers.metal, 0.12 * mm * mm);
    give_letters_to_print(work, covers.metal);
    // About a known pad the joint is known, and what else shines there is print or a lead.
    for (const KnownPad& pad : work.pads) {
        cv::circle(covers.metal, pad.at, cvRound(1.4 * mm), cv::Scalar(0), cv::FILLED);
    }
    covers.metal |= solder;
    const cv::Mat leads = leads_in(covers.metal, work.holes, mm);
    covers.metal &= ~leads;
    covers.body = opened(kinds.all & ~covers.metal & ~leads, 0.3 * mm);
    covers.body |= large | leads;
    drop_small(covers.body, 0.6 * mm * mm);
    covers.body = closed(covers.body, 0.35 * mm) & ~covers.metal;
    give_flanks_to_solder(work, covers);
    return covers;
}

}  // namespace

Covers find_covers(const WorkPicture& work,
                   const TwoClasses& classes,
                   const cv::Mat& even,
                   const cv::Mat& strange) {
    const double mm = work.px_per_mm;
    const cv::Vec2f lamp = lamp_hue(work);
    const Strange kinds = strange_kinds(work, classes, even, strange, lamp);
    const cv::Mat solder = solder_at_pads(work, classes, kinds.all, lamp);
    Covers covers;
    std::vector<Printed> printed;
    base::side_by_side(2, [&](std::size_t job) {
        if (job == 0) {
            covers = metal_and_bodies(work, kinds, solder);
        } else {
            // Print is lighter than the board, or darker than a white or bare one.
            for (const cv::Mat& print : {kinds.light_print, kinds.dark}) {
                printed.push_back(printed_around_parts(print & ~opened(print, 0.17 * mm), mm));
            }
        }
    });
    for (const Printed& print : printed) {
        fill_frames(work, kinds.all, print, covers);
    }
    covers.body |= work.bodies;
    covers.body &= ~solder;
    covers.metal = (covers.metal & ~covers.body) | solder;
    covers.shining = kinds.shining;
    covers.legend = kinds.all & ~covers.metal & ~covers.body & ~work.holes;
    covers.board = work.inside & ~covers.metal & ~covers.body & ~covers.legend & ~work.holes;
    return covers;
}

}  // namespace etchback::copper::eye::detail
