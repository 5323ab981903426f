#include "copper/eye/detail/given_places.h"

#include <cmath>
#include <limits>
#include <vector>

#include "copper/eye/detail/aspect.h"
#include "copper/eye/detail/bundle.h"
#include "copper/eye/detail/scale.h"
#include "copper/eye/detail/which_way.h"

namespace etchback::copper::eye::detail {

namespace {

// How well points whose place is given fit a view turned by `quarter`, up to a shift.
double misfit_of_spots(const SideView& view, int quarter, double width, double height) {
    const std::vector<KnownSpot> spots = known_spots(view, 0);
    Bundle bundle;
    bundle.photos.push_back(bundle_photo(view, quarter));
    bundle.width_mm = width;
    bundle.height_mm = height;
    const FittedPhoto photo = first_fit(bundle).photos[0];
    cv::Point2d seen_mean;
    cv::Point2d given_mean;
    for (const KnownSpot& spot : spots) {
        seen_mean += photo.board(spot.px);
        given_mean += spot.mm;
    }
    seen_mean *= 1.0 / static_cast<double>(spots.size());
    given_mean *= 1.0 / static_cast<double>(spots.size());
    double up = 0.0;
    double down = 1e-12;
    double given = 1e-12;
    for (const KnownSpot& spot : spots) {
        const cv::Point2d s = photo.board(spot.px) - seen_mean;
        const cv::Point2d g = spot.mm - given_mean;
        up += s.dot(g);
        down += s.dot(s);
        given += g.dot(g);
    }
    return 1.0 - up / std::sqrt(down * given);  // 0: the same but for size
}

}  // namespace

std::optional<GivenTurn> turn_by_places(const SideView& view) {
    constexpr double clearly = 0.5;  // between places that lie alike (0) and turned (1)
    if (known_spots(view, 0).size() < 2) {
        return std::nullopt;
    }
    const double aspect = aspect_seen(view);
    GivenTurn turn;
    double least = std::numeric_limits<double>::max();
    double second = least;
    for (const int quarter : {0, 1, 2, 3}) {
        const double misfit =
            misfit_of_spots(view, quarter, 100.0 * turned_aspect(aspect, quarter), 100.0);
        second = misfit < least ? least : std::min(second, misfit);
        if (misfit < least) {
            least = misfit;
            turn.quarter = quarter;
        }
    }
    turn.clear = second > least + clearly;
    return turn;
}

}  // namespace etchback::copper::eye::detail
