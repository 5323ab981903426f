#include "copper/eye/detail/side_classes.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <utility>

#include "base/side_by_side.h"
#include "copper/eye/detail/discs.h"
#include "copper/eye/detail/each_row.h"
#include "copper/eye/detail/runs.h"
#include "copper/eye/detail/two_classes.h"

namespace etchback::copper::eye::detail {

namespace {

using Says = RasterStroke::Says;

// How much speaks for the second class being copper: designers keep copper off the edge of the
// board and off pads that it does not belong to, and mask lies lighter on copper than on laminate
// unless it is white.
double vote_for_second(const WorkPicture& work, const Covers& covers, const cv::Mat& second) {
    const cv::Mat edge = covers.board & (work.depth > 0.12) & (work.depth < 0.35);
    const auto about_metal = [&](double mm) { return grown(covers.metal, mm * work.px_per_mm); };
    const cv::Mat ring = covers.board & about_metal(0.32) & ~about_metal(0.12);
    const double overall = share_in(second, covers.board, 0.5);
    const double at_edge = share_in(second, edge, overall);
    const double at_pads = share_in(second, ring, overall);
    // Mask is lighter over copper than over laminate, unless it is white.
    const cv::Scalar mean = cv::mean(work.colour, covers.board);
    const bool white = mean[0] > 5.0 && std::hypot(mean[1], mean[2]) < 0.08;
    return 2.0 * (0.5 - at_edge) + 0.6 * (overall - at_pads) + (white ? -0.3 : 0.3);
}

// `change(y, row)` of each row of a CV_32F picture.
template <typename Change>
void for_rows(cv::Mat& picture, Change change) {
    for_each_row(picture.rows, [&](int y) { change(y, picture.ptr<float>(y)); });
}

// What a pixel itself tells of copper, and how much that counts.
struct Evidence {
    cv::Mat odds;    // CV_32F, log odds times weight
    cv::Mat weight;  // CV_32F
};

// What is strange may still be too dark for copper: an edge, a shadow, a stain. Print and the
// blurred rim of metal lighten what lies beside them, as copper does: they are rather none.
Evidence evidence_of(const cv::Mat& odds, const Covers& covers, double px_per_mm) {
    constexpr float strongest = 6.0F;
    constexpr float of_metal = 2.0F;
    constexpr float weight_of_metal = 0.3F;
    // Of 0.3 * odds at half the weight, which was tried first, letters on board became copper.
    constexpr float share_beside_print = 0.3F;
    constexpr float rather_none = 0.8F;
    constexpr float counts_beside_print = 0.25F;
    const cv::Mat lightened = grown(covers.metal | covers.shining, 0.12 * px_per_mm);
    Evidence out{cv::Mat(odds.size(), CV_32F), cv::Mat(odds.size(), CV_32F)};
    for_each_row(odds.rows, [&](int y) {
        const auto* own = odds.ptr<float>(y);
        const auto* board = covers.board.ptr<std::uint8_t>(y);
        const auto* metal = covers.metal.ptr<std::uint8_t>(y);
        const auto* legend = covers.legend.ptr<std::uint8_t>(y);
        const auto* shining = covers.shining.ptr<std::uint8_t>(y);
        const auto* light = lightened.ptr<std::uint8_t>(y);
        for (int x = 0; x < odds.cols; ++x) {
            float evidence = std::clamp(own[x], -strongest, strongest);
            float counts = board[x] != 0 ? 1.0F : 0.0F;
            if (metal[x] != 0) {
                evidence = of_metal;
                counts = weight_of_metal;
            }
            if (legend[x] != 0) {
                const bool print = shining[x] != 0;
                if (print || evidence < 0.0F) {
                    evidence = print ? -1.0F : -of_metal;
                    counts = print ? 0.12F : 0.7F;
                }
            } else if (light[x] != 0 && evidence > 0.0F && metal[x] == 0) {
                evidence = share_beside_print * evidence - rather_none;
                counts *= counts_beside_print;
            }
            out.odds.ptr<float>(y)[x] = evidence * counts;
            out.weight.ptr<float>(y)[x] = counts;
        }
    });
    return out;
}

// What each pixel believes, from -1 (surely none) to 1 (surely copper), as far as it counts.
cv::Mat beliefs(const cv::Mat& odds, const cv::Mat& weight) {
    cv::Mat belief(odds.size(), CV_32F);
    for_rows(belief, [&](int y, float* to) {
        chances_of_row(odds.ptr<float>(y), to, odds.cols);
        const auto* counts = weight.ptr<float>(y);
        for (int x = 0; x < odds.cols; ++x) {
            to[x] = (2.0F * to[x] - 1.0F) * counts[x];
        }
    });
    return belief;
}

// Neighbours tend to be of one kind: evidence is averaged over a small disc, then each pixel
// listens to what its neighbours believe (mean field of an Ising model).
cv::Mat smoothed(const cv::Mat& odds, const Covers& covers, double px_per_mm) {
    constexpr float hardly = 1e-3F;
    constexpr float listens = 1.6F;
    constexpr int turns = 3;
    const Evidence seen = evidence_of(odds, covers, px_per_mm);
    const double near = std::max(0.6, 0.045 * px_per_mm);
    const double about = std::max(0.8, 0.11 * px_per_mm);
    cv::Mat averaged = blurred(seen.odds, near);
    const cv::Mat weight_near = blurred(seen.weight, near);
    const cv::Mat weight_about = blurred(seen.weight, about);
    for_rows(averaged, [&](int y, float* to) {
        const auto* weight = weight_near.ptr<float>(y);
        for (int x = 0; x < averaged.cols; ++x) {
            to[x] /= weight[x] + hardly;
        }
    });
    cv::Mat total = averaged.clone();
    for (int turn = 0; turn < turns; ++turn) {
        const cv::Mat heard = blurred(beliefs(total, seen.weight), about);
        for_rows(total, [&](int y, float* to) {
            const auto* own = averaged.ptr<float>(y);
            const auto* others = heard.ptr<float>(y);
            const auto* weight = weight_about.ptr<float>(y);
            for (int x = 0; x < total.cols; ++x) {
                to[x] = own[x] + listens / (weight[x] + hardly) * others[x];
            }
        });
    }
    for_rows(total, [&](int /*y*/, float* row) { chances_of_row(row, row, total.cols); });
    return total;
}

// Print hides what lies below: where it is not copper all around, it rather ends there, since
// print that crosses a gap must not bridge it.
void doubt_below(const Covers& covers, double px_per_mm, cv::Mat& copper) {
    constexpr float all_around = 0.75F;
    // The rim of a joint is not print.
    constexpr double rim_mm = 0.3;
    const cv::Mat legend = covers.legend & ~grown(covers.metal, rim_mm * px_per_mm);
    for (const Run& run : runs_of(legend)) {
        auto* p = copper.ptr<float>(run.y);
        for (int x = run.from; x < run.to; ++x) {
            p[x] *= p[x] < all_around ? 0.6F : 1.0F;
        }
    }
}

// A stroke of print that crosses a track hides it for its own width only: where copper goes on
// straight on the other side, it goes on below. A gap between two tracks is wider than a stroke.
void bridge_print(const Covers& covers, double px_per_mm, cv::Mat& copper) {
    constexpr double short_mm = 0.33;
    constexpr double long_mm = 0.6;
    constexpr float sure = 0.42F;
    constexpr float perhaps = 0.2F;
    constexpr int directions = 8;
    std::array<cv::Point2d, directions> ways;
    for (std::size_t i = 0; i < ways.size(); ++i) {
        const double a = CV_PI * static_cast<double>(i) / directions;
        ways[i] = {std::cos(a), std::sin(a)};
    }
    const cv::Mat before = copper.clone();
    const int farthest = cvCeil(long_mm * px_per_mm);
    // Steps from a pixel of print to copper, straight; more than `farthest`: there is none.
    const auto steps_to_copper = [&](cv::Point from, cv::Point2d way) {
        for (int i = 1; i <= farthest; ++i) {
            const cv::Point p(cvRound(from.x + i * way.x), cvRound(from.y + i * way.y));
            if (p.x < 0 || p.y < 0 || p.x >= before.cols || p.y >= before.rows) {
                break;
            }
            if (before.at<float>(p) >= 0.8F) {
                return i;
            }
            if (covers.legend.at<std::uint8_t>(p) == 0) {
                break;
            }
        }
        return farthest + 1;
    };
    for (const Run& run : runs_of(covers.legend & covers.shining)) {
        for (int x = run.from; x < run.to; ++x) {
            float& p = copper.at<float>(run.y, x);
            if (p >= sure) {
                continue;
            }
            int least = 2 * farthest + 2;
            for (const cv::Point2d& way : ways) {
                const int there = steps_to_copper({x, run.y}, way);
                if (there <= farthest) {
                    const int back = steps_to_copper({x, run.y}, -way);
                    least = std::min(least, there + back);
                }
            }
            if (least <= short_mm * px_per_mm) {
                p = std::max(p, sure);
            } else if (least <= long_mm * px_per_mm) {
                p = std::max(p, perhaps);
            }
        }
    }
}

void apply_strokes(const WorkPicture& work,
                   const std::vector<RasterStroke>& strokes,
                   SideClasses& classes) {
    for (const RasterStroke& stroke : strokes) {
        const auto clear = [&](cv::Mat* keep) {
            for (cv::Mat* cover :
                 {&classes.covers.metal, &classes.covers.legend, &classes.covers.body}) {
                draw_stroke(stroke, work.scale, cover == keep ? 255 : 0, *cover);
            }
        };
        switch (stroke.says) {
            // A line of copper becomes islands of its own (stroke_islands.h): drawn in here, it
            // would melt with a neighbour that it brushes.
            case Says::copper:
            case Says::masked_copper:
            case Says::bare_copper:
                break;
            case Says::laminate:
            case Says::no_copper:
            case Says::hole:
            case Says::background:
                clear(nullptr);
                draw_stroke(stroke, work.scale, 0.0, classes.copper);
                break;
            case Says::legend:
                clear(&classes.covers.legend);
                break;
            case Says::body:
                clear(&classes.covers.body);
                break;
            case Says::cut:
            case Says::bridge:
            case Says::hidden_copper:
            case Says::plated_hole:
            case Says::goes_on:
            case Says::stops:
                break;
        }
    }
}

// How steep the way from one class to the other is, in shares of it for each mm: edges of copper
// are sharp, copper of the other side glows through with soft ones.
double steepness(const cv::Mat& even,
                 const TwoClasses& two,
                 const cv::Mat& seen,
                 double px_per_mm) {
    constexpr double never_sharp = 0.0;
    const cv::Vec3f way = two.clouds[1].mean - two.clouds[0].mean;
    const float length = std::max(1e-6F, way.dot(way));
    cv::Mat sharp(even.size(), CV_32F);
    for_rows(sharp, [&](int y, float* to) {
        const auto* from = even.ptr<cv::Vec3f>(y);
        for (int x = 0; x < sharp.cols; ++x) {
            to[x] = (from[x] - two.clouds[0].mean).dot(way) / length;
        }
    });
    const cv::Mat share = blurred(sharp, 1.0);
    std::vector<float> slopes;
    for (int y = 1; y + 1 < share.rows; ++y) {
        const auto* at = share.ptr<float>(y);
        const auto* above = share.ptr<float>(y - 1);
        const auto* below = share.ptr<float>(y + 1);
        const auto* is_seen = seen.ptr<std::uint8_t>(y);
        for (int x = 1; x + 1 < share.cols; ++x) {
            const bool second = at[x] > 0.5F;
            if (is_seen[x] != 0 && (second != (at[x + 1] > 0.5F) || second != (below[x] > 0.5F))) {
                slopes.push_back(std::hypot(at[x + 1] - at[x - 1], below[x] - above[x]));
            }
        }
    }
    if (slopes.empty()) {
        return never_sharp;
    }
    const auto middle = slopes.begin() + static_cast<std::ptrdiff_t>(slopes.size() / 2);
    std::nth_element(slopes.begin(), middle, slopes.end());
    return 0.5 * *middle * px_per_mm;
}

// Nothing but laminate; metal that is seen belongs to parts.
void clear_copper(SideClasses& classes) {
    classes.empty = true;
    classes.copper.setTo(0.0F);
    classes.covers.body |= classes.covers.metal;
    classes.covers.metal.setTo(0);
}

// Grey much darker than tin belongs to parts: on a side without mask, copper has one lightness.
void part_from_tin(const cv::Mat& even, const TwoClasses& two, cv::Mat& strange) {
    constexpr float certainly = 1000.0F;
    const cv::Vec3f& tin = two.clouds[1].mean;
    if (std::hypot(tin[1], tin[2]) > 0.2F) {
        return;
    }
    for (int y = 0; y < strange.rows; ++y) {
        const auto* v = even.ptr<cv::Vec3f>(y);
        auto* out = strange.ptr<float>(y);
        for (int x = 0; x < strange.cols; ++x) {
            if (v[x][0] < tin[0] - 0.25F && std::hypot(v[x][1], v[x][2]) < 0.22F) {
                out[x] = certainly;
            }
        }
    }
}

// The probability of copper at each pixel, from what each tells and what lies around.
cv::Mat copper_seen(const WorkPicture& work, const cv::Mat& odds_of_copper, const Covers& covers) {
    // What is only concluded from what lies around is never sure.
    constexpr float concluded = 0.62F;
    cv::Mat seen = smoothed(odds_of_copper, covers, work.px_per_mm);
    for_rows(seen, [&](int y, float* copper) {
        const auto* board = covers.board.ptr<std::uint8_t>(y);
        const auto* odds = odds_of_copper.ptr<float>(y);
        for (int x = 0; x < seen.cols; ++x) {
            const bool sees = board[x] != 0 && odds[x] > 0.5F;
            copper[x] = sees ? copper[x] : std::min(copper[x], concluded);
        }
    });
    doubt_below(covers, work.px_per_mm, seen);
    seen.setTo(0.97F, covers.metal);
    bridge_print(covers, work.px_per_mm, seen);
    seen.setTo(0.0F, work.holes & ~covers.metal);
    seen.setTo(0.0F, work.inside == 0);
    return seen;
}

// What the picture shows where one knows how both classes look; strokes not yet drawn in.
SideRead read_side(const WorkPicture& work, const Learned& learned, bool masked) {
    constexpr double least_steepness = 2.0;
    SideRead read;
    cv::Mat& odds = read.odds;
    cv::Mat strange;
    const cv::Mat even =
        under_even_light(learned.two, work.colour, cv::Rect({0, 0}, work.colour.size()));
    tell_apart(learned.two, even, odds, strange);
    if (!masked) {
        part_from_tin(even, learned.two, strange);
    }
    SideClasses& classes = read.classes;
    classes.covers = find_covers(work, learned.two, even, strange);
    classes.separation = learned.two.separation;
    classes.coherence = learned.coherence;
    read.second_is_copper =
        learned.sure || vote_for_second(work, classes.covers, odds > 0.0F) >= 0.0;
    base::side_by_side(2, [&](std::size_t job) {
        if (job == 0) {
            const cv::Mat own = read.second_is_copper ? odds : cv::Mat(-odds);
            classes.copper = copper_seen(work, own, classes.covers);
        } else {
            const cv::Mat& board = classes.covers.board;
            classes.sharp = steepness(even, learned.two, board, work.px_per_mm) >= least_steepness;
        }
    });
    return read;
}

// Whether strokes teach something: not where the picture alone said what they say.
bool says_the_same(const WorkPicture& work, const SideKnown& known, const cv::Mat& told) {
    return known.read.second_is_copper && agrees_with(known.alone.two, work, told);
}

// A copy of its own: strokes are drawn into it.
SideClasses copy_of(const SideClasses& classes) {
    SideClasses copy = classes;
    copy.copper = classes.copper.clone();
    for (const auto& [from, to] : {std::pair(&classes.covers.metal, &copy.covers.metal),
                                   std::pair(&classes.covers.legend, &copy.covers.legend),
                                   std::pair(&classes.covers.body, &copy.covers.body),
                                   std::pair(&classes.covers.board, &copy.covers.board),
                                   std::pair(&classes.covers.shining, &copy.covers.shining)}) {
        *to = from->clone();
    }
    return copy;
}

}  // namespace

SideKnown know_side(const WorkPicture& work, bool masked) {
    const FirstGuess guess = masked ? guess_masked(work) : guess_bare(work);
    SideKnown known;
    known.masked = masked;
    known.weight = guess.weight;
    known.alone = learn(work, guess.weight, guess.starts, cv::Mat());
    known.alone.sure = guess.second_is_copper;
    known.read = read_side(work, known.alone, masked);
    known.share = share_alone(known.weight, known.read.odds);
    return known;
}

SideClasses classify_side(const WorkPicture& work,
                          const SideKnown& known,
                          const std::vector<RasterStroke>& strokes,
                          bool without_copper) {
    const cv::Mat told = said(work, strokes);
    const bool shows_copper = cv::countNonZero(told == 1) > 0;
    const bool both = shows_copper && cv::countNonZero(told == 0) > 0;
    SideClasses classes =
        both && !says_the_same(work, known, told)
            ? read_side(work,
                        learn_told(work, {known.alone, known.weight, known.share}, strokes, told),
                        known.masked)
                  .classes
            : copy_of(known.read.classes);
    classes.sharp = classes.sharp || both;
    if (!known.masked && !shows_copper && (without_copper || !classes.sharp)) {
        clear_copper(classes);
    }
    apply_strokes(work, strokes, classes);
    return classes;
}

}  // namespace etchback::copper::eye::detail
