#include "copper/eye/detail/covers.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "copper/eye/detail/part_places.h"
#include "copper/eye/detail/solder.h"

namespace etchback::copper::eye::detail {

namespace {

constexpr float too_strange = 18.0F;  // squared standard deviations

cv::Mat disc(double radius_px) {
    const int r = std::max(1, cvRound(radius_px));
    return cv::getStructuringElement(cv::MORPH_ELLIPSE, {2 * r + 1, 2 * r + 1});
}

cv::Mat opened(const cv::Mat& mask, double radius_px) {
    cv::Mat out;
    cv::morphologyEx(mask, out, cv::MORPH_OPEN, disc(radius_px));
    return out;
}

cv::Mat closed(const cv::Mat& mask, double radius_px) {
    cv::Mat out;
    cv::morphologyEx(mask, out, cv::MORPH_CLOSE, disc(radius_px));
    return out;
}

// The mask where it reaches further than `radius_px` in every direction, and what hangs on it.
cv::Mat thick_parts(const cv::Mat& mask, double radius_px) {
    cv::Mat padded;
    cv::copyMakeBorder(mask, padded, 1, 1, 1, 1, cv::BORDER_CONSTANT, cv::Scalar(0));
    cv::Mat depth;
    cv::distanceTransform(padded, depth, cv::DIST_L2, cv::DIST_MASK_3);
    depth = depth(cv::Rect({1, 1}, mask.size()));
    const cv::Mat core = depth > radius_px;
    cv::Mat grown;
    // The reach of the core is the mask's thick part.
    cv::distanceTransform(~core, grown, cv::DIST_L2, cv::DIST_MASK_3);
    return mask & (grown <= 1.5 * radius_px);
}

// Takes away pieces smaller than an area.
void drop_small(cv::Mat& mask, double least_px) {
    cv::Mat pieces;
    cv::Mat stats;
    cv::Mat centres;
    const int count = cv::connectedComponentsWithStats(mask, pieces, stats, centres, 8, CV_32S);
    std::vector<std::uint8_t> keep(static_cast<std::size_t>(count), 0);
    for (int i = 1; i < count; ++i) {
        keep[static_cast<std::size_t>(i)] =
            stats.at<int>(i, cv::CC_STAT_AREA) >= least_px ? 255 : 0;
    }
    for (int y = 0; y < mask.rows; ++y) {
        for (int x = 0; x < mask.cols; ++x) {
            mask.at<std::uint8_t>(y, x) = keep[static_cast<std::size_t>(pieces.at<int>(y, x))];
        }
    }
}

// Pieces of `body` close about a drilled hole are dark flanks of the solder in it.
void give_flanks_to_solder(const WorkPicture& work, Covers& covers) {
    constexpr double largest_mm2 = 5.0;
    constexpr double reach_mm = 1.3;
    if (cv::countNonZero(work.holes) == 0) {
        return;
    }
    cv::Mat to_hole;
    cv::distanceTransform(~work.holes, to_hole, cv::DIST_L2, cv::DIST_MASK_3);
    cv::Mat pieces;
    cv::Mat stats;
    cv::Mat centres;
    const int count =
        cv::connectedComponentsWithStats(covers.body, pieces, stats, centres, 8, CV_32S);
    std::vector<float> farthest(static_cast<std::size_t>(count), 0.0F);
    for (int y = 0; y < pieces.rows; ++y) {
        for (int x = 0; x < pieces.cols; ++x) {
            float& far = farthest[static_cast<std::size_t>(pieces.at<int>(y, x))];
            far = std::max(far, to_hole.at<float>(y, x));
        }
    }
    const double mm = work.px_per_mm;
    for (int y = 0; y < pieces.rows; ++y) {
        for (int x = 0; x < pieces.cols; ++x) {
            const int piece = pieces.at<int>(y, x);
            if (piece != 0 && farthest[static_cast<std::size_t>(piece)] < reach_mm * mm &&
                stats.at<int>(piece, cv::CC_STAT_AREA) < largest_mm2 * mm * mm) {
                covers.body.at<std::uint8_t>(y, x) = 0;
                covers.metal.at<std::uint8_t>(y, x) = 255;
            }
        }
    }
}

// The hue of the lightest grey things, which is the lamp's.
cv::Vec2f lamp_hue(const WorkPicture& work) {
    constexpr float widest = 0.35F;
    std::vector<float> lights;
    for (int y = 0; y < work.colour.rows; y += 2) {
        for (int x = 0; x < work.colour.cols; x += 2) {
            const cv::Vec3f& c = work.colour.at<cv::Vec3f>(y, x);
            if (work.inside.at<std::uint8_t>(y, x) != 0 && std::hypot(c[1], c[2]) < widest) {
                lights.push_back(c[0]);
            }
        }
    }
    if (lights.size() < 200) {
        return {0.0F, 0.0F};
    }
    const auto from = lights.begin() + static_cast<std::ptrdiff_t>(lights.size() * 9 / 10);
    std::nth_element(lights.begin(), from, lights.end());
    const float least = std::max(*from, 4.8F);
    cv::Vec2f sum(0.0F, 0.0F);
    int count = 0;
    for (int y = 0; y < work.colour.rows; y += 2) {
        for (int x = 0; x < work.colour.cols; x += 2) {
            const cv::Vec3f& c = work.colour.at<cv::Vec3f>(y, x);
            if (work.inside.at<std::uint8_t>(y, x) != 0 && c[0] >= least &&
                std::hypot(c[1], c[2]) < widest) {
                sum += cv::Vec2f(c[1], c[2]);
                ++count;
            }
        }
    }
    return count > 50 ? cv::Vec2f(sum * (1.0F / static_cast<float>(count))) : cv::Vec2f(0, 0);
}

// Metal that reaches the middle of a part's place is its body's.
void give_middle_to_body(const cv::RotatedRect& frame, cv::Mat& metal) {
    cv::RotatedRect middle = frame;
    middle.size.width *= 0.2F;
    middle.size.height *= 0.2F;
    const cv::Mat core = filled(middle, 0.0, metal.size());
    cv::Mat pieces;
    const int count =
        cv::connectedComponents(metal & filled(frame, 0.0, metal.size()), pieces, 4, CV_32S);
    std::vector<std::uint8_t> takes(static_cast<std::size_t>(count), 0);
    for (int pass = 0; pass < 2; ++pass) {
        for (int y = 0; y < metal.rows; ++y) {
            for (int x = 0; x < metal.cols; ++x) {
                const auto piece = static_cast<std::size_t>(pieces.at<int>(y, x));
                if (piece == 0) {
                    continue;
                }
                if (pass == 0 && core.at<std::uint8_t>(y, x) != 0) {
                    takes[piece] = 1;
                } else if (pass == 1 && takes[piece] != 0) {
                    metal.at<std::uint8_t>(y, x) = 0;
                }
            }
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
                 const cv::Mat& print,
                 double mm,
                 Covers& covers) {
    constexpr double least_strange = 0.12;
    std::vector<cv::RotatedRect> frames = printed_frames(print, mm);
    const std::size_t whole = frames.size();
    for (const cv::RotatedRect& frame : frames_between_strokes(print, covers.metal, mm)) {
        frames.push_back(frame);
    }
    for (std::size_t i = 0; i < frames.size(); ++i) {
        const cv::RotatedRect& frame = frames[i];
        cv::RotatedRect heart = frame;
        heart.size.width *= 0.6F;
        heart.size.height *= 0.6F;
        const cv::Mat inner = filled(heart, 0.0, other.size());
        const int all = cv::countNonZero(inner);
        if (frame.size.area() > 0.3F * static_cast<float>(other.total())) {
            continue;  // the edge of the board
        }
        if (!may_hold_a_part(frame, i < whole, work)) {
            continue;
        }
        if (all == 0 || cv::countNonZero(inner & (other | covers.metal)) < least_strange * all) {
            continue;
        }
        // The frame is print, although it may run along a joint without a gap.
        const cv::Mat line =
            filled(frame, 0.05 * mm, other.size()) & ~filled(frame, -0.22 * mm, other.size());
        covers.metal &= ~line;
        give_middle_to_body(frame, covers.metal);
        covers.body |= filled(frame, -0.22 * mm, other.size()) & ~covers.metal;
    }
}

}  // namespace

Covers find_covers(const WorkPicture& work, const TwoClasses& classes, const cv::Mat& strange) {
    const double mm = work.px_per_mm;
    const float lightest = std::max(classes.clouds[0].mean[0], classes.clouds[1].mean[0]);
    const float darkest = std::min(classes.clouds[0].mean[0], classes.clouds[1].mean[0]);
    cv::Mat light;
    cv::resize(classes.light, light, work.colour.size(), 0, 0, cv::INTER_LINEAR);

    const cv::Vec2f lamp = lamp_hue(work);

    cv::Mat other(work.colour.size(), CV_8U, cv::Scalar(0));
    cv::Mat bright = other.clone();
    cv::Mat dark = other.clone();
    cv::Mat shining = other.clone();
    cv::Mat light_print = other.clone();
    for (int y = 0; y < other.rows; ++y) {
        for (int x = 0; x < other.cols; ++x) {
            if (work.inside.at<std::uint8_t>(y, x) == 0 || strange.at<float>(y, x) <= too_strange) {
                continue;
            }
            const cv::Vec3f& c = work.colour.at<cv::Vec3f>(y, x);
            const float over = c[0] - light.at<cv::Vec3f>(y, x)[0];
            other.at<std::uint8_t>(y, x) = 255;
            shining.at<std::uint8_t>(y, x) = over > lightest + 0.05F ? 255 : 0;
            // Tin and solder have no hue, but mirror the lamp's; gold is clearly yellow. Cream and
            // tan between them are bodies.
            const bool tin = std::hypot(c[1] - lamp[0], c[2] - lamp[1]) < 0.2F;
            const bool gold = c[1] - lamp[0] > 0.0F && c[1] - lamp[0] < 0.45F &&
                              c[2] - lamp[1] > -0.95F && c[2] - lamp[1] < -0.42F;
            const bool metallic = tin || gold;
            if (over > lightest + 0.12F && metallic) {
                bright.at<std::uint8_t>(y, x) = 255;
                light_print.at<std::uint8_t>(y, x) = over > lightest + 0.4F ? 255 : 0;
            } else if (over < darkest - 0.15F) {
                dark.at<std::uint8_t>(y, x) = 255;
            }
        }
    }
    const cv::Mat solder = solder_at_pads(work, classes, other, lamp);
    Covers covers;
    // Drops of solder have dark flanks, and a hole in them may be open.
    // Letters and frames are bright, too, but nowhere broad: they go before gaps are closed, lest
    // a frame that runs along a joint grows together with it.
    covers.metal = closed(opened(bright | work.holes, 0.17 * mm), 0.14 * mm);
    const cv::Mat large = thick_parts(covers.metal, 1.6 * mm);
    covers.metal &= ~large;
    drop_small(covers.metal, 0.12 * mm * mm);
    // About a known pad the joint is known, and what else shines there is print or a lead.
    for (const KnownPad& pad : work.pads) {
        cv::circle(covers.metal, pad.at, cvRound(1.4 * mm), cv::Scalar(0), cv::FILLED);
    }
    covers.metal |= solder;
    const cv::Mat leads = leads_in(covers.metal, work.holes, mm);
    covers.metal &= ~leads;
    covers.body = opened(other & ~covers.metal & ~leads, 0.3 * mm);
    covers.body |= large | leads;
    drop_small(covers.body, 0.6 * mm * mm);
    covers.body = closed(covers.body, 0.35 * mm) & ~covers.metal;
    give_flanks_to_solder(work, covers);
    // Print is lighter than the board, or darker than a white or bare one.
    for (const cv::Mat& print : {light_print, dark}) {
        fill_frames(work, other, print & ~opened(print, 0.17 * mm), mm, covers);
    }
    covers.body |= work.bodies;
    covers.body &= ~solder;
    covers.body &= ~solder;
    covers.metal = (covers.metal & ~covers.body) | solder;
    covers.shining = shining;
    covers.legend = other & ~covers.metal & ~covers.body & ~work.holes;
    covers.board = work.inside & ~covers.metal & ~covers.body & ~covers.legend & ~work.holes;
    return covers;
}

}  // namespace etchback::copper::eye::detail
