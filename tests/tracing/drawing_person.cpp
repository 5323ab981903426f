#include "tracing/drawing_person.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <random>
#include <set>
#include <tuple>

#include "copper/eye/detail/raster_pixels.h"
#include "copper/eye/registration.h"
#include "tracing/lookout.h"
#include "tracing/pen_lines.h"
#include "tracing/pen_passages.h"
#include "tracing/pen_sweep.h"
#include "tracing/pen_wishes.h"

namespace etchback::tracing {

namespace {

using copper::Side;

constexpr double longest_mm = 300.0;  // of one sweep

// What is not tried again once it did no good.
using Key = std::tuple<int, Side, std::string, int, int>;

Key key_of(const Wish& wish) {
    return {wish.gain, wish.side, wish.says, wish.piece, wish.net};
}

struct Drawn {
    Wish wish;
    double length_mm = 0.0;
    int mended = -1;  // pairs; not known yet
};

// What joins wrongly is parted before copper is followed over it, unless that mends far more.
double urgency(const Wish& wish, DrawingPerson::Hidden hidden) {
    constexpr double parting_first = 4.0;
    constexpr double last = 0.1;
    if (wish.says == "hidden copper" && hidden == DrawingPerson::Hidden::last) {
        return last * wish.gain;
    }
    const bool parts = (wish.says == "cut" && wish.net < 0) || wish.says == "stops";
    return wish.gain * (parts ? parting_first : 1.0);
}

}  // namespace

class DrawingPerson::Mind {
public:
    Mind(const InventedBoard& board, const TracedBoard& first, Hidden hidden)
        : view_(board, first),
          hidden_(hidden),
          hand_(static_cast<std::uint32_t>(board.truth.pads.size() + 77)) {
        for (const Side side : {Side::top, Side::bottom}) {
            counts.concluded_rightly += view_.seen(side).concluded_rightly;
            counts.concluded_wrongly += view_.seen(side).concluded_wrongly;
        }
    }

    std::optional<dossier::Stroke> next(const TracedBoard& now, bool go_on) {
        view_.look(now);
        std::vector<Wish> wishes = all_wishes([&](Side side) { return may_draw(side); });
        if (go_on) {
            std::erase_if(wishes, [&](const Wish& wish) { return !goes_with_last(wish); });
        }
        return first_drawn(std::move(wishes), go_on);
    }

    std::optional<Exchange> instead(const TracedBoard& now) {
        view_.look(now);
        const auto has_all = [&](Side side) {
            return view_.trace().picture.side(side) && !may_draw(side);
        };
        std::vector<Wish> wishes = all_wishes(has_all);
        std::erase_if(wishes, [&](const Wish& wish) {
            return wish.needs_holes || strokes_[weakest(wish.side)].mended >= wish.gain;
        });
        std::optional<dossier::Stroke> stroke = first_drawn(std::move(wishes), true);
        return stroke ? std::optional<Exchange>({*stroke, weakest(strokes_.back().wish.side)})
                      : std::nullopt;
    }

    void keep(int pairs) {
        for (Drawn& stroke : strokes_) {
            stroke.mended = stroke.mended < 0 ? pairs : stroke.mended;
        }
    }

    void drop(std::size_t index) {
        counts.length_mm -= strokes_[index].length_mm;
        --counts.kept;
        ++counts.taken_back;
        strokes_.erase(strokes_.begin() + static_cast<std::ptrdiff_t>(index));
    }

    void take_back() {
        --counts.kept;
        ++counts.taken_back;
        counts.length_mm -= strokes_.back().length_mm;
        tried_.insert(key_of(strokes_.back().wish));
        if (planned_) {
            tried_.insert(key_of(*planned_));
            planned_.reset();
        }
        strokes_.pop_back();
    }

    void think_again() { tried_.clear(); }

    Counts counts;
    std::string meant;

private:
    // The kept stroke of a side that mended least. Of one that is being tried nothing is known yet.
    std::size_t weakest(Side side) const {
        std::size_t found = strokes_.size();
        for (std::size_t i = 0; i < strokes_.size(); ++i) {
            const bool is_less =
                found == strokes_.size() || strokes_[i].mended < strokes_[found].mended;
            if (strokes_[i].wish.side == side && strokes_[i].mended >= 0 && is_less) {
                found = i;
            }
        }
        return found;
    }

    // The first of the most urgent wishes for which there is a line.
    std::optional<dossier::Stroke> first_drawn(std::vector<Wish> wishes, bool go_on) {
        std::ranges::stable_sort(
            wishes, std::greater{}, [&](const Wish& wish) { return urgency(wish, hidden_); });
        for (const Wish& wish : wishes) {
            const Key key = key_of(wish);
            if (tried_.contains(key) || without_line_.contains(key)) {
                continue;
            }
            planned_.reset();
            const Wish step = wish.needs_holes ? first_step(wish) : wish;
            const std::vector<cv::Point> along = line_for(step);
            if (along.empty()) {
                without_line_.insert(key);
                continue;
            }
            // What it does not mend is not tried again in the same way.
            if ((wish.says != "cut" && !wish.needs_holes) || go_on) {
                tried_.insert(key);
            }
            if (auto stroke = drawn(step, along)) {
                return stroke;
            }
        }
        return std::nullopt;
    }

    bool may_draw(Side side) const {
        return view_.trace().picture.side(side) &&
               std::ranges::count_if(strokes_, [&](const Drawn& stroke) {
                   return stroke.wish.side == side;
               }) < strokes_a_side;
    }

    template <typename MayDraw>
    std::vector<Wish> all_wishes(MayDraw may) const {
        std::vector<Wish> wishes;
        const auto add = [&](std::optional<Wish> wish) {
            if (wish && wish->gain > 0) {
                wishes.push_back(*std::move(wish));
            }
        };
        const auto append = [&](std::vector<Wish> some) {
            std::ranges::move(some, std::back_inserter(wishes));
        };
        if (may(Side::top) || may(Side::bottom)) {
            add(wish_holes(view_, may(Side::top) ? Side::top : Side::bottom, told_holes()));
        }
        for (const Side side : {Side::top, Side::bottom}) {
            if (may(side)) {
                add(wish_ways(view_, side));
                add(wish_stops(view_, side));
                append(wish_passages(view_, side, hidden_ != Hidden::below_covers));
                append(wish_copper(view_, side, told_holes()));
                append(wish_cuts(view_, side));
            }
        }
        return wishes;
    }

    Wish holes_wish() const {
        return wish_holes(view_, may_draw(Side::top) ? Side::top : Side::bottom, told_holes());
    }

    // What may do good only together with the last stroke: another cut of the same, or the copper
    // for which holes were told.
    bool goes_with_last(const Wish& wish) const {
        const Wish& last = strokes_.back().wish;
        return last.says == "cut"
                   ? wish.says == "cut" && wish.side == last.side && wish.net == last.net
                   : wish.says == "copper" && planned_ && wish.piece == planned_->piece &&
                         wish.side == planned_->side;
    }

    // Holes that the wish needs: told first.
    Wish first_step(const Wish& wish) {
        planned_ = wish;
        return holes_wish();
    }

    std::vector<copper::Point> told_holes() const {
        std::vector<copper::Point> told;
        for (const Drawn& stroke : strokes_) {
            told.insert(told.end(), stroke.wish.told.begin(), stroke.wish.told.end());
        }
        return told;
    }

    std::vector<cv::Point> line_for(const Wish& wish) const {
        if (wish.says == "cut") {
            return along_gaps(view_, wish);
        }
        if (wish.says == "copper") {
            return along_copper(view_, wish);
        }
        if (wish.says == "hidden copper") {
            return along_passages(view_, wish, longest_mm);
        }
        if (wish.says != "plated hole") {
            return over_places(wish);
        }
        std::vector<cv::Point> holes;
        for (const copper::Point& at : wish.told) {
            holes.push_back(raster_place(view_.board(), view_.trace(), wish.side, at));
        }
        return holes;
    }

    // One sweep; what was said of a place earlier stays said.
    std::vector<cv::Point> over_places(const Wish& wish) const {
        std::vector<cv::Point2d> wrong = wish.wrong;
        for (const Drawn& stroke : strokes_) {
            if (stroke.wish.side == wish.side && stroke.wish.says != wish.says) {
                const Wish& other = stroke.wish;
                wrong.insert(wrong.end(), other.right.begin(), other.right.end());
                wrong.insert(wrong.end(), other.others.begin(), other.others.end());
            }
        }
        return sweep_over(wish.right,
                          wish.others,
                          wrong,
                          view_.seen(wish.side).net.size(),
                          view_.px_per_mm(),
                          longest_mm);
    }

    // A hand wavers on long straight lines, too.
    std::vector<cv::Point2d> by_hand(const Wish& wish, const std::vector<cv::Point>& along) const {
        constexpr double step_mm = 0.7;
        if (wish.says == "plated hole") {
            return {along.begin(), along.end()};
        }
        std::vector<cv::Point> few;
        cv::approxPolyDP(along, few, 0.04 * view_.px_per_mm(), false);
        std::vector<cv::Point2d> points;
        for (std::size_t i = 0; i + 1 < few.size(); ++i) {
            const cv::Point2d a = few[i];
            const cv::Point2d way = cv::Point2d(few[i + 1]) - a;
            const int parts = std::max(1, cvCeil(cv::norm(way) / (step_mm * view_.px_per_mm())));
            for (int k = 0; k < parts; ++k) {
                points.push_back(a + way * (static_cast<double>(k) / parts));
            }
        }
        points.emplace_back(few.back());
        return points;
    }

    std::optional<dossier::Stroke> drawn(const Wish& wish, const std::vector<cv::Point>& along) {
        constexpr double off_mm = 0.07;
        constexpr double most_off_mm = 0.2;
        const copper::Raster& raster = view_.trace().picture.raster;
        const auto& photos = view_.trace().picture.registration.photos;
        const auto fit = std::ranges::find(photos, wish.side, &copper::PhotoFit::side);
        if (fit == photos.end()) {
            return std::nullopt;
        }
        const std::vector<cv::Point2d> points = by_hand(wish, along);
        double length_mm = 0.0;
        for (std::size_t i = 1; wish.says != "plated hole" && i < points.size(); ++i) {
            length_mm += cv::norm(points[i] - points[i - 1]) / raster.px_per_mm;
        }
        std::normal_distribution<double> off(0.0, off_mm);
        dossier::Stroke stroke;
        stroke.photo.value = fit->file;
        stroke.says.value = wish.says;
        for (const cv::Point2d& p : points) {
            copper::Point at = copper::eye::detail::board_of(p, raster);
            at.x_mm += std::clamp(off(hand_), -most_off_mm, most_off_mm);
            at.y_mm += std::clamp(off(hand_), -most_off_mm, most_off_mm);
            const cv::Point2d px =
                copper::eye::photo_pixel(*fit, view_.board().shot(wish.side).bgr.size(), at);
            stroke.along.emplace_back(px.x, px.y);
        }
        stroke.width_px = 0.15 * fit->px_per_mm;
        strokes_.push_back({wish, length_mm});
        ++counts.kept;
        counts.length_mm += length_mm;
        meant =
            fmt::format("{} {} {:.0f} mm about {} {}: {} nets, {} pins, {} places, should mend {}",
                        wish.side == Side::top ? "top" : "bottom",
                        wish.says,
                        length_mm,
                        along[along.size() / 2].x,
                        along[along.size() / 2].y,
                        wish.groups.size(),
                        wish.dark.size(),
                        wish.right.size() + wish.told.size() + wish.passages.size(),
                        wish.gain);
        return stroke;
    }

    Lookout view_;
    Hidden hidden_;
    std::mt19937 hand_;
    std::set<Key> tried_;
    std::set<Key> without_line_;  // there is none for them
    std::vector<Drawn> strokes_;
    std::optional<Wish> planned_;  // copper for which holes were told
};

DrawingPerson::DrawingPerson(const InventedBoard& board, const TracedBoard& first, Hidden hidden)
    : mind_(std::make_unique<Mind>(board, first, hidden)) {}
DrawingPerson::DrawingPerson(DrawingPerson&&) noexcept = default;
DrawingPerson::~DrawingPerson() = default;

std::optional<DrawingPerson::Exchange> DrawingPerson::instead(const TracedBoard& now) {
    return mind_->instead(now);
}
void DrawingPerson::keep(int pairs) {
    mind_->keep(pairs);
}
void DrawingPerson::drop(std::size_t index) {
    mind_->drop(index);
}
std::optional<dossier::Stroke> DrawingPerson::next(const TracedBoard& now, bool go_on) {
    return mind_->next(now, go_on);
}
void DrawingPerson::take_back() {
    mind_->take_back();
}
void DrawingPerson::think_again() {
    mind_->think_again();
}
const DrawingPerson::Counts& DrawingPerson::counts() const {
    return mind_->counts;
}
const std::string& DrawingPerson::meant() const {
    return mind_->meant;
}

}  // namespace etchback::tracing
