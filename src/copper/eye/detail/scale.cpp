#include "copper/eye/detail/scale.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace etchback::copper::eye::detail {
namespace {

constexpr double guessed_longer_side_mm = 60.0;

// Millimetres per unit of the board's guessed size, by lengths and points on one photo.
struct Told {
    double weight = 0.0;
    double sum = 0.0;
    std::string from;

    void add(double seen, double mm, const std::string& by) {
        if (seen > 0.0 && mm > 0.0) {
            weight += seen;
            sum += mm;
            from = from.empty() ? by : from;
        }
    }
};

Told told_by(const dossier::Board& board,
             const std::vector<SideView>& views,
             double width,
             double height) {
    Told told;
    for (std::size_t i = 0; i < views.size(); ++i) {
        Bundle bundle;
        bundle.photos.push_back(bundle_photo(views[i], views[i].quarter));
        bundle.width_mm = width;
        bundle.height_mm = height;
        const FittedPhoto photo = first_fit(bundle).photos[0];
        for (const dossier::KnownLength& length : board.lengths) {
            if (length.photo.value == views[i].photo->file) {
                const double seen = cv::norm(photo.board({length.to_x_px, length.to_y_px}) -
                                             photo.board({length.from_x_px, length.from_y_px}));
                told.add(seen, mm_of(length.length), "a length on " + views[i].photo->file);
            }
        }
        const std::vector<KnownSpot> spots = known_spots(views[i], static_cast<int>(i));
        for (std::size_t k = 1; k < spots.size(); ++k) {
            told.add(cv::norm(photo.board(spots[k].px) - photo.board(spots[0].px)),
                     cv::norm(spots[k].mm - spots[0].mm),
                     "points on " + views[i].photo->file);
        }
    }
    return told;
}

}  // namespace

double mm_of(const dossier::Amount& amount) {
    return 1e3 * amount.value.value;
}

std::vector<KnownSpot> known_spots(const SideView& view, int index) {
    std::vector<KnownSpot> spots;
    if (view.entry == nullptr) {
        return spots;
    }
    for (const dossier::PhotoPoint& point : view.entry->points) {
        if (point.x_mm && point.y_mm) {
            spots.push_back({index, {point.x_px, point.y_px}, {*point.x_mm, *point.y_mm}});
        }
    }
    return spots;
}

Scale find_scale(const dossier::Board& board, double aspect, const std::vector<SideView>& views) {
    Scale scale;
    BoardSize& size = scale.size;
    size.width_known = board.width.has_value();
    size.height_known = board.height.has_value();
    if (size.width_known || size.height_known) {
        size.width_mm = size.width_known ? mm_of(*board.width) : mm_of(*board.height) * aspect;
        size.height_mm = size.height_known ? mm_of(*board.height) : mm_of(*board.width) / aspect;
        scale.known = true;
        scale.from = size.width_known && size.height_known
                         ? "board.width and board.height"
                         : (size.width_known ? "board.width" : "board.height");
        return scale;
    }
    size.width_mm = guessed_longer_side_mm * std::min(1.0, aspect);
    size.height_mm = guessed_longer_side_mm / std::max(1.0, aspect);
    const Told told = told_by(board, views, size.width_mm, size.height_mm);
    if (told.weight > 0.0) {
        const double factor = told.sum / told.weight;
        size.width_mm *= factor;
        size.height_mm *= factor;
        scale.known = true;
        scale.from = told.from;
    } else {
        scale.from = "a guess: the longer side has 60 mm";
    }
    return scale;
}

void add_points(const std::vector<SideView>& views, const dossier::Board& board, Bundle& bundle) {
    for (std::size_t i = 0; i < views.size(); ++i) {
        const int at = static_cast<int>(i);
        for (const KnownSpot& spot : known_spots(views[i], at)) {
            bundle.spots.push_back(spot);
        }
        for (const dossier::KnownLength& length : board.lengths) {
            if (length.photo.value == views[i].photo->file) {
                bundle.distances.push_back({at,
                                            {length.from_x_px, length.from_y_px},
                                            {length.to_x_px, length.to_y_px},
                                            mm_of(length.length)});
            }
        }
    }
    if (views.size() < 2 || views[0].entry == nullptr || views[1].entry == nullptr) {
        return;
    }
    for (const dossier::PhotoPoint& a : views[0].entry->points) {
        for (const dossier::PhotoPoint& b : views[1].entry->points) {
            if (a.name.value == b.name.value) {
                bundle.same.push_back(
                    {0, {a.x_px, a.y_px}, 1, {b.x_px, b.y_px}, 0.1, "point on both photos"});
            }
        }
    }
}

}  // namespace etchback::copper::eye::detail
