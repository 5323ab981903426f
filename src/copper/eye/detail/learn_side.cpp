#include "copper/eye/detail/learn_side.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <opencv2/imgproc.hpp>
#include <utility>

#include "base/side_by_side.h"

namespace etchback::copper::eye::detail {

namespace {

using Says = RasterStroke::Says;

constexpr double agrees_well = 0.85;

// What is said, pixel by pixel: the board may be a thousand times as large.
struct Told {
    std::vector<cv::Point> at;
    cv::Mat kinds;  // CV_8S, one row

    explicit Told(const cv::Mat& fixed) {
        if (!fixed.empty()) {
            cv::findNonZero(fixed >= 0, at);
        }
        kinds.create(1, static_cast<int>(at.size()), CV_8S);
        std::ranges::transform(at, kinds.ptr<std::int8_t>(), [&](const cv::Point& p) {
            return fixed.at<std::int8_t>(p);
        });
    }
};

// How well a description of the two classes agrees with what is said: 1 in all, -1 in nothing, the
// second class taken for copper. 0 where nothing is said.
double agreement(const TwoClasses& two, const WorkPicture& work, const Told& told) {
    if (told.at.empty()) {
        return 0.0;
    }
    cv::Mat odds;
    cv::Mat strange;
    tell_apart(two, under_even_light(two, work.colour, told.at), odds, strange);
    const auto share = [&](int kind) { return share_in(odds > 0, told.kinds == kind, 0.5); };
    return share(1) - share(0);
}

// The cell that each pixel of a row or a column lies in.
std::vector<int> cells_of(int pixels, double cell_px, int cells) {
    std::vector<int> cell(static_cast<std::size_t>(pixels));
    for (int i = 0; i < pixels; ++i) {
        cell[static_cast<std::size_t>(i)] = std::min(cells - 1, static_cast<int>(i / cell_px));
    }
    return cell;
}

// How far neighbours a little apart are of one kind, beyond what chance would give: 1 for areas
// with clear edges, 0 for grain.
double coherence(const TwoClasses& two, const WorkPicture& work, const cv::Mat& weight) {
    const std::vector<int> column = cells_of(work.colour.cols, two.cell_px, two.light.cols);
    const std::vector<int> row = cells_of(work.colour.rows, two.cell_px, two.light.rows);
    const auto second_at = [&](cv::Point p) {
        const cv::Vec3f v = work.colour.at<cv::Vec3f>(p) -
                            two.light.at<cv::Vec3f>(row[static_cast<std::size_t>(p.y)],
                                                    column[static_cast<std::size_t>(p.x)]);
        return two.clouds[1].log_density(v) > two.clouds[0].log_density(v) ? 1.0 : 0.0;
    };
    constexpr int stride = 5;
    const int apart = std::max(2, cvRound(0.2 * work.px_per_mm));
    double pairs = 0.0;
    double both = 0.0;
    double one = 0.0;
    for (int y = 0; y + apart < weight.rows; y += stride) {
        for (int x = 0; x + apart < weight.cols; x += stride) {
            const cv::Point across(x + apart, y);
            const cv::Point down(x, y + apart);
            if (weight.at<float>(y, x) <= 0.0F || weight.at<float>(across) <= 0.0F ||
                weight.at<float>(down) <= 0.0F) {
                continue;
            }
            const double here = second_at({x, y});
            for (const cv::Point& q : {across, down}) {
                const double there = second_at(q);
                pairs += 1.0;
                both += here * there;
                one += 0.5 * (here + there);
            }
        }
    }
    const double share = one / std::max(1.0, pairs);
    const double spread = share * (1.0 - share);
    return spread > 1e-4 ? (both / std::max(1.0, pairs) - share * share) / spread : 0.0;
}

// What is said without the strokes of laminate that look most like copper: half of what is said of
// laminate stays, or a little more.
cv::Mat clearest(const WorkPicture& work,
                 const std::vector<RasterStroke>& strokes,
                 const cv::Mat& fixed) {
    struct Drawn {
        cv::Mat where;
        double area = 0.0;
        double apart = 0.0;  // from copper
    };
    const cv::Scalar copper = cv::mean(work.colour, fixed == 1);
    std::vector<Drawn> laminate;
    double all = 0.0;
    for (const RasterStroke& stroke : strokes) {
        if (stroke.says == Says::laminate) {
            Drawn told;
            told.where = (said(work, {stroke}) == 0) & (fixed == 0);
            told.area = cv::countNonZero(told.where);
            told.apart = cv::norm(cv::mean(work.colour, told.where) - copper);
            all += told.area;
            laminate.push_back(std::move(told));
        }
    }
    std::ranges::stable_sort(laminate, std::greater{}, &Drawn::apart);
    cv::Mat clear = fixed.clone();
    clear.setTo(-1, fixed == 0);
    double kept = 0.0;
    for (const Drawn& told : laminate) {
        if (kept >= 0.5 * all) {
            break;
        }
        kept += told.area;
        clear.setTo(0, told.where);
    }
    return clear;
}

// Of several descriptions the one that agrees best with all that is said and shows areas, not
// grain; the first unless another is clearly better.
class BestOf {
public:
    BestOf(const WorkPicture& work, const Told& told, Learned first)
        : work_(work), told_(told), best_(std::move(first)), score_(score_of(best_)) {}

    void offer(Learned other) {
        constexpr double clearly = 0.1;
        const double score = score_of(other);
        if (score > score_ + clearly) {
            best_ = std::move(other);
            score_ = score;
        }
    }
    Learned take() && { return std::move(best_); }

private:
    double score_of(const Learned& learned) const {
        return agreement(learned.two, work_, told_) + learned.coherence;
    }

    const WorkPicture& work_;
    const Told& told_;
    Learned best_;
    double score_;
};

// From strokes alone.
Learned learn_anew(const WorkPicture& work, const cv::Mat& weight, const cv::Mat& fixed) {
    cv::Mat from_strokes;
    fixed.convertTo(from_strokes, CV_32F);
    return learn(work, weight, {from_strokes}, fixed);
}

}  // namespace

double mean_in(const cv::Mat& picture, const cv::Mat& mask, double fallback) {
    return cv::countNonZero(mask) > 50 ? cv::mean(picture, mask)[0] : fallback;
}

double share_in(const cv::Mat& set, const cv::Mat& mask, double fallback) {
    const int all = cv::countNonZero(mask);
    return all > 50 ? static_cast<double>(cv::countNonZero(set & mask)) / all : fallback;
}

cv::Mat said(const WorkPicture& work, const std::vector<RasterStroke>& strokes) {
    cv::Mat fixed(work.colour.size(), CV_8S, cv::Scalar(-1));
    for (const RasterStroke& stroke : strokes) {
        if (stroke.says == Says::copper || stroke.says == Says::masked_copper ||
            stroke.says == Says::bare_copper) {
            draw_stroke(stroke, work.scale, 1, fixed);
        } else if (stroke.says == Says::laminate) {
            draw_stroke(stroke, work.scale, 0, fixed);
        }
    }
    for (const RasterStroke& stroke : strokes) {
        if (stroke.says == Says::body || stroke.says == Says::legend) {
            draw_stroke(stroke, work.scale, -1, fixed);
        }
    }
    if (!work.bodies.empty()) {
        fixed.setTo(-1, work.bodies);
    }
    return fixed;
}

Learned learn(const WorkPicture& work,
              const cv::Mat& weight,
              const std::vector<cv::Mat>& starts,
              const cv::Mat& fixed) {
    const bool told = !fixed.empty();
    const Told said_here(fixed);
    Learned best;
    double best_score = 0.0;
    for (const cv::Mat& start : starts) {
        cv::Mat turned = start;
        // People draw where something is wrong: a few strokes against it do not turn all around.
        if (told && mean_in(start, (fixed == 1) & (start >= 0), 1.0) <
                        mean_in(start, (fixed == 0) & (start >= 0), 0.0) - 0.5) {
            turned = 1.0F - start;
            turned.setTo(-1.0F, start < 0);
        }
        TwoClasses found = learn_two(work.colour, weight, turned, fixed, work.px_per_mm);
        const double areas = coherence(found, work, weight);
        const double score = found.likelihood + 0.8 * areas +
                             (told ? 10.0 * agreement(found, work, said_here) : 0.0);
        if (best.two.light.empty() || score > best_score) {
            best = {std::move(found), told, areas};
            best_score = score;
        }
    }
    return best;
}

cv::Mat share_alone(const cv::Mat& seen, const cv::Mat& odds) {
    cv::Mat share(seen.size(), CV_32F);
    for (int y = 0; y < share.rows; ++y) {
        auto* out = share.ptr<float>(y);
        chances_of_row(odds.ptr<float>(y), out, share.cols);
        const auto* weight = seen.ptr<float>(y);
        for (int x = 0; x < share.cols; ++x) {
            out[x] = weight[x] > 0.0F ? out[x] : -1.0F;
        }
    }
    return share;
}

Learned learn_told(const WorkPicture& work,
                   const AloneTold& alone_told,
                   const std::vector<RasterStroke>& strokes,
                   const cv::Mat& fixed) {
    constexpr double hardly = 0.3;
    constexpr double fits_them = 0.82;
    Learned same = alone_told.learned;
    const Told told(fixed);
    const double alone = agreement(same.two, work, told);
    if (alone < 0.0) {
        std::swap(same.two.clouds[0], same.two.clouds[1]);
    }
    same.sure = true;
    if (std::abs(alone) >= agrees_well) {
        return same;
    }
    cv::Mat weight = alone_told.weight.clone();
    weight.setTo(1.0F, fixed >= 0);
    Learned warm = learn(work, weight, {alone_told.share}, fixed);
    const double agrees = agreement(warm.two, work, told);
    if (agrees >= agrees_well) {
        return warm;
    }
    Learned anew;
    Learned few;  // from the clearest strokes
    cv::Mat clear;
    base::side_by_side(2, [&](std::size_t job) {
        if (job == 0) {
            anew = learn_anew(work, weight, fixed);
        } else {
            clear = clearest(work, strokes, fixed);
            few = learn_anew(work, weight, clear);
        }
    });
    const bool fits = agreement(anew.two, work, told) >= agrees_well;
    BestOf best(work, told, std::move(warm));
    best.offer(std::move(same));
    if (fits || std::max(agrees, std::abs(alone)) < hardly) {
        best.offer(std::move(anew));
    }
    if (!fits && agreement(few.two, work, Told(clear)) >= fits_them) {
        best.offer(std::move(few));
    }
    return std::move(best).take();
}

bool agrees_with(const TwoClasses& two, const WorkPicture& work, const cv::Mat& fixed) {
    return agreement(two, work, Told(fixed)) >= agrees_well;
}

}  // namespace etchback::copper::eye::detail
