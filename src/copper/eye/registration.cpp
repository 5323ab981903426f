#include "copper/eye/registration.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <opencv2/imgproc.hpp>

#include "copper/eye/detail/aspect.h"
#include "copper/eye/detail/bundle.h"
#include "copper/eye/detail/face_ties.h"
#include "copper/eye/detail/given_places.h"
#include "copper/eye/detail/holes.h"
#include "copper/eye/detail/likeness.h"
#include "copper/eye/detail/outline.h"
#include "copper/eye/detail/scale.h"
#include "copper/eye/detail/side_view.h"
#include "copper/eye/detail/warp.h"
#include "copper/eye/detail/which_way.h"

namespace etchback::copper::eye {
namespace {

using namespace detail;

constexpr double good_residual_mm = 0.25;  // docs/copper.md: half of a usual gap between tracks
constexpr double margin_mm = 1.0;          // of the raster beyond the board
constexpr double most_pixels = 4e6;
constexpr double joint_sigma_mm = 0.4;  // spots that are not told better than this are no measure

const dossier::Photo* entry_of(const dossier::Dossier& dossier, const Photo& photo) {
    for (const dossier::Photo& entry : dossier.photos) {
        if (entry.file.value == photo.file) {
            return &entry;
        }
    }
    return nullptr;
}

base::Place place_of(const SideView& view) {
    return view.entry != nullptr ? view.entry->file.place : base::Place{};
}

SideView view_of(const Photo& photo, Side side, const dossier::Dossier& dossier) {
    SideView view;
    view.side = side;
    view.photo = &photo;
    view.entry = entry_of(dossier, photo);
    const std::string from = view.entry != nullptr ? view.entry->seen_from.value : "";
    view.mirrored = from.empty() ? side == Side::bottom : from == "bottom";
    view.board = find_board(photo.bgr);
    view.small = small_photo(photo.bgr, 900.0);
    view.tiny = small_photo(photo.bgr, 400.0);
    return view;
}

// Which way up the board lies in its first photo: as it was taken, unless places that the person
// gave or the board's width and height say otherwise.
int quarter_of_first(const SideView& view, const dossier::Board& board) {
    const double aspect = aspect_seen(view);
    if (const auto given = turn_by_places(view)) {
        return given->quarter;
    }
    if (board.width && board.height) {
        const double given = mm_of(*board.width) / mm_of(*board.height);
        if (apart(aspect, given) > apart(1.0 / aspect, given) + 0.05) {
            return 1;
        }
    }
    return 0;
}

base::Errors not_found(const Found& found) {
    base::Errors errors;
    for (const SideView& view : found.views) {
        if (!view.board.found) {
            errors.push_back({place_of(view),
                              fmt::format("no board is found in {}", view.photo->file),
                              "photograph it whole, on a plain ground of another colour, filling "
                              "most of the picture"});
        }
    }
    return errors;
}

base::Error two_boards(const Found& found) {
    return {
        place_of(found.views[1]),
        fmt::format("{} and {} cannot be of one board: their sides are {:.2f} : 1 and {:.2f} : 1",
                    found.views[0].photo->file,
                    found.views[1].photo->file,
                    std::max(aspect_seen(found.views[0]), 1.0 / aspect_seen(found.views[0])),
                    std::max(aspect_seen(found.views[1]), 1.0 / aspect_seen(found.views[1]))),
        "give the photos of one board, each with the whole board in it"};
}

base::Error same_side(const Found& found) {
    return {place_of(found.views[1]),
            fmt::format("{} and {} show the same side of the board",
                        found.views[0].photo->file,
                        found.views[1].photo->file),
            "give the photo of the other side, or leave one of them out"};
}

bool is_same_side(const Found& found, const std::vector<int>& quarters) {
    const SideView& a = found.views[0];
    const SideView& b = found.views[1];
    double as_other = -1.0;
    double as_same = -1.0;
    for (const int quarter : quarters) {
        as_other = std::max(as_other, picture_likeness(a, a.quarter, b, quarter, false));
        as_same = std::max(as_same, picture_likeness(a, a.quarter, b, quarter, true));
    }
    return as_same > 0.5 && as_same > as_other + 0.25;
}

Bundle bundle_of(const Found& found) {
    Bundle bundle;
    const BoardSize& size = found.scale.size;
    bundle.width_mm = size.width_mm;
    bundle.height_mm = size.height_mm;
    // Where nothing tells the scale, the guess must hold: a smaller board misses by fewer mm.
    bundle.width_known = size.width_known || !found.scale.known;
    bundle.height_known = size.height_known;
    for (const SideView& view : found.views) {
        bundle.photos.push_back(bundle_photo(view, view.quarter));
    }
    add_points(found.views, found.board, bundle);
    return bundle;
}

PhotoFit photo_fit(const SideView& view, const FittedPhoto& fitted, const BundleFit& fit) {
    PhotoFit out;
    out.file = view.photo->file;
    out.side = view.side;
    out.k1 = fitted.k1;
    out.k2 = fitted.k2;
    for (int i = 0; i < 9; ++i) {
        out.to_board[i] = fitted.to_board.val[i];
    }
    out.px_per_mm = resolution(fitted, fit);
    out.mirrored = view.mirrored;
    return out;
}

Point point_of(cv::Point2d p) {
    return {p.x, p.y};
}

// How far the sides of the board, as they are seen, are from straight: by the middle miss of each,
// so that parts over an edge do not count.
void add_side_misfits(const Found& found,
                      const Bundle& bundle,
                      const BundleFit& fit,
                      std::vector<Misfit>& out) {
    constexpr std::array<const char*, 4> names = {"upper", "right", "lower", "left"};
    const double x = fit.corner.x;
    const double y = fit.corner.y;
    const double w = fit.width_mm;
    const double h = fit.height_mm;
    const std::array<Point, 4> middles = {
        Point{x + 0.5 * w, y}, {x + w, y + 0.5 * h}, {x + 0.5 * w, y + h}, {x, y + 0.5 * h}};
    for (std::size_t i = 0; i < fit.photos.size(); ++i) {
        for (int side = 0; side < 4; ++side) {
            std::vector<double> misses;
            for (const EdgePoint& edge : bundle.photos[i].edges) {
                if (edge.side == side) {
                    misses.push_back(
                        std::abs(beyond_side(fit, side, fit.photos[i].board(edge.at))));
                }
            }
            if (misses.size() >= 8) {
                std::nth_element(misses.begin(), misses.begin() + misses.size() / 2, misses.end());
                out.push_back(
                    {middles[side],
                     1.48 * misses[misses.size() / 2],
                     fmt::format("{} edge of {}", names[side], found.views[i].photo->file)});
            }
        }
    }
}

void add_misfits(const Found& found,
                 const Bundle& bundle,
                 const BundleFit& fit,
                 Registration& out) {
    const std::size_t named = bundle.same.size() - found.same.size();
    for (std::size_t i = 0; i < bundle.same.size(); ++i) {
        const SameSpot& s = bundle.same[i];
        const cv::Point2d a = fit.photos[s.a].board(s.a_px);
        const cv::Point2d b = fit.photos[s.b].board(s.b_px);
        // Parts and letters that were taken for a hole are let go of by the fit.
        if (i < named || (s.sigma_mm < joint_sigma_mm && cv::norm(a - b) < 1.0)) {
            out.misfits.push_back({point_of(0.5 * (a + b)), cv::norm(a - b), s.what});
        }
    }
    for (const KnownSpot& s : bundle.spots) {
        const cv::Point2d at = fit.photos[s.photo].board(s.px);
        out.misfits.push_back({point_of(s.mm),
                               cv::norm(at - s.mm),
                               fmt::format("given point of {}", found.views[s.photo].photo->file)});
    }
    out.matches = static_cast<int>(out.misfits.size());
    if (out.matches < 4) {
        add_side_misfits(found, bundle, fit, out.misfits);
    }
    std::stable_sort(out.misfits.begin(), out.misfits.end(), [](const Misfit& p, const Misfit& q) {
        return p.distance_mm > q.distance_mm;
    });
    double sum = 0.0;
    for (const Misfit& misfit : out.misfits) {
        sum += misfit.distance_mm * misfit.distance_mm;
        out.worst_mm = std::max(out.worst_mm, misfit.distance_mm);
    }
    out.residual_mm =
        out.misfits.empty() ? 0.0 : std::sqrt(sum / static_cast<double>(out.misfits.size()));
}

StraightSide straight_side(const SideView& view,
                           const FittedPhoto& fitted,
                           const BundleFit& fit,
                           const Raster& raster,
                           const Polygon& outline) {
    Warped warped = warp(view.photo->bgr, fitted, raster);
    StraightSide side;
    side.bgr = warped.bgr;
    std::vector<cv::Point> ring;
    for (const Point& p : outline.outer) {
        const cv::Point2d at = mm_to_raster(raster, {p.x_mm, p.y_mm});
        ring.emplace_back(cvFloor(at.x), cvFloor(at.y));
    }
    cv::Mat board = cv::Mat::zeros(warped.seen.size(), CV_8U);
    cv::fillPoly(board, std::vector<std::vector<cv::Point>>{ring}, 255);
    side.inside = warped.seen & board;
    side.fit = photo_fit(view, fitted, fit);
    return side;
}

bool is_good(const Found& found, const Registration& registration) {
    return !found.way_guessed && registration.residual_mm < good_residual_mm;
}

std::vector<Remark> remarks_on(const Found& found, const Registration& registration) {
    std::vector<Remark> remarks;
    if (!registration.scale_known) {
        remarks.push_back({"the scale is guessed: no length of the board is known",
                           "measure the board and write board.width, or a length between two "
                           "points of a photo"});
    }
    if (found.way_guessed) {
        remarks.push_back(
            {"what the photos show agrees neither way round: too little is seen on both sides, or "
             "they "
             "are of two boards; not good enough to join copper through holes",
             "give a point off the middle, such as a hole or the end of a lead, on both photos "
             "under "
             "the same name, or photograph both sides in softer light"});
    } else if (registration.residual_mm >= good_residual_mm) {
        const Misfit& worst = registration.misfits.front();
        remarks.push_back(
            {fmt::format(
                 "the photos miss each other by {:.2f} mm, at worst by {:.2f} mm at ({:.1f}, "
                 "{:.1f}): not good enough to join copper through holes",
                 registration.residual_mm,
                 registration.worst_mm,
                 worst.at.x_mm,
                 worst.at.y_mm),
             "photograph the board flat, from straight above and from further away, or correct the "
             "points"});
    }
    if (found.views.size() == 2 && !found.way_guessed && registration.matches < 4) {
        remarks.push_back(
            {"hardly a hole is seen on both sides: they are laid onto each other by their outlines",
             "give points on both photos under the same names, if copper seems to lie off"});
    }
    for (const SideView& view : found.views) {
        if (outline_doubtful(view)) {
            remarks.push_back(
                {fmt::format("a side of the board is hardly seen in {}: its outline may be wrong",
                             view.photo->file),
                 "photograph it from straight above on a plain ground of another colour, wires "
                 "bent "
                 "away, or give four points with x_mm and y_mm"});
        }
    }
    for (const PhotoFit& photo : registration.photos) {
        if (photo.px_per_mm < 12.0) {
            remarks.push_back(
                {fmt::format("{} has {:.0f} pixels per mm of the board; tracks of 0.2 mm need 12",
                             photo.file,
                             photo.px_per_mm),
                 "photograph it closer, so that the board fills the picture"});
        }
    }
    return remarks;
}

StraightBoard straight_board(const Found& found, const Bundle& bundle, const BundleFit& fit) {
    StraightBoard out;
    double finest = 20.0;
    for (const FittedPhoto& photo : fit.photos) {
        finest = std::max(finest, resolution(photo, fit));
    }
    out.raster = raster_for(fit, margin_mm, finest, 40.0, most_pixels);
    const Outline outline = find_outline(found.views, fit);
    out.outline = outline.polygon;
    out.holes = find_holes(found.views, fit, !found.way_guessed);
    out.holes.insert(out.holes.end(), outline.slots.begin(), outline.slots.end());
    for (std::size_t i = 0; i < found.views.size(); ++i) {
        StraightSide side =
            straight_side(found.views[i], fit.photos[i], fit, out.raster, *out.outline);
        out.registration.photos.push_back(side.fit);
        (found.views[i].side == Side::top ? out.top : out.bottom) = std::move(side);
    }
    out.registration.scale_known = found.scale.known;
    out.registration.scale_from = found.scale.from;
    add_misfits(found, bundle, fit, out.registration);
    out.registration.good = is_good(found, out.registration);
    out.remarks = remarks_on(found, out.registration);
    return out;
}

// Nothing that the person gave tells how wide the board is to its height.
bool ratio_is_open(const Found& found, const Bundle& bundle) {
    const BoardSize& size = found.scale.size;
    const std::size_t lengths =
        bundle.distances.size() + (size.width_known ? 1 : 0) + (size.height_known ? 1 : 0);
    return lengths < 2 && bundle.spots.size() < 3;
}

// The ratio of the sides was guessed from the corners of one photo; now that the lenses are known
// and both photos fit, it can be told better.
BundleFit with_true_ratio(const Found& found, const BundleFit& fit) {
    std::vector<FlatView> views;
    for (std::size_t i = 0; i < fit.photos.size(); ++i) {
        views.push_back({fit.photos[i].to_board, found.views[i].photo->bgr.size()});
    }
    const double factor = height_factor(views, fit.width_mm, fit.height_mm);
    if (!found.scale.size.height_known) {
        return stretched(fit, factor);
    }
    BundleFit out = stretched(fit, factor);  // the height is known: the width changes instead
    for (FittedPhoto& photo : out.photos) {
        photo.to_board = cv::Matx33d::diag({1.0 / factor, 1.0 / factor, 1.0}) * photo.to_board;
    }
    out.corner *= 1.0 / factor;
    out.width_mm /= factor;
    out.height_mm /= factor;
    return out;
}

// Four given places tie a photo by themselves: sides that are hardly seen then only mislead.
void trust_points_over_doubtful_sides(SideView& view) {
    if (known_spots(view, 0).size() >= 4) {
        std::erase_if(view.board.edges,
                      [&](const EdgePoint& edge) { return view.board.support[edge.side] < 0.7; });
    }
}

bool all_found(const Found& found) {
    return std::all_of(found.views.begin(), found.views.end(), [](const SideView& view) {
        return view.board.found;
    });
}

// Scale, and which way round each photo lies. True: both show the same side.
bool lay(Found& found) {
    SideView& first = found.views.front();
    found.way_guessed = false;
    found.same.clear();
    for (SideView& view : found.views) {
        trust_points_over_doubtful_sides(view);
    }
    first.quarter = quarter_of_first(first, found.board);
    const double aspect = turned_aspect(aspect_seen(first), first.quarter);
    found.scale = find_scale(found.board, aspect, {first});
    find_view_spots(first, fit_alone(first, first.quarter, found.scale.size));
    if (found.views.size() == 2) {
        const std::vector<int> quarters = likely_quarters(found);
        if (is_same_side(found, quarters)) {
            return true;
        }
        match_second(found, quarters);
    }
    return false;
}

double ratios_apart(const Found& found) {
    const auto ratio = [](const SideView& view) {
        return turned_aspect(aspect_seen(view), view.quarter);
    };
    return apart(ratio(found.views[1]), ratio(found.views[0]));
}

// The view whose outline is not sure while the other's is; -1: none such.
int doubtful_view(const Found& found) {
    const bool sure[2] = {found.views[0].board.sure(), found.views[1].board.sure()};
    return sure[0] == sure[1] ? -1 : (sure[0] ? 1 : 0);
}

// So many ties, so far around, that they lay a photo by themselves.
bool hold_alone(const std::vector<SameSpot>& ties, const BundleFit& fit) {
    constexpr std::size_t enough = 5;
    constexpr double part = 0.4;  // of the board: from the first to the third of its pieces
    std::vector<cv::Point2f> at;
    for (const SameSpot& tie : ties) {
        at.emplace_back(fit.photos[0].board(tie.a_px));
    }
    if (at.size() < enough) {
        return false;
    }
    const cv::Rect2f box = cv::boundingRect(at);
    return box.width > part * fit.width_mm && box.height > part * fit.height_mm;
}

// Lays the faces onto each other by what both show, round by round while that moves them far. An
// outline that is not sure is let go of where the other is sure and enough ties the faces.
void tie_faces(Found& found, Bundle& bundle, BundleFit& fit) {
    const std::size_t of_bundle = bundle.same.size();
    const std::size_t of_found = found.same.size();
    const int doubtful = doubtful_view(found);
    const int rounds = doubtful < 0 ? 3 : 6;
    double miss = 1.0;
    for (int round = 0; round < rounds && miss > 0.25; ++round) {
        const std::vector<SameSpot> ties = face_ties(found.views, fit);
        bundle.same.resize(of_bundle);
        found.same.resize(of_found);
        if (doubtful >= 0 && hold_alone(ties, fit)) {
            bundle.photos[doubtful].edges.clear();
        }
        bundle.same.insert(bundle.same.end(), ties.begin(), ties.end());
        found.same.insert(found.same.end(), ties.begin(), ties.end());
        miss = 0.0;
        for (const SameSpot& tie : ties) {
            miss = std::max(
                miss, cv::norm(fit.photos[0].board(tie.a_px) - fit.photos[1].board(tie.b_px)));
        }
        if (miss > 0.02) {
            fit = adjust(bundle, fit, std::max(0.15, miss));
        }
    }
}

// Where the sides of the board come to lie in a photo.
std::array<cv::Point2d, 4> corners_in(const SideView& view,
                                      const FittedPhoto& photo,
                                      const BundleFit& fit) {
    const cv::Point2d across(fit.width_mm, 0.0);
    const cv::Point2d down(0.0, fit.height_mm);
    const std::array<cv::Point2d, 4> on_board = {
        fit.corner, fit.corner + across, fit.corner + across + down, fit.corner + down};
    std::array<cv::Point2d, 4> corners;
    for (int i = 0; i < 4; ++i) {
        corners[corner_of(view, i, view.quarter)] = photo.pixel(on_board[i]);
    }
    return corners;
}

// An outline that was let go of is looked for where the other one says that it is.
void measure_again(Found& found, Bundle& bundle, BundleFit& fit) {
    const int doubtful = doubtful_view(found);
    if (doubtful < 0 || !bundle.photos[doubtful].edges.empty()) {
        return;
    }
    SideView& view = found.views[doubtful];
    measure_sides(view.photo->bgr, corners_in(view, fit.photos[doubtful], fit), view.board);
    bundle.photos[doubtful] = bundle_photo(view, view.quarter);
    fit = adjust(bundle, fit, 0.15);
}

BundleFit fitted(Found& found, Bundle& bundle) {
    bundle = bundle_of(found);
    bundle.same.insert(bundle.same.end(), found.same.begin(), found.same.end());
    BundleFit fit = adjust(bundle, 1.5);
    if (found.views.size() == 2 && !found.way_guessed) {
        tie_faces(found, bundle, fit);
        measure_again(found, bundle, fit);
    }
    return fit;
}

}  // namespace

base::Result<StraightBoard> straighten(const std::optional<Photo>& top,
                                       const std::optional<Photo>& bottom,
                                       const dossier::Dossier& dossier) {
    Found found;
    found.board = dossier.board;
    if (top) {
        found.views.push_back(view_of(*top, Side::top, dossier));
    }
    if (bottom) {
        found.views.push_back(view_of(*bottom, Side::bottom, dossier));
    }
    const bool two = found.views.size() == 2;
    if (!all_found(found) && !(two && find_outlines_that_agree(found))) {
        return not_found(found);
    }
    bool same = lay(found);
    if (two && found.way_guessed && !same && find_outlines_that_agree(found)) {
        same = lay(found);
    }
    if (same) {
        return same_side(found);
    }
    if (two && found.way_guessed && ratios_apart(found) > 0.12 && !outlines_doubtful(found)) {
        return two_boards(found);
    }
    Bundle bundle;
    BundleFit fit = fitted(found, bundle);
    constexpr std::size_t hardly_tied = 3;
    if (two && !found.way_guessed && bundle.same.size() < hardly_tied) {
        if (match_by_plain_holes(found, {found.views[1].quarter})) {
            fit = fitted(found, bundle);
        } else {
            // Weak evidence that no place of the board bears out may be chance.
            constexpr double weak = 4.5;
            found.way_guessed = found.evidence < weak;
        }
    }
    if (ratio_is_open(found, bundle)) {
        fit = with_true_ratio(found, fit);
    }
    return straight_board(found, bundle, fit);
}

}  // namespace etchback::copper::eye
