#include <algorithm>
#include <array>
#include <cmath>
#include <optional>

#include "drawing/detail/label_nets.h"
#include "drawing/detail/label_room.h"
#include "drawing/detail/place_anneal.h"
#include "drawing/detail/route_nets.h"
#include "drawing/drawing.h"

namespace etchback::drawing {

namespace {

using namespace detail;

constexpr double margin = 2.0;
constexpr double heading = 3.0;  // above the drawing, for the names of the domains

struct Layout {
    Model model;
    Placement placement;
    Routing routing;
    double price = 1e18;
};

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
    for (ModelNet& net : model.nets) {
        net.rail = Rail::none;
    }
}

double price_of(const Layout& one) {
    return one.routing.price() + look_price(one.model, one.placement);
}

// Places twice: once the neighbours stand, the pins of chips and connectors can be put in order.
Layout attempt(const Job& job, int seed, double room, Manner manner) {
    const int parts = static_cast<int>(job.model().parts.size());
    Effort effort{static_cast<std::uint64_t>(seed), std::min(11000, 1200 + 110 * parts), room};
    Model rough = job.model(manner);
    if (job.plain) {
        make_plain(rough);
    }
    Effort first_effort = effort;
    first_effort.moves /= 2;
    const Placement first = place(rough, first_effort);
    Layout one;
    one.model = model_of(job.circuit, job.domains, job.options, manner, heights_seen(rough, first));
    if (job.plain) {
        make_plain(one.model);
    }
    one.placement = place(one.model, effort, &first);
    one.routing = route(one.model, one.placement, Care::quick);
    one.price = price_of(one);
    return one;
}

// The best few of several tries.
std::vector<Layout> best_of(const Job& job, int tries, int kept) {
    std::vector<Layout> all;
    for (int seed = 1; seed <= tries; ++seed) {
        const Manner manner = manners[static_cast<std::size_t>(seed) % manners.size()];
        all.push_back(attempt(job, seed, 0.0, manner));
        std::stable_sort(all.begin(), all.end(), [](const Layout& a, const Layout& b) {
            return a.price < b.price;
        });
        if (static_cast<int>(all.size()) > kept) {
            all.pop_back();
        }
    }
    return all;
}

Layout refined(const Layout& rough) {
    Layout fine = rough;
    fine.routing = route(fine.model, fine.placement, Care::full);
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

// Several tries where they are cheap; the best of them are refined.
Layout lay_out(const Job& job) {
    const auto parts = job.model().parts.size();
    const int tries = parts <= 16 ? 16 : parts <= 24 ? 12 : parts <= 34 ? 6 : parts <= 50 ? 4 : 2;
    const int kept = parts <= 24 ? 2 : 1;
    std::vector<Layout> rough = best_of(job, tries, kept);
    make_room(job, rough.front());
    Layout best;
    for (const Layout& one : rough) {
        Layout fine = refined(one);
        if (fine.price < best.price) {
            best = std::move(fine);
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

// In the middle of the parts that it is wired to and that have a place.
Step place_for(const Model& model,
               const Placement& placement,
               const std::vector<char>& known,
               std::size_t part) {
    double x = 0.0, y = 0.0;
    int count = 0;
    for (const int net : model.parts[part].nets) {
        const ModelNet& n = model.nets[static_cast<std::size_t>(net)];
        for (const PinOf& pin : n.pins) {
            const auto other = static_cast<std::size_t>(pin.part);
            if (known[other] && n.pins.size() < 8) {
                x += placement.at[other].x;
                y += placement.at[other].y;
                ++count;
            }
        }
    }
    return count == 0 ? Step{0, 0}
                      : Step{static_cast<int>(std::lround(x / count)),
                             static_cast<int>(std::lround(y / count))};
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
    best->placement = place(best->model, effort, &best->placement);
    best->routing = route(best->model, best->placement, Care::tidy);
    best->price = price_of(*best);
    return best->routing.complete ? std::move(best) : std::nullopt;
}

void add_parts(const Model& model, const Placement& placement, Drawing& drawing) {
    for (std::size_t i = 0; i < model.parts.size(); ++i) {
        const Variant& v = model.parts[i].variants[static_cast<std::size_t>(placement.variant[i])];
        const Point at{static_cast<double>(placement.at[i].x),
                       static_cast<double>(placement.at[i].y)};
        drawing.parts.push_back(
            {circuit::PartId{static_cast<int>(i)}, at, v.orientation, v.symbol});
        for (const LabelRoom& room : v.labels) {
            drawing.labels.push_back(label_of(room, static_cast<int>(i), at));
        }
    }
}

void add_wires(const Routing& routing, Drawing& drawing) {
    for (std::size_t i = 0; i < routing.nets.size(); ++i) {
        const RoutedNet& net = routing.nets[i];
        drawing.signs.insert(drawing.signs.end(), net.signs.begin(), net.signs.end());
        drawing.wires.push_back({circuit::NetId{static_cast<int>(i)}, net.segments, net.dots});
    }
}

Box extent_of(const Drawing& drawing) {
    Box all{1e9, 1e9, -1e9, -1e9};
    for (const PlacedPart& part : drawing.parts) {
        all = joined(all, moved(part.symbol.box, part.at));
    }
    for (const Label& label : drawing.labels) {
        all = joined(all, label.box);
    }
    for (const NetSign& sign : drawing.signs) {
        all = joined(all, sign.box);
    }
    for (const Wire& wire : drawing.wires) {
        for (const Segment& s : wire.segments) {
            all = joined(all,
                         {std::min(s.a.x, s.b.x),
                          std::min(s.a.y, s.b.y),
                          std::max(s.a.x, s.b.x),
                          std::max(s.a.y, s.b.y)});
        }
    }
    return drawing.parts.empty() ? Box{0, 0, 0, 0} : all;
}

void shift(Drawing& drawing, Point by) {
    const auto move = [&](Point& p) {
        p.x += by.x;
        p.y += by.y;
    };
    for (PlacedPart& part : drawing.parts) {
        move(part.at);
    }
    for (Wire& wire : drawing.wires) {
        for (Segment& s : wire.segments) {
            move(s.a);
            move(s.b);
        }
        for (Point& dot : wire.dots) {
            move(dot);
        }
    }
    for (NetSign& sign : drawing.signs) {
        move(sign.at);
        sign.box = moved(sign.box, by);
    }
    for (Label& label : drawing.labels) {
        move(label.at);
        label.box = moved(label.box, by);
    }
}

// The name of the zone's greatest domain.
std::string name_of_zone(const circuit::Domains& domains, const Zones& zones, int zone) {
    const circuit::Domain* best = nullptr;
    for (std::size_t i = 0; i < domains.domains.size(); ++i) {
        const circuit::Domain& domain = domains.domains[i];
        if (zones.of_domain[i] == zone &&
            (best == nullptr || domain.nets.size() > best->nets.size())) {
            best = &domain;
        }
    }
    return best == nullptr ? std::string() : best->name;
}

void add_zone_name(Drawing& drawing, const std::string& name, Point at, Word::Anchor anchor) {
    if (!name.empty()) {
        drawing.labels.push_back({Label::Of::domain_name,
                                  -1,
                                  name,
                                  at,
                                  anchor,
                                  label_size,
                                  text_box(name, at, anchor, label_size)});
    }
}

void add_isolation(const circuit::Domains& domains,
                   const Zones& zones,
                   const std::vector<double>& lines,
                   Point by,
                   Drawing& drawing) {
    for (std::size_t i = 0; i < lines.size(); ++i) {
        const double x = lines[i] + by.x;
        drawing.isolation.push_back({{{x, margin}, {x, drawing.height - margin}}, "isolation"});
        const double baseline = margin + text_ascent * label_size;
        add_zone_name(drawing,
                      name_of_zone(domains, zones, static_cast<int>(i)),
                      {x - 0.8, baseline},
                      Word::Anchor::end);
        if (i + 1 == lines.size()) {
            add_zone_name(drawing,
                          name_of_zone(domains, zones, static_cast<int>(i) + 1),
                          {x + 0.8, baseline},
                          Word::Anchor::start);
        }
    }
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
    const Model& model = layout.model;
    Drawing drawing;
    add_parts(model, layout.placement, drawing);
    add_wires(layout.routing, drawing);
    const Box extent = extent_of(drawing);
    const double top = margin + (layout.placement.lines.empty() ? 0.0 : heading);
    const Point by{margin - std::floor(extent.left), top - std::floor(extent.top)};
    shift(drawing, by);
    drawing.width = std::ceil(extent.right + by.x + margin);
    drawing.height = std::ceil(extent.bottom + by.y + margin);
    add_isolation(domains, model.order_zones, layout.placement.lines, by, drawing);
    if (options.net_names) {
        add_net_names(circuit, drawing);
    }
    return drawing;
}

std::vector<Stand> stands_of(const Drawing& drawing, const circuit::Circuit& circuit) {
    std::vector<Stand> stands;
    for (const PlacedPart& placed : drawing.parts) {
        stands.push_back({circuit[placed.part].name, placed.at, placed.orientation});
    }
    return stands;
}

}  // namespace etchback::drawing
