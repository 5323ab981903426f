#include <algorithm>
#include <array>
#include <cmath>
#include <optional>

#include "base/side_by_side.h"
#include "drawing/detail/finish.h"
#include "drawing/detail/label_room.h"
#include "drawing/detail/place_anneal.h"
#include "drawing/detail/route_nets.h"
#include "drawing/drawing.h"

namespace etchback::drawing {

namespace {

using namespace detail;

struct Layout {
    Model model;
    Placement placement;
    Routing routing;
    double price = 1e18;
};

bool cheaper(const Layout& a, const Layout& b) {
    return a.price < b.price;
}

// Extent, and what is odd about how the parts stand.
double look_price(const Model& model, const Placement& placement) {
    Box all{1e9, 1e9, -1e9, -1e9};
    double taste = 0.0;
    double disorder = 0.0;
    for (std::size_t i = 0; i < model.parts.size(); ++i) {
        const Variant& v = model.parts[i].variants[static_cast<std::size_t>(placement.variant[i])];
        taste += v.taste;
        all = joined(all,
                     moved(v.bounds,
                           {static_cast<double>(placement.at[i].x),
                            static_cast<double>(placement.at[i].y)}));
    }
    for (int a = 0; a < static_cast<int>(model.parts.size()); ++a) {
        for (int b = 0; model.parts[static_cast<std::size_t>(a)].rim != 0 &&
                        b < static_cast<int>(model.parts.size());
             ++b) {
            disorder += out_of_order(model, placement, a, b) > 0.0 ? 30.0 : 0.0;
        }
    }
    return disorder + 2.0 * shape_price(model, placement, Prices{}) + (all.right - all.left) +
           1.4 * (all.bottom - all.top) + 2.0 * taste;
}

constexpr std::array manners{Manner::rails, Manner::returns, Manner::signs};

struct Job {
    const circuit::Circuit& circuit;
    const circuit::Domains& domains;
    const Options& options;
    std::array<Model, manners.size()> models;  // by manner
    bool plain = false;                        // without lines, rails and symmetries

    const Model& model(Manner manner = Manner::rails) const {
        return models[static_cast<std::size_t>(manner)];
    }
};

// For circuits so dense that wishes stand in each other's way.
void make_plain(Model& model) {
    model.links.clear();
    model.symmetries.clear();
    model.joinings.clear();
    model.repeats.clear();
    for (ModelNet& net : model.nets) {
        net.rail = Rail::none;
    }
}

double price_of(const Layout& one) {
    return one.routing.price() + look_price(one.model, one.placement);
}

Effort effort_of(const Job& job, int seed, double room) {
    const int parts = static_cast<int>(job.model().parts.size());
    return {static_cast<std::uint64_t>(seed), std::min(11000, 1200 + 110 * parts), room};
}

Manner manner_of(int seed) {
    return manners[static_cast<std::size_t>(seed) % manners.size()];
}

// The first of two placements, with pins of chips and connectors in the order of potentials.
Placed rough_place(const Job& job, int seed, double room, Manner manner) {
    Model model = job.model(manner);
    if (job.plain) {
        make_plain(model);
    }
    Effort effort = effort_of(job, seed, room);
    effort.moves /= 2;
    return place(model, effort);
}

// The second, for which the pins are put in the order in which their neighbours stand; wired.
Layout finish_place(const Job& job, int seed, double room, Manner manner, const Placement& first) {
    const Model& before = job.model(manner);
    Layout one;
    one.model = model_of(
        job.circuit, job.domains, job.options, manner, heights_seen(before, first), &before);
    if (job.plain) {
        make_plain(one.model);
    }
    one.placement = place(one.model, effort_of(job, seed, room), &first).placement;
    one.routing = route(one.model, one.placement, Care::quick);
    one.price = price_of(one);
    return one;
}

Layout attempt(const Job& job, int seed, double room, Manner manner) {
    return finish_place(job, seed, room, manner, rough_place(job, seed, room, manner).placement);
}

// How many placements are tried, how many of them are refined a little (the best two of those are
// refined further), and how often all that is done at most while wires cross.
struct Trials {
    int tries;
    int kept;
    int batches;
};

Trials trials_for(int parts) {
    return parts <= 16   ? Trials{32, 8, 3}
           : parts <= 24 ? Trials{24, 8, 2}
           : parts <= 34 ? Trials{12, 6, 2}
           : parts <= 50 ? Trials{8, 4, 1}
                         : Trials{4, 2, 1};
}

struct Rough {
    int seed = 0;
    Placed placed;
};

// The best of each manner, as many as asked for.
std::vector<Rough> promising(std::vector<Rough> all, std::size_t most) {
    std::stable_sort(all.begin(), all.end(), [](const Rough& a, const Rough& b) {
        return a.placed.price < b.placed.price;
    });
    std::array<int, manners.size()> seen{};
    std::vector<std::pair<int, std::size_t>> ranked;  // within its manner
    for (std::size_t i = 0; i < all.size(); ++i) {
        ranked.emplace_back(seen[static_cast<std::size_t>(manner_of(all[i].seed))]++, i);
    }
    std::sort(ranked.begin(), ranked.end());
    std::vector<Rough> best;
    for (std::size_t k = 0; k < std::min(most, ranked.size()); ++k) {
        best.push_back(std::move(all[ranked[k].second]));
    }
    return best;
}

// The best few of several tries; of equal ones the first. Half of the tries are given up early.
std::vector<Layout> best_of(const Job& job, int first_seed, const Trials& trials) {
    std::vector<Rough> rough(static_cast<std::size_t>(trials.tries));
    base::side_by_side(rough.size(), [&](std::size_t i) {
        const int seed = first_seed + static_cast<int>(i);
        rough[i] = {seed, rough_place(job, seed, 0.0, manner_of(seed))};
    });
    rough = promising(std::move(rough), (rough.size() + 1) / 2);
    std::vector<Layout> all(rough.size());
    base::side_by_side(all.size(), [&](std::size_t i) {
        const auto& [seed, placed] = rough[i];
        all[i] = finish_place(job, seed, 0.0, manner_of(seed), placed.placement);
    });
    std::stable_sort(all.begin(), all.end(), cheaper);
    all.resize(std::min(all.size(), static_cast<std::size_t>(trials.kept)));
    return all;
}

Layout refined(const Layout& rough, Care care) {
    Layout fine = rough;
    fine.routing = route(fine.model, fine.placement, care);
    fine.price = price_of(fine);
    return fine.price < rough.price ? fine : rough;
}

// Where there was too little room to wire everything, there is more.
void make_room(const Job& job, Layout& best) {
    const int fair_flags = 2 + static_cast<int>(job.model().nets.size()) / 8;
    for (const double room : {0.5, 1.0, 2.0, 4.0, 8.0}) {
        if (best.routing.complete && (best.routing.flags <= fair_flags || room > 0.5)) {
            break;
        }
        Layout wider = attempt(job, 1, room, Manner::rails);
        if (wider.price < best.price) {
            best = std::move(wider);
        }
    }
    Job plain = job;
    plain.plain = true;
    for (const double room : {0.0, 1.0, 4.0, 8.0}) {
        if (best.routing.complete) {
            break;
        }
        Layout other = attempt(plain, 1, room, Manner::rails);
        if (other.price < best.price) {
            best = std::move(other);
        }
    }
}

Layout lay_out_once(const Job& job, int first_seed, const Trials& trials) {
    std::vector<Layout> rough = best_of(job, first_seed, trials);
    make_room(job, rough.front());
    for (const auto& [care, kept] : {std::pair{Care::brief, trials.kept}, {Care::full, 2}}) {
        rough.resize(std::min(rough.size(), static_cast<std::size_t>(kept)));
        base::side_by_side(rough.size(),
                           [&](std::size_t i) { rough[i] = refined(rough[i], care); });
        std::stable_sort(rough.begin(), rough.end(), cheaper);
    }
    return std::move(rough.front());
}

// Where few wires cross, other starts may do without.
Layout lay_out(const Job& job) {
    const Trials trials = trials_for(static_cast<int>(job.model().parts.size()));
    Layout best = lay_out_once(job, 1, trials);
    constexpr int few = 3;
    for (int batch = 1; batch < trials.batches; ++batch) {
        if (best.routing.crossings == 0 || best.routing.crossings > few) {
            break;
        }
        Layout other = lay_out_once(job, 1 + batch * trials.tries, trials);
        if (cheaper(other, best)) {
            best = std::move(other);
        }
    }
    return best;
}

// The variant of a part that stands as asked; the most natural one if there is none.
int variant_as(const ModelPart& part, const std::optional<Orientation>& turned) {
    for (std::size_t i = 0; turned && i < part.variants.size(); ++i) {
        if (part.variants[i].orientation == *turned) {
            return static_cast<int>(i);
        }
    }
    return 0;
}

// Each isolation line in the middle between what stands on its sides.
void set_lines(const Model& model, Placement& placement) {
    placement.lines.assign(static_cast<std::size_t>(std::max(0, model.zones - 1)), 0.0);
    for (std::size_t line = 0; line < placement.lines.size(); ++line) {
        double left = -1e9, right = 1e9;
        for (std::size_t i = 0; i < model.parts.size(); ++i) {
            const ModelPart& part = model.parts[i];
            const Variant& v = part.variants[static_cast<std::size_t>(placement.variant[i])];
            if (part.astride == static_cast<int>(line)) {
                left = right = placement.at[i].x + (v.body.left + v.body.right) / 2.0;
                break;
            }
            if (part.astride >= 0) {
                continue;
            }
            if (part.zone <= static_cast<int>(line)) {
                left = std::max(left, placement.at[i].x + v.bounds.right);
            } else {
                right = std::min(right, placement.at[i].x + v.bounds.left);
            }
        }
        placement.lines[line] = std::round(left < -1e8   ? right
                                           : right > 1e8 ? left
                                                         : (left + right) / 2.0);
    }
}

// What was in an earlier drawing stands as it stood, what is new in the midst of what it is wired
// to; nothing if too little of it is left.
std::optional<Layout> as_before(const Job& job, Manner manner) {
    const std::vector<Stand>& before = job.options.nudges.before;
    Layout one;
    one.model = job.model(manner);
    const auto count = one.model.parts.size();
    one.placement.at.assign(count, {});
    one.placement.variant.assign(count, 0);
    std::vector<char> known(count, 0);
    std::size_t found = 0;
    for (const Stand& stand : before) {
        const auto part = job.circuit.part(stand.part);
        if (!part || !stand.at) {
            continue;
        }
        const auto i = static_cast<std::size_t>(part->index);
        one.placement.at[i] = {static_cast<int>(std::lround(stand.at->x)),
                               static_cast<int>(std::lround(stand.at->y))};
        one.placement.variant[i] = variant_as(one.model.parts[i], stand.turned);
        found += !known[i];
        known[i] = 1;
    }
    if (2 * found < count) {
        return std::nullopt;
    }
    for (std::size_t i = 0; i < count; ++i) {
        if (!known[i]) {
            one.placement.at[i] = place_for(one.model, one.placement, known, i);
        }
    }
    one.model = model_of(
        job.circuit, job.domains, job.options, manner, heights_seen(one.model, one.placement));
    for (const Stand& stand : before) {
        if (const auto part = job.circuit.part(stand.part)) {
            const auto i = static_cast<std::size_t>(part->index);
            one.placement.variant[i] = variant_as(one.model.parts[i], stand.turned);
        }
    }
    for (std::size_t i = 0; i < count; ++i) {
        if (one.model.parts[i].fixed) {
            one.placement.at[i] = one.model.parts[i].at;
        }
    }
    pull_neighbours(one.model, one.placement);
    pull_ties(one.model, one.placement);
    set_lines(one.model, one.placement);
    return one;
}

// From an earlier drawing: what was there stays, what is new finds its place. Which manner of
// returns and supplies the earlier one had shows in how well its places suit it.
std::optional<Layout> follow(const Job& job) {
    std::optional<Layout> best;
    for (const Manner manner : manners) {
        std::optional<Layout> one = as_before(job, manner);
        if (!one) {
            return std::nullopt;
        }
        Placement placement = one->placement;
        one->price = route(one->model, placement, Care::quick).price();
        if (!best || one->price < best->price) {
            best = std::move(one);
        }
    }
    Effort effort{1, 60 * static_cast<int>(best->model.parts.size()), 0.0};
    effort.cool = true;
    best->placement = place(best->model, effort, &best->placement).placement;
    best->routing = route(best->model, best->placement, Care::tidy);
    best->price = price_of(*best);
    return best->routing.complete ? std::move(best) : std::nullopt;
}

}  // namespace

Drawing draw(const circuit::Circuit& circuit,
             const circuit::Domains& domains,
             const Options& options) {
    Job job{circuit, domains, options, {}};
    for (const Manner manner : manners) {
        job.models[static_cast<std::size_t>(manner)] = model_of(circuit, domains, options, manner);
    }
    std::optional<Layout> followed;
    if (!options.nudges.before.empty()) {
        followed = follow(job);
    }
    const Layout layout = followed ? std::move(*followed) : lay_out(job);
    return detail::finished(
        circuit, domains, options, layout.model, layout.placement, layout.routing);
}

std::vector<Stand> stands_of(const Drawing& drawing, const circuit::Circuit& circuit) {
    std::vector<Stand> stands;
    for (const PlacedPart& placed : drawing.parts) {
        const Point at{placed.at.x - drawing.origin.x, placed.at.y - drawing.origin.y};
        stands.push_back({circuit[placed.part].name, at, placed.orientation});
    }
    return stands;
}

}  // namespace etchback::drawing
