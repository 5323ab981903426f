#include <algorithm>
#include <cmath>

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
    return disorder + (all.right - all.left) + 1.4 * (all.bottom - all.top) + 2.0 * taste;
}

struct Job {
    const circuit::Circuit& circuit;
    const circuit::Domains& domains;
    const Options& options;
    const Model& model;
};

double price_of(const Layout& one) {
    return one.routing.price() + look_price(one.model, one.placement);
}

// Places twice: once the neighbours stand, the pins of chips and connectors can be put in order.
Layout attempt(const Job& job, int seed, double room) {
    const int parts = static_cast<int>(job.model.parts.size());
    const Effort effort{
        static_cast<std::uint64_t>(seed), std::min(27000, 3000 + 270 * parts), room};
    const Placement first = place(job.model, effort);
    Layout one;
    one.model = model_of(job.circuit, job.domains, job.options, heights_seen(job.model, first));
    one.placement = place(one.model, effort, &first);
    one.routing = route(one.model, one.placement, Care::quick);
    one.price = price_of(one);
    return one;
}

Layout best_of(const Job& job, int tries, double room) {
    Layout best;
    for (int seed = 1; seed <= tries; ++seed) {
        Layout one = attempt(job, seed, room);
        if (one.price < best.price) {
            best = std::move(one);
        }
    }
    return best;
}

// Several tries where they are cheap; more room where there was too little of it to wire
// everything; the best is refined.
Layout lay_out(const Job& job) {
    const auto parts = job.model.parts.size();
    const int fair_flags = 2 + static_cast<int>(job.model.nets.size()) / 8;
    Layout best = best_of(job, parts <= 20 ? 6 : parts <= 28 ? 4 : parts <= 50 ? 2 : 1, 0.0);
    for (const double room : {0.5, 1.0, 2.0, 4.0, 8.0}) {
        if (best.routing.complete && (best.routing.flags <= fair_flags || room > 0.5)) {
            break;
        }
        Layout wider = attempt(job, 1, room);
        if (wider.price < best.price) {
            best = std::move(wider);
        }
    }
    Layout fine = best;
    fine.routing = route(fine.model, fine.placement, Care::full);
    fine.price = price_of(fine);
    return fine.price < best.price ? fine : best;
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
    const Layout layout = lay_out({circuit, domains, options, model_of(circuit, domains, options)});
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

}  // namespace etchback::drawing
