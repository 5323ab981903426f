#include "blocks/detail/compare_pairs.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>

#include "base/text.h"
#include "blocks/kinds.h"

namespace etchback::blocks::detail {
namespace {

constexpr double same_value = 0.03;     // what reading and rounding may do to a nominal value
constexpr double same_together = 0.08;  // two of a series for one: 470k + 470k for 1M
constexpr double same_property = 0.05;

double decades(double a, double b) {
    return a > 0 && b > 0 ? std::abs(std::log10(a / b)) : (a == b ? 0.0 : 3.0);
}
bool differ(double a, double b, double share) {
    return std::abs(a - b) > share * std::max(std::abs(a), std::abs(b));
}

int value_cost(double a, double b) {
    // Whole up to a factor of 30; at 1000 it is another part.
    const double beyond = (decades(a, b) - std::log10(30.0)) / (3.0 - std::log10(30.0));
    const double nearest = std::min(20.0, 5.0 * decades(a, b));  // prefers the nearer value
    return edit + static_cast<int>(std::lround(edit * std::clamp(beyond, 0.0, 1.0) + nearest)) - 20;
}

bool any_differs(const std::map<std::string, dossier::Amount>& a,
                 const std::map<std::string, dossier::Amount>& b) {
    return std::any_of(a.begin(), a.end(), [&](const auto& entry) {
        const auto it = b.find(entry.first);
        return it != b.end() &&
               differ(entry.second.value.value, it->second.value.value, same_property);
    });
}

bool lower(const std::optional<dossier::Amount>& there,
           const std::optional<dossier::Amount>& here) {
    return there && here && here->value.value < 0.99 * there->value.value;
}

// "capacitor" in a drawing of few words holds for film and ceramic ones as well.
bool general(const Element& element) {
    return element.part->kind.id == "capacitor" || element.part->kind.id == "unknown" ||
           element.part->kind.id == "integrated_circuit";
}

bool is_same_kind(const Element& a, const Element& b) {
    const parts::Kind& x = a.part->kind;
    const parts::Kind& y = b.part->kind;
    return x.id == y.id || (x.family == y.family && x.polarised == y.polarised &&
                            (general(a) || general(b)) && x.safety_class == y.safety_class);
}

// Families between which a person would call it one part of another kind: a fusible resistor for a
// fuse. A capacitor where a resistor was is one part gone and another added.
bool may_be_taken_for(const Element& a, const Element& b) {
    const parts::Kind& x = a.part->kind;
    const parts::Kind& y = b.part->kind;
    const auto both_of = [&](std::initializer_list<std::string_view> families) {
        return std::find(families.begin(), families.end(), x.family) != families.end() &&
               std::find(families.begin(), families.end(), y.family) != families.end();
    };
    return x.family == y.family || both_of({"fuse", "resistor", "thermistor", "jumper"}) ||
           both_of({"inductor", "jumper"}) || both_of({"varistor", "spark_gap"}) ||
           both_of({"diode", "led"}) || both_of({"led", "load"}) ||
           both_of({"transistor", "thyristor"}) || (x.open_pins && y.open_pins);
}

// ---- ways

int left_over(const Element& element, const Way& way, bool there) {
    int on_nets = static_cast<int>(
        std::count_if(element.nets.begin(), element.nets.end(), [](int net) { return net >= 0; }));
    for (const auto& [a, b] : way.pins) {
        on_nets -= element.nets[static_cast<std::size_t>(there ? a : b)] >= 0 ? 1 : 0;
    }
    return on_nets;
}

std::vector<Way> ways_of_two(const Element& a, const Element& b) {
    const bool free = turns_freely(*a.part) || turns_freely(*b.part);
    return {{{{0, 0}, {1, 1}}, 0, false}, {{{0, 1}, {1, 0}}, free ? 0 : edit, !free}};
}

using Windings = std::vector<std::vector<int>>;  // pins, the dot first
Windings windings_of(const circuit::Part& part) {
    if (is_common_mode_choke(part) && part.said.windings.empty() && part.pins.size() == 4) {
        return {{0, 1}, {2, 3}};
    }
    Windings out;
    for (const dossier::Winding& winding : part.said.windings) {
        std::vector<int> pins;
        for (const auto& name : winding.pins) {
            if (const auto pin = part.pin(name.value)) {
                pins.push_back(static_cast<int>(*pin));
            }
        }
        out.push_back(std::move(pins));
    }
    return out;
}

// Turns ratios that are not those of most windings, under this pairing of windings.
int odd_ratios(const circuit::Part& a, const circuit::Part& b, const std::vector<int>& to) {
    std::vector<double> ratios;
    for (std::size_t i = 0; i < a.said.windings.size(); ++i) {
        const auto j = static_cast<std::size_t>(to[i]);
        if (j < b.said.windings.size() && a.said.windings[i].turns && b.said.windings[j].turns) {
            ratios.push_back(b.said.windings[j].turns->value / a.said.windings[i].turns->value);
        }
    }
    std::ptrdiff_t most = 0;
    for (const double ratio : ratios) {
        most = std::max(most, std::count_if(ratios.begin(), ratios.end(), [&](double other) {
                            return !differ(ratio, other, 0.02);
                        }));
    }
    return static_cast<int>(static_cast<std::ptrdiff_t>(ratios.size()) - most);
}

void add_windings(
    Way& way, const Windings& a, const Windings& b, const std::vector<int>& to, unsigned reversed) {
    for (std::size_t i = 0; i < a.size(); ++i) {
        if (static_cast<std::size_t>(to[i]) >= b.size()) {
            continue;
        }
        std::vector<int> other = b[static_cast<std::size_t>(to[i])];
        if ((reversed >> i & 1U) != 0) {
            std::reverse(other.begin(), other.end());
        }
        for (std::size_t k = 0; k < std::min(a[i].size(), other.size()); ++k) {
            way.pins.emplace_back(a[i][k], other[k]);
        }
    }
}

std::vector<Way> ways_of_windings(const Element& ea, const Element& eb) {
    const Windings a = windings_of(*ea.part);
    const Windings b = windings_of(*eb.part);
    const std::size_t n = std::max(a.size(), b.size());
    std::vector<Way> ways;
    std::vector<int> to(n);
    std::iota(to.begin(), to.end(), 0);
    do {
        const int odd = odd_ratios(*ea.part, *eb.part, to);
        for (unsigned reversed = 0; reversed < 1U << std::min<std::size_t>(a.size(), 4);
             ++reversed) {
            Way way;
            add_windings(way, a, b, to, reversed);
            const int turned = __builtin_popcount(reversed);
            const int fewest = std::min(turned, static_cast<int>(a.size()) - turned);
            way.turned = fewest > 0;
            way.cost = edit * (fewest + odd);
            ways.push_back(std::move(way));
        }
    } while (n <= 4 && std::next_permutation(to.begin(), to.end()));
    return ways;
}

std::vector<Way> ways_of_bridge(const Element& a) {
    Way straight;
    Way crossed;
    for (int i = 0; i < static_cast<int>(a.nets.size()); ++i) {
        straight.pins.emplace_back(i, i);
        crossed.pins.emplace_back(i, i < 2 ? 1 - i : i);
    }
    return {straight, crossed};
}

// Pins of one name belong together, then pins of one role; what is left is tried in every order.
std::vector<Way> ways_by_name(const Element& ea, const Element& eb) {
    const circuit::Part& a = *ea.part;
    const circuit::Part& b = *eb.part;
    Way fixed;
    std::vector<bool> used_a(a.pins.size()), used_b(b.pins.size());
    const auto pair_where = [&](const auto& fits) {
        for (std::size_t i = 0; i < a.pins.size(); ++i) {
            for (std::size_t j = 0; j < b.pins.size() && !used_a[i]; ++j) {
                if (!used_b[j] && fits(a.pins[i], b.pins[j])) {
                    used_a[i] = used_b[j] = true;
                    fixed.pins.emplace_back(static_cast<int>(i), static_cast<int>(j));
                }
            }
        }
    };
    pair_where([](const circuit::Pin& x, const circuit::Pin& y) {
        return base::lowered(x.name) == base::lowered(y.name);
    });
    pair_where([](const circuit::Pin& x, const circuit::Pin& y) {
        return x.role == y.role && x.role != parts::PinRole::passive;
    });
    std::vector<int> rest_a, rest_b;
    for (std::size_t i = 0; i < a.pins.size(); ++i) {
        if (!used_a[i]) {
            rest_a.push_back(static_cast<int>(i));
        }
    }
    for (std::size_t j = 0; j < b.pins.size(); ++j) {
        if (!used_b[j]) {
            rest_b.push_back(static_cast<int>(j));
        }
    }
    std::vector<Way> ways;
    do {
        Way way = fixed;
        for (std::size_t k = 0; k < std::min(rest_a.size(), rest_b.size()); ++k) {
            way.pins.emplace_back(rest_a[k], rest_b[k]);
        }
        ways.push_back(std::move(way));
    } while (rest_b.size() <= 4 && std::next_permutation(rest_b.begin(), rest_b.end()));
    return ways;
}

std::vector<Way> ways_of(const Element& a, const Element& b) {
    std::vector<Way> ways;
    const bool wound = !windings_of(*a.part).empty() && !windings_of(*b.part).empty();
    if (wound) {
        ways = ways_of_windings(a, b);
    } else if (a.nets.size() == 2 && b.nets.size() == 2) {
        ways = ways_of_two(a, b);
    } else if (is_bridge(*a.part) && is_bridge(*b.part) && a.nets.size() == b.nets.size()) {
        ways = ways_of_bridge(a);
    } else {
        ways = ways_by_name(a, b);
    }
    for (Way& way : ways) {
        way.cost += edit * std::max(left_over(a, way, true), left_over(b, way, false));
    }
    return ways;
}

}  // namespace

PairCost pair_cost(const Element& there, const Element& here) {
    PairCost out;
    if (!may_be_taken_for(there, here)) {
        return out;
    }
    const auto most = static_cast<int>(std::max(there.parts.size(), here.parts.size()));
    const bool same_kind = is_same_kind(there, here);
    const bool one_unit = there.part->kind.value_unit == here.part->kind.value_unit;
    const bool joined = most > 1;
    if (joined && !same_kind) {
        return out;
    }
    if (there.value && here.value && one_unit) {
        out.value = differ(*there.value, *here.value, joined ? same_together : same_value);
    }
    out.value = out.value || any_differs(there.part->said.properties, here.part->said.properties) ||
                any_differs(there.part->said.thresholds, here.part->said.thresholds);
    out.kind = !same_kind;
    out.rating = !joined && (lower(there.part->said.rated_voltage, here.part->said.rated_voltage) ||
                             lower(there.part->said.rated_current, here.part->said.rated_current));
    const std::string type_there = base::lowered(there.part->said.type.value);
    const std::string type_here = base::lowered(here.part->said.type.value);
    const bool other_type = !type_there.empty() && !type_here.empty() && type_there != type_here &&
                            there.part->kind.value_unit == base::Unit::none &&
                            type_here.find("unmarked") == std::string::npos;
    if (joined) {
        out.cost = edit * most - edit / 2;
    }
    if (out.kind) {
        out.cost += edit + (out.value && one_unit ? edit / 2 : 0);
    } else if (out.value) {
        out.cost += there.value && here.value ? value_cost(*there.value, *here.value) : edit;
    } else if (out.rating || other_type) {
        out.cost += 2 * edit / 5;
        out.value = other_type;
    }
    out.ways = ways_of(there, here);
    out.possible = true;
    return out;
}

}  // namespace etchback::blocks::detail
