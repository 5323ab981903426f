// Cells of a circuit that are there more than once.
#include <algorithm>
#include <map>
#include <set>

#include "drawing/detail/place_model.h"

namespace etchback::drawing::detail {

namespace {

using circuit::Circuit;
using circuit::Part;
using circuit::PinRef;

std::size_t at(int i) {
    return static_cast<std::size_t>(i);
}

// Follows two parts pin by pin to what hangs on them, as long as it is the same for both.
class Cells {
public:
    Cells(const Circuit& circuit, const Model& model, const std::vector<char>& taken)
        : circuit_(circuit), model_(model), taken_(taken) {}

    Repeat grow(int first, int again) {
        if (!pair(first, again)) {
            return {};
        }
        for (std::size_t i = 0; i < pairs_.size(); ++i) {
            const Twins now = pairs_[i];
            const auto& pins = circuit_.parts[at(now.left)].pins;
            const auto& others = circuit_.parts[at(now.right)].pins;
            for (std::size_t pin = 0; pin < pins.size(); ++pin) {
                const int a = pins[pin].net.index;
                const int b = others[swapped_[now.left] ? 1 - pin : pin].net.index;
                if (a >= 0 && b >= 0 && a != b) {
                    spread(a, b);
                }
            }
        }
        return pairs_;
    }

private:
    bool is_common(int net) const {
        return model_.nets[at(net)].low || model_.nets[at(net)].rail != Rail::none;
    }
    bool fits(int a, int b) const {
        if (a < 0 || b < 0 || a == b) {
            return a == b;
        }
        const auto known = again_.find(a);
        const auto back = first_.find(b);
        return !is_common(a) && !is_common(b) && (known == again_.end() || known->second == b) &&
               (back == first_.end() || back->second == a);
    }
    bool is_free(int part) const {
        const ModelPart& p = model_.parts[at(part)];
        return used_.count(part) == 0 && p.astride < 0 && p.rim == 0;
    }
    bool same_pins(const Part& a, const Part& b) const {
        return a.kind.id == b.kind.id &&
               std::equal(a.pins.begin(),
                          a.pins.end(),
                          b.pins.begin(),
                          b.pins.end(),
                          [](const auto& x, const auto& y) { return x.name == y.name; });
    }
    bool pair(int a, int b) {
        const Part& pa = circuit_.parts[at(a)];
        const Part& pb = circuit_.parts[at(b)];
        if (a == b || taken_[at(b)] || !is_free(a) || !is_free(b) || !same_pins(pa, pb)) {
            return false;
        }
        const bool turns = pa.pins.size() == 2 && pa.pins[0].role == parts::PinRole::passive;
        for (const bool swap : {false, true}) {
            bool all = !swap || turns;
            for (std::size_t pin = 0; all && pin < pa.pins.size(); ++pin) {
                all = fits(pa.pins[pin].net.index, pb.pins[swap ? 1 - pin : pin].net.index);
            }
            if (!all) {
                continue;
            }
            for (std::size_t pin = 0; pin < pa.pins.size(); ++pin) {
                const int na = pa.pins[pin].net.index;
                const int nb = pb.pins[swap ? 1 - pin : pin].net.index;
                if (na != nb) {
                    again_[na] = nb;
                    first_[nb] = na;
                }
            }
            used_.insert({a, b});
            swapped_[a] = swap;
            pairs_.push_back({a, b});
            return true;
        }
        return false;
    }
    // Equal values first, so that of several equal parts the right ones meet.
    void spread(int a, int b) {
        for (const bool strict : {true, false}) {
            for (const PinRef& ra : circuit_.nets[at(a)].pins) {
                for (const PinRef& rb : circuit_.nets[at(b)].pins) {
                    const bool equal = circuit_[ra.part].value() == circuit_[rb.part].value();
                    const bool two = circuit_[ra.part].pins.size() == 2;
                    if ((!strict || equal) && (two || ra.pin == rb.pin)) {
                        pair(ra.part.index, rb.part.index);
                    }
                }
            }
        }
    }

    const Circuit& circuit_;
    const Model& model_;
    const std::vector<char>& taken_;    // copies of another cell
    std::map<int, int> again_, first_;  // nets of the first cell to those of the copy, and back
    std::map<int, bool> swapped_;
    std::set<int> used_;
    Repeat pairs_;
};

}  // namespace

std::vector<Repeat> repeats_of(const Circuit& circuit, const Model& model) {
    constexpr std::size_t least = 3;  // parts of a cell
    std::vector<char> taken(circuit.parts.size(), 0);
    for (const Symmetry& symmetry : model.symmetries) {
        for (const Twins& t : symmetry) {
            taken[at(t.left)] = taken[at(t.right)] = 1;
        }
    }
    std::vector<Repeat> repeats;
    for (int again = 0; again < static_cast<int>(circuit.parts.size()); ++again) {
        if (taken[at(again)] || circuit.parts[at(again)].pins.size() < 3) {
            continue;
        }
        Repeat best;
        for (int first = 0; first < again; ++first) {
            if (circuit.parts[at(first)].kind.id == circuit.parts[at(again)].kind.id) {
                Repeat grown = Cells(circuit, model, taken).grow(first, again);
                best = grown.size() > best.size() ? std::move(grown) : std::move(best);
            }
        }
        if (best.size() < least) {
            continue;
        }
        for (const Twins& t : best) {
            taken[at(t.right)] = 1;
        }
        repeats.push_back(std::move(best));
    }
    return repeats;
}

}  // namespace etchback::drawing::detail
