#include "drawing/detail/finish.h"

#include <algorithm>
#include <cmath>

#include "drawing/detail/cut.h"
#include "drawing/detail/label_nets.h"
#include "drawing/detail/label_room.h"

namespace etchback::drawing::detail {

namespace {

constexpr double margin = 2.0;
constexpr double heading = 3.0;  // above the drawing, for the names of the domains

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

// All parts that are held at a place agree on it.
Point origin_of(const Model& model, const Placement& placement, Point by) {
    for (std::size_t i = 0; i < model.parts.size(); ++i) {
        const ModelPart& part = model.parts[i];
        if (part.fixed) {
            return {placement.at[i].x + by.x - part.at.x, placement.at[i].y + by.y - part.at.y};
        }
    }
    return {0.0, 0.0};
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

Drawing finished(const circuit::Circuit& circuit,
                 const circuit::Domains& domains,
                 const Options& options,
                 const Model& model,
                 const Placement& placement,
                 const Routing& routing) {
    Drawing drawing;
    add_parts(model, placement, drawing);
    add_wires(routing, drawing);
    const Box extent = extent_of(drawing);
    const double top = margin + (placement.lines.empty() ? 0.0 : heading);
    const Point by{margin - std::floor(extent.left), top - std::floor(extent.top)};
    shift(drawing, by);
    drawing.origin = origin_of(model, placement, by);
    drawing.width = std::ceil(extent.right + by.x + margin);
    drawing.height = std::ceil(extent.bottom + by.y + margin);
    add_isolation(domains, model.order_zones, placement.lines, by, drawing);
    if (options.net_names) {
        add_net_names(circuit, drawing);
    }
    return drawing;
}

}  // namespace etchback::drawing::detail
