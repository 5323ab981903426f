#include "drawing/detail/place_links.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>

#include "drawing/detail/place_model.h"
#include "drawing/detail/place_order.h"

namespace etchback::drawing::detail {

namespace {

using circuit::Circuit;
using circuit::Part;
using circuit::PinRef;

std::size_t at(int i) {
    return static_cast<std::size_t>(i);
}

// ---- links -------------------------------------------------------------------------------------

struct End {
    int part = -1;
    int pin = -1;
    int rank = 0;  // who comes first where several could be in line
    double flow = 0.0;
};

// What carries the main current goes before what only holds a level.
int rank_of(const Part& part, const Variant& v, int pin) {
    if (v.pins.size() > 3 || v.pins.size() < 2) {
        return 3;
    }
    if (v.pins.size() == 3) {
        const auto role = part.pins[at(v.symbol.pins[at(pin)].pin)].role;
        return role == parts::PinRole::input ? 1 : 0;
    }
    return is_family(part, {"capacitor"}) ? 2 : 0;
}

// The two ends nearest to each other in rank, then along the flow.
std::optional<Link> best_link(const std::vector<End>& from,
                              const std::vector<End>& to,
                              bool upright) {
    const End* best_a = nullptr;
    const End* best_b = nullptr;
    double best = 1e9;
    for (const End& a : from) {
        for (const End& b : to) {
            if (a.part == b.part) {
                continue;
            }
            const double price = 10.0 * (a.rank + b.rank) + std::abs(a.flow - b.flow);
            if (price < best - 1e-9) {
                best = price;
                best_a = &a;
                best_b = &b;
            }
        }
    }
    if (best_a == nullptr || best > 45.0) {
        return std::nullopt;
    }
    return Link{best_a->part, best_a->pin, best_b->part, best_b->pin, upright};
}

bool are_twins(const std::vector<Symmetry>& symmetries, int a, int b) {
    for (const Symmetry& symmetry : symmetries) {
        for (const Twins& t : symmetry) {
            if ((t.left == a && t.right == b) || (t.left == b && t.right == a)) {
                return true;
            }
        }
    }
    return false;
}

// Twins side by side on one net: neither is in line with what is between them.
void drop_twins(const std::vector<Symmetry>& symmetries, std::vector<End>& ends) {
    std::vector<End> kept;
    for (const End& end : ends) {
        const bool twin = std::any_of(ends.begin(), ends.end(), [&](const End& other) {
            return are_twins(symmetries, end.part, other.part);
        });
        if (!twin) {
            kept.push_back(end);
        }
    }
    ends = std::move(kept);
}

// ---- symmetries --------------------------------------------------------------------------------

class Halves {
public:
    Halves(const Circuit& circuit, const Model& model, const std::vector<char>& taken)
        : circuit_(circuit), model_(model), taken_(taken) {}

    // All twins that follow from these two being twins; empty if they cannot be.
    Symmetry grow(int a, int b) {
        if (!pair(a, b)) {
            return {};
        }
        for (std::size_t i = 0; i < twins_.size(); ++i) {
            const Twins now = twins_[i];
            const Part& pa = circuit_.parts[at(now.left)];
            const Part& pb = circuit_.parts[at(now.right)];
            for (std::size_t pin = 0; pin < pa.pins.size(); ++pin) {
                const int na = pa.pins[pin].net.index;
                const int nb = pb.pins[matching_pin(now, pin)].net.index;
                if (na >= 0 && nb >= 0 && na != nb) {
                    spread(na, nb);
                }
            }
        }
        return twins_;
    }

private:
    std::size_t matching_pin(const Twins& twins, std::size_t pin) const {
        const auto found = swapped_.find(twins.left);
        return found != swapped_.end() && found->second ? 1 - pin : pin;
    }
    bool fits(int na, int nb) const {
        if (na < 0 || nb < 0 || na == nb) {
            return na == nb;
        }
        const auto a = partner_.find(na);
        const auto b = partner_.find(nb);
        const bool busy = (model_.nets[at(na)].rail != Rail::none) ||
                          (model_.nets[at(nb)].rail != Rail::none) || model_.nets[at(na)].low ||
                          model_.nets[at(nb)].low;
        return (a == partner_.end() && b == partner_.end() && !busy) ||
               (a != partner_.end() && a->second == nb);
    }
    bool is_free(int part) const {
        const ModelPart& p = model_.parts[at(part)];
        return !taken_[at(part)] && used_.count(part) == 0 && p.astride < 0 && p.rim == 0;
    }
    bool pair(int a, int b) {
        const Part& pa = circuit_.parts[at(a)];
        const Part& pb = circuit_.parts[at(b)];
        if (a == b || !is_free(a) || !is_free(b) || pa.kind.id != pb.kind.id ||
            pa.pins.size() != pb.pins.size() || pa.pins.size() > 3) {
            return false;
        }
        const bool two = pa.pins.size() == 2 && !pa.kind.polarised && !is_family(pa, {"diode"}) &&
                         !is_family(pa, {"led"});
        for (const bool swap : {false, true}) {
            bool all = !swap || two;
            for (std::size_t pin = 0; all && pin < pa.pins.size(); ++pin) {
                all = fits(pa.pins[pin].net.index, pb.pins[swap ? 1 - pin : pin].net.index);
            }
            if (!all) {
                continue;
            }
            for (std::size_t pin = 0; pin < pa.pins.size(); ++pin) {
                const int na = pa.pins[pin].net.index;
                const int nb = pb.pins[swap ? 1 - pin : pin].net.index;
                if (na >= 0 && nb >= 0 && na != nb) {
                    partner_[na] = nb;
                    partner_[nb] = na;
                }
            }
            used_[a] = used_[b] = true;
            swapped_[a] = swap;
            twins_.push_back({a, b});
            return true;
        }
        return false;
    }
    // Equal values first, so that of several equal parts the right ones meet.
    void spread(int na, int nb) {
        for (const bool strict : {true, false}) {
            for (const PinRef& ra : circuit_.nets[at(na)].pins) {
                for (const PinRef& rb : circuit_.nets[at(nb)].pins) {
                    const Part& pa = circuit_[ra.part];
                    const Part& pb = circuit_[rb.part];
                    if ((!strict || pa.value() == pb.value()) && is_free(ra.part.index) &&
                        is_free(rb.part.index) && (pa.pins.size() == 2 || ra.pin == rb.pin)) {
                        pair(ra.part.index, rb.part.index);
                    }
                }
            }
        }
    }

    const Circuit& circuit_;
    const Model& model_;
    const std::vector<char>& taken_;
    std::map<int, int> partner_;  // of nets
    std::map<int, bool> used_, swapped_;
    Symmetry twins_;
};

// Joined at a main pin or at the control pin by a net that is no rail.
bool joined_directly(const Circuit& circuit, const Model& model, int a, int b) {
    const Part& pa = circuit.parts[at(a)];
    const Part& pb = circuit.parts[at(b)];
    for (std::size_t pin = 0; pin < pa.pins.size(); ++pin) {
        const int net = pa.pins[pin].net.index;
        if (net >= 0 && net == pb.pins[pin].net.index && !model.nets[at(net)].low &&
            model.nets[at(net)].rail == Rail::none) {
            return true;
        }
    }
    return false;
}

}  // namespace

std::vector<Symmetry> symmetries_of(const Circuit& circuit, const Model& model) {
    const int count = static_cast<int>(circuit.parts.size());
    std::vector<char> taken(circuit.parts.size(), 0);
    std::vector<Symmetry> found;
    while (found.size() < 8) {
        Symmetry best;
        for (int a = 0; a < count; ++a) {
            for (int b = a + 1; b < count; ++b) {
                const Part& pa = circuit.parts[at(a)];
                const Part& pb = circuit.parts[at(b)];
                if (!is_family(pa, {"transistor"}) || pa.kind.id != pb.kind.id || taken[at(a)] ||
                    taken[at(b)]) {
                    continue;
                }
                Symmetry grown = Halves(circuit, model, taken).grow(a, b);
                const std::size_t least = joined_directly(circuit, model, a, b) ? 1 : 3;
                if (grown.size() >= least && grown.size() > best.size()) {
                    best = std::move(grown);
                }
            }
        }
        if (best.empty()) {
            break;
        }
        for (const Twins& t : best) {
            taken[at(t.left)] = taken[at(t.right)] = 1;
        }
        found.push_back(std::move(best));
    }
    return found;
}

std::vector<Joining> joinings_of(const Circuit& circuit, const Model& model) {
    std::vector<char> taken(circuit.parts.size(), 0);
    for (const Symmetry& symmetry : model.symmetries) {
        for (const Twins& t : symmetry) {
            taken[at(t.left)] = taken[at(t.right)] = 1;
        }
    }
    std::vector<Joining> joinings;
    for (int p = 0; p < static_cast<int>(circuit.parts.size()); ++p) {
        const Part& part = circuit.parts[at(p)];
        if (taken[at(p)] || part.pins.size() != 2) {
            continue;
        }
        const int a = part.pins[0].net.index;
        const int b = part.pins[1].net.index;
        const auto joins = [&](const Twins& t) {
            const auto& left = circuit.parts[at(t.left)].pins;
            const auto& right = circuit.parts[at(t.right)].pins;
            for (std::size_t pin = 0; left.size() == 3 && pin < left.size(); ++pin) {
                const int na = left[pin].net.index;
                const int nb = right[pin].net.index;
                if (na != nb && ((a == na && b == nb) || (a == nb && b == na))) {
                    return a >= 0 && b >= 0;
                }
            }
            return false;
        };
        for (int s = 0; s < static_cast<int>(model.symmetries.size()); ++s) {
            const Symmetry& symmetry = model.symmetries[at(s)];
            if (std::any_of(symmetry.begin(), symmetry.end(), joins)) {
                joinings.push_back({p, s});
                break;
            }
        }
    }
    return joinings;
}

std::vector<Link> links_of(const Circuit& circuit, const Model& model) {
    std::vector<Link> links;
    for (const ModelNet& net : model.nets) {
        if (net.style != NetStyle::wired || net.low) {
            continue;
        }
        std::vector<End> ends[4];  // by direction
        for (const PinOf& pin : net.pins) {
            const ModelPart& part = model.parts[at(pin.part)];
            const Variant& v = part.variants.front();
            ends[static_cast<std::size_t>(v.pins[at(pin.pin)].facing)].push_back(
                {pin.part, pin.pin, rank_of(circuit.parts[at(pin.part)], v, pin.pin), part.flow});
        }
        for (auto& side : ends) {
            drop_twins(model.symmetries, side);
        }
        const auto& right = ends[static_cast<std::size_t>(Direction::right)];
        const auto& left = ends[static_cast<std::size_t>(Direction::left)];
        const auto& down = ends[static_cast<std::size_t>(Direction::down)];
        const auto& up = ends[static_cast<std::size_t>(Direction::up)];
        if (const auto link = best_link(right, left, false)) {
            links.push_back(*link);
        }
        if (net.rail == Rail::none) {
            if (const auto link = best_link(down, up, true)) {
                links.push_back(*link);
            }
        }
    }
    return links;
}

}  // namespace etchback::drawing::detail
