#include "copper/eye/detail/which_way.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "copper/eye/detail/face_agreement.h"
#include "copper/eye/detail/given_places.h"
#include "copper/eye/detail/match_in_place.h"
#include "copper/eye/detail/match_sides.h"

namespace etchback::copper::eye::detail {
namespace {

// Two sides that lie right but for which way round: clear, when one way stands out.
constexpr double sure_evidence = 3.5;
constexpr double sure_lead = 1.5;

constexpr double by_the_person = 100.0;

SameSpot same_spot(const SideSpot& a, const SideSpot& b, double sigma_mm) {
    return {0, a.px, 1, b.px, sigma_mm};
}

// Which way round the second photo lies, as the outlines lie: by all that both faces show, and by
// holes and joints.
bool match_by_outlines(Found& found, const std::vector<int>& quarters) {
    SideView& a = found.views[0];
    SideView& b = found.views[1];
    const BoardSize& size = found.scale.size;
    const double aspect = size.width_mm / size.height_mm;
    const auto spots_a = hole_and_joint_spots(a, fit_alone(a, a.quarter, size));
    const Face face_a = face_of(a, a.quarter, aspect);
    double most = -1.0;
    double second = -1.0;
    for (const int quarter : quarters) {
        const auto spots_b = hole_and_joint_spots(b, fit_alone(b, quarter, size));
        const MatchInPlace match =
            match_in_place(spots_a, spots_b, {size.width_mm, size.height_mm});
        const double evidence = std::hypot(agreement(face_a, face_of(b, quarter, aspect)),
                                           0.5 * std::max(0.0, match.evidence));
        if (evidence > most) {
            second = most;
            most = evidence;
            b.quarter = quarter;
            found.same.clear();
            for (const PairInPlace& pair : match.pairs) {
                found.same.push_back(same_spot(spots_a[pair.a], spots_b[pair.b], pair.sigma_mm));
            }
        } else {
            second = std::max(second, evidence);
        }
    }
    found.evidence = most;
    return most > sure_evidence && most > second + sure_lead;
}

// Parts stand out over an edge of the board, but nothing stands in from it: where two outlines that
// are laid together by their holes miss each other, the outer one is no edge. Such points go.
void drop_outer_edges(Found& found, const cv::Matx33d& b_to_a) {
    constexpr double apart_mm = 0.35;
    const double w = found.scale.size.width_mm;
    const double h = found.scale.size.height_mm;
    const std::array<cv::Point2d, 4> middles = {
        cv::Point2d(0.5 * w, 0.0), {w, 0.5 * h}, {0.5 * w, h}, {0.0, 0.5 * h}};
    const std::array<cv::Point2d, 4> outward = {cv::Point2d(0, -1), {1, 0}, {0, 1}, {-1, 0}};
    for (int i = 0; i < 4; ++i) {
        const double b_beyond = (through(b_to_a, middles[i]) - middles[i]).dot(outward[i]);
        if (std::abs(b_beyond) < apart_mm) {
            continue;
        }
        SideView& outer = found.views[b_beyond > 0.0 ? 1 : 0];
        const int side = side_of(outer, i, outer.quarter);
        std::erase_if(outer.board.edges, [&](const EdgePoint& edge) { return edge.side == side; });
    }
}

// The same where an outline was misled: the sides are searched for a common position. `spots_of`
// picks the spots; `least_margin`: so many more pairs than by chance.
template <typename SpotsOf>
bool match_by_search(Found& found,
                     const std::vector<int>& quarters,
                     SpotsOf spots_of,
                     double least_margin) {
    SideView& a = found.views[0];
    SideView& b = found.views[1];
    const BoardSize& size = found.scale.size;
    const double window_mm = std::max(2.5, 0.06 * std::max(size.width_mm, size.height_mm));
    const std::vector<SideSpot> spots_a = spots_of(a, fit_alone(a, a.quarter, size));
    bool sure = false;
    double margin = least_margin;
    cv::Matx33d b_to_a;
    for (const int quarter : quarters) {
        const std::vector<SideSpot> spots_b = spots_of(b, fit_alone(b, quarter, size));
        const SideMatch match =
            match_sides(spots_a, spots_b, {size.width_mm, size.height_mm}, window_mm, 0.15);
        if (match.sure() && match.margin() > margin) {
            sure = true;
            margin = match.margin();
            b.quarter = quarter;
            b_to_a = match.b_to_a;
            found.same.clear();
            for (const auto& [i, j] : match.pairs) {
                found.same.push_back(same_spot(spots_a[i], spots_b[j], 0.08));
            }
        }
    }
    if (sure) {
        found.evidence = margin;
        drop_outer_edges(found, b_to_a);
    }
    return sure;
}

// Which way round the points lie together that the person named on both photos. False: there are
// none, or they lie so near the middle that they do not tell.
bool match_by_names(Found& found, const std::vector<int>& quarters) {
    SideView& b = found.views[1];
    const BoardSize& size = found.scale.size;
    double least = std::numeric_limits<double>::max();
    double second = least;
    int best = b.quarter;
    for (const int quarter : quarters) {
        b.quarter = quarter;
        Bundle bundle;
        bundle.width_mm = size.width_mm;
        bundle.height_mm = size.height_mm;
        for (const SideView& view : found.views) {
            bundle.photos.push_back(bundle_photo(view, view.quarter));
        }
        add_points(found.views, found.board, bundle);
        if (bundle.same.empty()) {
            return false;
        }
        const BundleFit fit = first_fit(bundle);
        double miss = 0.0;
        for (const SameSpot& s : bundle.same) {
            miss += cv::norm(fit.photos[0].board(s.a_px) - fit.photos[1].board(s.b_px)) /
                    static_cast<double>(bundle.same.size());
        }
        second = miss < least ? least : std::min(second, miss);
        best = miss < least ? quarter : best;
        least = std::min(least, miss);
    }
    b.quarter = best;
    return second > 3.0 * least + 0.02 * (size.width_mm + size.height_mm);
}

}  // namespace

double apart(double a, double b) {
    return std::abs(std::log(a / b));
}

double turned_aspect(double aspect, int quarter) {
    return quarter % 2 == 0 ? aspect : 1.0 / aspect;
}

bool outline_doubtful(const SideView& view) {
    const auto& support = view.board.support;
    return *std::min_element(support.begin(), support.end()) < 0.7;
}

bool outlines_doubtful(const Found& found) {
    return std::any_of(found.views.begin(), found.views.end(), outline_doubtful);
}

std::vector<int> likely_quarters(const Found& found) {
    const double width_to_height = found.scale.size.width_mm / found.scale.size.height_mm;
    const double aspect = aspect_seen(found.views[1]);
    const double upright = apart(aspect, width_to_height);
    const double turned = apart(1.0 / aspect, width_to_height);
    std::vector<int> quarters;
    if (upright < turned + 0.15) {
        quarters.insert(quarters.end(), {0, 2});
    }
    if (turned < upright + 0.15) {
        quarters.insert(quarters.end(), {1, 3});
    }
    return quarters;
}

bool match_by_plain_holes(Found& found, const std::vector<int>& quarters) {
    return match_by_search(found, quarters, plain_hole_spots, 4.5);
}

void match_second(Found& found, const std::vector<int>& quarters) {
    SideView& b = found.views[1];
    find_view_spots(b, fit_alone(b, quarters.front(), found.scale.size));
    if (const auto given = turn_by_places(b); given && given->clear) {
        b.quarter = given->quarter;
        match_by_outlines(found, {b.quarter});
        found.evidence = by_the_person;
        return;
    }
    if (match_by_names(found, quarters)) {
        match_by_outlines(found, {b.quarter});
        found.evidence = by_the_person;
        return;
    }
    if (match_by_outlines(found, quarters)) {
        return;
    }
    const int likeliest = b.quarter;
    if (match_by_plain_holes(found, quarters) ||
        (outlines_doubtful(found) && match_by_search(found, quarters, hole_spots, 0.0))) {
        return;
    }
    b.quarter = likeliest;
    found.same.clear();
    found.way_guessed = true;
}

namespace {

constexpr std::size_t most_outlines = 8;
constexpr double sure_of_outlines = 6.0;  // many are tried
constexpr double ratio_slack = 0.05;

// A view with one outline that it may have.
struct Candidate {
    SideView view;
    double aspect = 1.0;
};

std::vector<Candidate> outlines_of(const SideView& view, bool sure_alone) {
    std::vector<FoundBoard> boards;
    if (view.board.found) {
        boards.push_back(view.board);
    }
    if (!sure_alone || !view.board.sure()) {
        for (FoundBoard& other : other_boards(view.photo->bgr, most_outlines)) {
            boards.push_back(std::move(other));
        }
    }
    std::vector<Candidate> out;
    for (FoundBoard& board : boards) {
        Candidate one{view, 1.0};
        one.view.board = std::move(board);
        one.aspect = aspect_seen(one.view);
        out.push_back(std::move(one));
    }
    return out;
}

// `sure_alone`: an outline that is sure is not doubted.
bool find_outlines(Found& found, bool sure_alone) {
    const std::vector<Candidate> of_a = outlines_of(found.views[0], sure_alone);
    const std::vector<Candidate> of_b = outlines_of(found.views[1], sure_alone);
    const Candidate* best_a = nullptr;
    const Candidate* best_b = nullptr;
    double most = sure_of_outlines;
    for (const Candidate& a : of_a) {
        const Face face_a = face_of(a.view, 0, a.aspect);
        for (const Candidate& b : of_b) {
            for (const int quarter : {0, 1, 2, 3}) {
                if (apart(turned_aspect(b.aspect, quarter), a.aspect) > ratio_slack) {
                    continue;
                }
                const double agrees = agreement(face_a, face_of(b.view, quarter, a.aspect));
                if (agrees > most) {
                    most = agrees;
                    best_a = &a;
                    best_b = &b;
                }
            }
        }
    }
    if (best_a == nullptr) {
        return false;
    }
    found.views[0].board = best_a->view.board;
    found.views[1].board = best_b->view.board;
    return true;
}

}  // namespace

// The shadow of a board has straight edges, too, and lies alike beside both faces.
bool find_outlines_that_agree(Found& found) {
    const bool one_is_sure = found.views[0].board.sure() || found.views[1].board.sure();
    return (one_is_sure && find_outlines(found, true)) || find_outlines(found, false);
}

}  // namespace etchback::copper::eye::detail
