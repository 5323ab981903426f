#include "blocks/detail/compare_model.h"

#include <algorithm>
#include <cmath>
#include <map>

#include "base/text.h"
#include "blocks/kinds.h"

namespace etchback::blocks::detail {
namespace {

using Colour = std::uint64_t;

Colour mixed(Colour a, Colour b) {  // the finaliser of splitmix64
    Colour x = a * 0x9E3779B97F4A7C15ULL + b + 0x632BE59BD9B4E019ULL;
    x = (x ^ (x >> 30U)) * 0xBF58476D1CE4E5B9ULL;
    x = (x ^ (x >> 27U)) * 0x94D049BB133111EBULL;
    return x ^ (x >> 31U);
}

Colour colour_of(std::string_view text) {  // FNV-1a
    Colour hash = 0xCBF29CE484222325ULL;
    for (const char c : text) {
        hash = (hash ^ static_cast<unsigned char>(c)) * 0x100000001B3ULL;
    }
    return hash;
}

Colour colour_of(double number) {
    return colour_of(std::to_string(std::lround(1000.0 * std::log10(std::abs(number) + 1e-18))));
}

Colour colour_of(const std::optional<dossier::Amount>& amount) {
    return amount ? colour_of(amount->value.value) : 7;
}

Colour own_colour(const circuit::Part& part) {
    const auto value = part.value();
    Colour colour = mixed(colour_of(part.kind.id), value ? colour_of(*value) : 1);
    colour = mixed(colour, colour_of(base::lowered(part.said.type.value)));
    colour = mixed(colour, colour_of(part.said.rated_voltage));
    colour = mixed(colour, colour_of(part.said.rated_current));
    for (const auto& [key, amount] : part.said.properties) {
        colour = mixed(colour, mixed(colour_of(key), colour_of(amount.value.value)));
    }
    for (const auto& [key, amount] : part.said.thresholds) {
        colour = mixed(colour, mixed(colour_of(key), colour_of(amount.value.value)));
    }
    return colour;
}

// Iterative colour refinement of parts and nets at once; equal colours are told apart one by one,
// which is canonical where they are alike by symmetry.
class Order {
public:
    enum class Look { structure, everything };
    Order(const circuit::Circuit& circuit, Look look)
        : circuit_(circuit),
          look_(look),
          parts_(circuit.parts.size()),
          nets_(circuit.nets.size(), 3) {
        for (std::size_t p = 0; p < parts_.size(); ++p) {
            parts_[p] = look == Look::everything ? own_colour(circuit.parts[p])
                                                 : colour_of(circuit.parts[p].kind.family);
        }
        refine();
        while (look == Look::everything && (tell_apart(parts_) || tell_apart(nets_))) {
            refine();
        }
    }
    const std::vector<Colour>& parts() const { return parts_; }
    const std::vector<Colour>& nets() const { return nets_; }

private:
    const circuit::Circuit& circuit_;
    Look look_;
    std::vector<Colour> parts_, nets_;

    // By structure alone all that a matching may exchange free of cost is alike.
    Colour class_of(const circuit::Part& part, std::size_t pin) const {
        if (look_ == Look::structure &&
            (part.kind.open_pins || !part.said.windings.empty() || part.pins.size() == 2)) {
            return 1;
        }
        return pin_class(part, pin);
    }

    static std::size_t classes(std::vector<Colour> colours) {
        std::sort(colours.begin(), colours.end());
        return static_cast<std::size_t>(std::unique(colours.begin(), colours.end()) -
                                        colours.begin());
    }

    static bool tell_apart(std::vector<Colour>& colours) {
        std::map<Colour, std::vector<std::size_t>> members;
        for (std::size_t i = 0; i < colours.size(); ++i) {
            members[colours[i]].push_back(i);
        }
        for (const auto& [colour, of] : members) {
            if (of.size() > 1) {
                colours[of.front()] = mixed(colour, 11);
                return true;
            }
        }
        return false;
    }

    void refine() {
        std::size_t before = 0;
        for (std::size_t now = classes(parts_) + classes(nets_); now != before;) {
            step();
            before = now;
            now = classes(parts_) + classes(nets_);
        }
    }

    void step() {
        std::vector<std::vector<Colour>> on_net(nets_.size());
        for (std::size_t p = 0; p < parts_.size(); ++p) {
            const circuit::Part& part = circuit_.parts[p];
            for (std::size_t i = 0; i < part.pins.size(); ++i) {
                if (part.pins[i].net.known()) {
                    on_net[static_cast<std::size_t>(part.pins[i].net.index)].push_back(
                        mixed(parts_[p], class_of(part, i)));
                }
            }
        }
        for (std::size_t n = 0; n < nets_.size(); ++n) {
            std::sort(on_net[n].begin(), on_net[n].end());
            for (const Colour colour : on_net[n]) {
                nets_[n] = mixed(nets_[n], colour);
            }
        }
        for (std::size_t p = 0; p < parts_.size(); ++p) {
            const circuit::Part& part = circuit_.parts[p];
            std::vector<Colour> pins;
            for (std::size_t i = 0; i < part.pins.size(); ++i) {
                const circuit::NetId net = part.pins[i].net;
                if (net.known()) {
                    pins.push_back(
                        mixed(class_of(part, i), nets_[static_cast<std::size_t>(net.index)]));
                }
            }
            std::sort(pins.begin(), pins.end());
            for (const Colour colour : pins) {
                parts_[p] = mixed(parts_[p], colour);
            }
        }
    }
};

// Indices in the order of their colours.
std::vector<int> sorted_by(const std::vector<Colour>& colours) {
    std::vector<int> order(colours.size());
    for (std::size_t i = 0; i < order.size(); ++i) {
        order[i] = static_cast<int>(i);
    }
    std::sort(order.begin(), order.end(), [&](int a, int b) {
        return colours[static_cast<std::size_t>(a)] < colours[static_cast<std::size_t>(b)];
    });
    return order;
}

bool can_fold(const Element& element) {
    const circuit::Part& part = *element.part;
    return element.nets.size() == 2 && element.nets[0] >= 0 && element.nets[1] >= 0 &&
           element.nets[0] != element.nets[1] && element.value && *element.value > 0 &&
           (is_resistor(part) || is_capacitor(part) || is_inductor(part)) &&
           part.said.windings.empty();
}

bool fold_together(const Element& a, const Element& b) {
    return a.part->kind.id == b.part->kind.id;
}

}  // namespace

bool turns_freely(const circuit::Part& part) {
    return part.pins.size() == 2 && !part.kind.polarised && !part.kind.open_pins &&
           part.pins[0].role == part.pins[1].role;
}

std::uint64_t pin_class(const circuit::Part& part, std::size_t pin) {
    if (turns_freely(part)) {
        return 1;
    }
    const std::string& name = part.pins[pin].name;
    if (is_bridge(part) && part.pins[pin].role == parts::PinRole::input) {
        return 2;
    }
    if (is_common_mode_choke(part)) {
        return 3;
    }
    for (const dossier::Winding& winding : part.said.windings) {
        for (std::size_t i = 0; i < winding.pins.size(); ++i) {
            if (base::lowered(winding.pins[i].value) == base::lowered(name)) {
                return mixed(winding.turns ? colour_of(winding.turns->value) : 1, 20 + i);
            }
        }
    }
    return colour_of(base::lowered(name));
}

Model model_of(const circuit::Circuit& circuit) {
    const Order order(circuit, Order::Look::everything);
    Model model;
    model.net_of = sorted_by(order.nets());
    model.colours = Order(circuit, Order::Look::structure).parts();
    std::sort(model.colours.begin(), model.colours.end());
    std::vector<int> net_to(circuit.nets.size());
    for (std::size_t i = 0; i < model.net_of.size(); ++i) {
        net_to[static_cast<std::size_t>(model.net_of[i])] = static_cast<int>(i);
    }
    for (const int p : sorted_by(order.parts())) {
        const circuit::Part& part = circuit.parts[static_cast<std::size_t>(p)];
        Element element{{p}, &part, part.value(), {}, false};
        for (const circuit::Pin& pin : part.pins) {
            element.nets.push_back(pin.net.known() ? net_to[static_cast<std::size_t>(pin.net.index)]
                                                   : -1);
        }
        model.elements.push_back(std::move(element));
    }
    return model;
}

std::vector<Fold> folds(const Model& model) {
    std::vector<Fold> found;
    std::map<std::pair<int, int>, std::vector<int>> across;
    std::vector<int> pins_on(static_cast<std::size_t>(model.nets()), 0);
    for (std::size_t e = 0; e < model.elements.size(); ++e) {
        const Element& element = model.elements[e];
        for (const int net : element.nets) {
            if (net >= 0 && !is_test_point(*element.part)) {
                ++pins_on[static_cast<std::size_t>(net)];
            }
        }
        if (can_fold(element)) {
            across[std::minmax(element.nets[0], element.nets[1])].push_back(static_cast<int>(e));
        }
    }
    const auto at = [&](int e) -> const Element& {
        return model.elements[static_cast<std::size_t>(e)];
    };
    for (const auto& [ends, members] : across) {
        for (std::size_t i = 0; i < members.size(); ++i) {
            for (std::size_t j = i + 1; j < members.size(); ++j) {
                if (fold_together(at(members[i]), at(members[j]))) {
                    found.push_back({{members[i], members[j]}, false});
                }
            }
        }
    }
    for (int net = 0; net < model.nets(); ++net) {
        std::vector<int> here;
        for (std::size_t e = 0; e < model.elements.size(); ++e) {
            const Element& element = model.elements[e];
            if (can_fold(element) && (element.nets[0] == net || element.nets[1] == net)) {
                here.push_back(static_cast<int>(e));
            }
        }
        if (here.size() == 2 && pins_on[static_cast<std::size_t>(net)] == 2 &&
            fold_together(at(here[0]), at(here[1]))) {
            found.push_back({here, true});
        }
    }
    return found;
}

Model folded(const Model& model, const Fold& fold) {
    Model out = model;
    Element& first = out.elements[static_cast<std::size_t>(fold.elements[0])];
    const Element second = out.elements[static_cast<std::size_t>(fold.elements[1])];
    const bool adds = fold.series != is_capacitor(*first.part);
    const double a = *first.value;
    const double b = *second.value;
    first.value = adds ? a + b : a * b / (a + b);
    first.series = fold.series;
    first.parts.insert(first.parts.end(), second.parts.begin(), second.parts.end());
    if (fold.series) {
        const bool tail = second.nets[0] == first.nets[1] || second.nets[1] == first.nets[1];
        const int middle = first.nets[tail ? 1 : 0];
        first.nets[tail ? 1 : 0] = second.nets[second.nets[0] == middle ? 1 : 0];
    }
    out.elements.erase(out.elements.begin() + fold.elements[1]);
    return out;
}

}  // namespace etchback::blocks::detail
