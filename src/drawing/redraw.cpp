// A changed circuit, or the same one with other nudges, from an earlier drawing: what nothing
// speaks against stays as it is, parts and wires alike.
#include <algorithm>
#include <cmath>
#include <map>
#include <optional>

#include "drawing/detail/finish.h"
#include "drawing/detail/place_anneal.h"
#include "drawing/detail/route_router.h"
#include "drawing/drawing.h"

namespace etchback::drawing {

namespace {

using namespace detail;

constexpr int refinements = 120;  // per redrawing, of parts that are new or had to make room

std::size_t at(int i) {
    return static_cast<std::size_t>(i);
}

// The part of the earlier drawing, by the part of the new circuit; null: it is new.
using Known = std::vector<const PlacedPart*>;

Known known_parts(const Drawing& earlier,
                  const circuit::Circuit& before,
                  const circuit::Circuit& circuit) {
    Known known;
    for (const circuit::Part& part : circuit.parts) {
        const auto found = before.part(part.name);
        known.push_back(found ? &earlier.parts[at(found->index)] : nullptr);
    }
    return known;
}

// In which order the earlier drawing has pins whose place on a symbol is free.
PinHeights heights_of(const Known& known, const circuit::Circuit& circuit) {
    PinHeights heights;
    for (std::size_t i = 0; i < known.size(); ++i) {
        std::vector<double> own(circuit.parts[i].pins.size(), 0.0);
        if (known[i] != nullptr) {
            for (const SymbolPin& pin : known[i]->symbol.pins) {
                if (at(pin.pin) < own.size()) {
                    own[at(pin.pin)] = -pin.at.y;
                }
            }
        }
        heights.push_back(std::move(own));
    }
    return heights;
}

bool same_labels(const Variant& v, const PlacedPart& placed, const Drawing& drawing) {
    return std::all_of(v.labels.begin(), v.labels.end(), [&](const LabelRoom& room) {
        const Label wanted = label_of(room, placed.part.index, placed.at);
        return std::any_of(drawing.labels.begin(), drawing.labels.end(), [&](const Label& label) {
            return label.of == wanted.of && label.index == wanted.index &&
                   label.text == wanted.text && label.anchor == wanted.anchor &&
                   std::abs(label.at.x - wanted.at.x) + std::abs(label.at.y - wanted.at.y) < 0.01;
        });
    });
}

// The variant that looks as it did; the most natural one if there is none, and then `found` is
// false.
int variant_like(const ModelPart& part,
                 const PlacedPart& placed,
                 const Drawing& drawing,
                 bool& found) {
    for (const bool with_labels : {true, false}) {
        for (std::size_t i = 0; i < part.variants.size(); ++i) {
            const Variant& v = part.variants[i];
            if (v.symbol == placed.symbol && (!with_labels || same_labels(v, placed, drawing))) {
                found = with_labels;
                return static_cast<int>(i);
            }
        }
    }
    found = false;
    return 0;
}

// The nets of pins that each net has, by "R1.1".
std::map<std::string, int> net_by_pin(const circuit::Circuit& circuit) {
    std::map<std::string, int> nets;
    for (const circuit::Part& part : circuit.parts) {
        for (const circuit::Pin& pin : part.pins) {
            if (pin.net.known()) {
                nets[part.name + "\n" + pin.name] = pin.net.index;
            }
        }
    }
    return nets;
}

// The earlier net with just the same pins and name, by the net of the new circuit; -1: none.
std::vector<int> known_nets(const circuit::Circuit& before, const circuit::Circuit& circuit) {
    const std::map<std::string, int> old = net_by_pin(before);
    std::vector<int> known(circuit.nets.size(), -1);
    std::vector<std::size_t> pins(circuit.nets.size(), 0);
    std::vector<char> spoilt(circuit.nets.size(), 0);
    for (const auto& [pin, net] : net_by_pin(circuit)) {
        const auto found = old.find(pin);
        ++pins[at(net)];
        if (found == old.end() || (known[at(net)] >= 0 && known[at(net)] != found->second)) {
            spoilt[at(net)] = 1;
        } else {
            known[at(net)] = found->second;
        }
    }
    for (std::size_t i = 0; i < known.size(); ++i) {
        const int net = known[i];
        if (net >= 0 && (spoilt[i] || before.nets[at(net)].pins.size() != pins[i] ||
                         before.nets[at(net)].name != circuit.nets[i].name)) {
            known[i] = -1;
        }
    }
    return known;
}

Options with_before(Options options, const Drawing& earlier, const circuit::Circuit& before) {
    options.nudges.before = stands_of(earlier, before);
    return options;
}

class Redrawing {
public:
    Redrawing(const Drawing& earlier,
              const circuit::Circuit& before,
              const circuit::Circuit& circuit,
              const circuit::Domains& domains,
              const Options& options)
        : earlier_(earlier),
          circuit_(circuit),
          domains_(domains),
          options_(with_before(options, earlier, before)),
          known_(known_parts(earlier, before, circuit)),
          nets_(known_nets(before, circuit)),
          model_(model_of(circuit, domains, options_, Manner::rails, heights_of(known_, circuit))) {
    }

    std::optional<Drawing> draw() {
        if (earlier_.isolation.size() + 1 != at(std::max(1, model_.zones)) || !start()) {
            return std::nullopt;
        }
        const Placement wanted = wanted_places();
        Router router(model_, placement_, &wanted);
        std::vector<int> anew;
        for (std::size_t net = 0; net < model_.nets.size(); ++net) {
            if (model_.nets[net].style != NetStyle::open &&
                (nets_[net] < 0 || !router.adopt(static_cast<int>(net), drawn(nets_[net])))) {
                anew.push_back(static_cast<int>(net));
            }
        }
        if (!router.settle(moves(wanted), anew)) {
            return std::nullopt;
        }
        router.refine_some(loose_parts(router.placement()), refinements, 1);
        const Routing routing = router.harvest();
        if (!routing.complete) {
            return std::nullopt;
        }
        return finished(circuit_, domains_, options_, model_, router.placement(), routing);
    }

private:
    // Everything as it stood; what is new in the midst of what it is wired to.
    bool start() {
        const auto count = model_.parts.size();
        placement_.at.assign(count, {});
        placement_.variant.assign(count, 0);
        as_before_.assign(count, 0);
        std::vector<char> stands(count, 0);
        std::size_t lost = 0;
        for (std::size_t i = 0; i < count; ++i) {
            if (known_[i] == nullptr) {
                ++lost;
                continue;
            }
            bool found = false;
            placement_.at[i] = {static_cast<int>(std::lround(known_[i]->at.x - earlier_.origin.x)),
                                static_cast<int>(std::lround(known_[i]->at.y - earlier_.origin.y))};
            placement_.variant[i] = variant_like(model_.parts[i], *known_[i], earlier_, found);
            as_before_[i] = found;
            stands[i] = 1;
            lost += !found;
        }
        for (std::size_t i = 0; i < count; ++i) {
            if (!stands[i]) {
                placement_.at[i] = place_for(model_, placement_, stands, i);
            }
        }
        for (const IsolationLine& line : earlier_.isolation) {
            placement_.lines.push_back(line.points.front().x - earlier_.origin.x);
        }
        return 4 * lost <= count + 4;
    }

    Placement wanted_places() const {
        Placement wanted = placement_;
        for (std::size_t i = 0; i < model_.parts.size(); ++i) {
            if (model_.parts[i].fixed) {
                wanted.at[i] = model_.parts[i].at;
            }
        }
        pull_neighbours(model_, wanted);
        pull_ties(model_, wanted);
        return wanted;
    }

    // Parts that are not where they were, or do not look as they did.
    std::vector<Router::Stand> moves(const Placement& wanted) const {
        std::vector<Router::Stand> stands;
        for (std::size_t i = 0; i < model_.parts.size(); ++i) {
            if (!as_before_[i] || wanted.at[i] != placement_.at[i]) {
                stands.push_back({static_cast<int>(i), wanted.at[i], wanted.variant[i]});
            }
        }
        return stands;
    }

    std::vector<int> loose_parts(const Placement& now) const {
        std::vector<int> loose;
        for (std::size_t i = 0; i < model_.parts.size(); ++i) {
            const bool moved = known_[i] == nullptr || now.at[i] != placement_.at[i];
            if (moved && !model_.parts[i].fixed && model_.parts[i].astride < 0) {
                loose.push_back(static_cast<int>(i));
            }
        }
        return loose;
    }

    RoutedNet drawn(int net) const {
        const Point by{-earlier_.origin.x, -earlier_.origin.y};
        const auto moved_by = [&](Point p) { return Point{p.x + by.x, p.y + by.y}; };
        RoutedNet routed;
        for (const Segment& s : earlier_.wires[at(net)].segments) {
            routed.segments.push_back({moved_by(s.a), moved_by(s.b)});
        }
        for (NetSign sign : earlier_.signs) {
            if (sign.net.index == net) {
                sign.at = moved_by(sign.at);
                routed.signs.push_back(std::move(sign));
            }
        }
        return routed;
    }

    const Drawing& earlier_;
    const circuit::Circuit& circuit_;
    const circuit::Domains& domains_;
    const Options options_;
    Known known_;
    std::vector<int> nets_;
    Model model_;
    Placement placement_;
    std::vector<char> as_before_;  // per part
};

}  // namespace

Drawing redraw(const Drawing& earlier,
               const circuit::Circuit& before,
               const circuit::Circuit& circuit,
               const circuit::Domains& domains,
               const Options& options) {
    if (auto drawing = Redrawing(earlier, before, circuit, domains, options).draw()) {
        return *std::move(drawing);
    }
    return draw(circuit, domains, with_before(options, earlier, before));
}

}  // namespace etchback::drawing
