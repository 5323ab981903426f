#include "blocks/detail/matcher.h"

#include <algorithm>
#include <map>
#include <set>

#include "base/text.h"

namespace etchback::blocks::detail {

using circuit::NetId;

// A pattern with its choices made: which slots must be there, which nets are one.
struct Matcher::Shape {
    std::vector<int> slots;  // that must be found
    std::vector<int> group;  // by the pattern's net
    std::string near, lost;
    std::vector<int> loose;  // nets of a part that is not there: one of them must hang loose
};

struct Matcher::Search {
    const Pattern& pattern;
    const Shape& shape;
    std::vector<NetId> nets;  // by group
    std::vector<int> chosen;  // by slot, -1: not yet
    std::vector<char> used;   // by element
    std::set<std::vector<int>>& seen;
};

namespace {

bool contains(const std::vector<std::string>& all, const std::string& one) {
    return std::find(all.begin(), all.end(), one) != all.end();
}

// "VDD1" is a VDD.
std::string stem(std::string_view name) {
    std::string lowered = base::lowered(name);
    while (lowered.size() > 1 && lowered.back() >= '0' && lowered.back() <= '9') {
        lowered.pop_back();
    }
    return lowered;
}

bool is_called(const ElementPin& pin, const SlotPin& wanted) {
    for (const std::string& name : wanted.names) {
        if (name == "supply" && pin.role == parts::PinRole::supply) {
            return true;
        }
        if (name == "ground" && pin.role == parts::PinRole::ground) {
            return true;
        }
        const std::string lowered = base::lowered(name);
        if (base::lowered(pin.name) == lowered || stem(pin.name) == lowered) {
            return true;
        }
    }
    return false;
}

// Two ends that are alike: "1" and "2" of the slot are either of them.
bool either_way(const Slot& slot, const Element& element) {
    return element.pins.size() == 2 && slot.pins.size() == 2 && slot.pins[0].names.size() == 1 &&
           slot.pins[1].names.size() == 1 && slot.pins[0].names[0] == "1" &&
           slot.pins[1].names[0] == "2";
}

void unite(std::vector<int>& group, int a, int b) {
    const int keep = group[static_cast<std::size_t>(a)], gone = group[static_cast<std::size_t>(b)];
    for (int& g : group) {
        if (g == gone) {
            g = keep;
        }
    }
}

}  // namespace

std::vector<Matcher::Shape> Matcher::shapes_of(const Pattern& pattern) {
    std::vector<int> wires;
    Shape whole;
    for (std::size_t n = 0; n < pattern.nets.size(); ++n) {
        whole.group.push_back(static_cast<int>(n));
    }
    for (std::size_t s = 0; s < pattern.slots.size(); ++s) {
        if (pattern.slots[s].or_wire) {
            wires.push_back(static_cast<int>(s));
        } else if (!pattern.slots[s].optional) {
            whole.slots.push_back(static_cast<int>(s));
        }
    }
    const auto without = [](Shape shape, int slot) {
        shape.slots.erase(std::remove(shape.slots.begin(), shape.slots.end(), slot),
                          shape.slots.end());
        return shape;
    };
    const auto ends_of = [&](int slot) {
        const auto& pins = pattern.slots[static_cast<std::size_t>(slot)].pins;
        return std::pair(pins[0].net, pins[1].net);
    };
    std::vector<Shape> shapes;
    const std::size_t choices = wires.size() + pattern.may_be_one.size();
    for (unsigned choice = 0; choice < 1u << choices; ++choice) {
        Shape shape = whole;
        for (std::size_t k = 0; k < pattern.may_be_one.size(); ++k) {
            if ((choice >> (wires.size() + k) & 1u) != 0) {
                unite(shape.group, pattern.may_be_one[k].first, pattern.may_be_one[k].second);
            }
        }
        for (std::size_t w = 0; w < wires.size(); ++w) {
            if ((choice >> w & 1u) == 0) {
                shape.slots.push_back(wires[w]);
            } else {
                const auto [a, b] = ends_of(wires[w]);
                unite(shape.group, a, b);
            }
        }
        shapes.push_back(shape);
        for (const int s : whole.slots) {
            const Slot& slot = pattern.slots[static_cast<std::size_t>(s)];
            if (!slot.if_open.empty()) {
                Shape open = without(shape, s);
                open.near = slot.if_open;
                open.lost = slot.name;
                for (const SlotPin& pin : slot.pins) {
                    open.loose.push_back(pin.net);
                }
                shapes.push_back(std::move(open));
            }
            if (!slot.if_shorted.empty() && slot.pins.size() == 2) {
                Shape shorted = without(shape, s);
                const auto [a, b] = ends_of(s);
                unite(shorted.group, a, b);
                shorted.near = slot.if_shorted;
                shorted.lost = slot.name;
                shapes.push_back(std::move(shorted));
            }
        }
    }
    return shapes;
}

Matcher::Matcher(const std::vector<Element>& elements, const NetTerms& terms, std::size_t nets)
    : elements_(elements), terms_(terms), on_net_(nets) {
    for (std::size_t e = 0; e < elements.size(); ++e) {
        for (const ElementPin& pin : elements[e].pins) {
            if (pin.net.known()) {
                auto& here = on_net_[static_cast<std::size_t>(pin.net.index)];
                if (here.empty() || here.back() != static_cast<int>(e)) {
                    here.push_back(static_cast<int>(e));
                }
            }
        }
    }
}

bool Matcher::fits(const Slot& slot, const Element& element) const {
    const bool kind = std::any_of(element.kinds.begin(), element.kinds.end(), [&](const auto& k) {
        return contains(slot.kinds, k);
    });
    if (!kind && !contains(slot.families, element.family)) {
        return false;
    }
    return !element.value || ((!slot.least || *element.value >= *slot.least) &&
                              (!slot.most || *element.value <= *slot.most));
}

bool Matcher::bind(Search& search, int net, NetId to, bool& fresh, bool of_optional) const {
    const int group = search.shape.group[static_cast<std::size_t>(net)];
    NetId& bound = search.nets[static_cast<std::size_t>(group)];
    fresh = false;
    if (bound.known()) {
        return bound == to;
    }
    const bool taken = std::find(search.nets.begin(), search.nets.end(), to) != search.nets.end();
    if (!to.known() || (taken && !of_optional)) {
        return false;
    }
    for (std::size_t n = 0; n < search.pattern.nets.size(); ++n) {
        if (search.shape.group[n] != group) {
            continue;
        }
        const PatternNet& rule = search.pattern.nets[n];
        const auto holds = [&](const std::string& word) { return terms_.has(to, word); };
        if (!std::all_of(rule.is.begin(), rule.is.end(), holds) ||
            std::any_of(rule.is_not.begin(), rule.is_not.end(), holds)) {
            return false;
        }
    }
    bound = to;
    fresh = true;
    const auto pair_holds = [&](const std::vector<std::pair<int, int>>& pairs, auto&& test) {
        return std::all_of(pairs.begin(), pairs.end(), [&](const auto& pair) {
            const NetId a = search.nets[static_cast<std::size_t>(
                search.shape.group[static_cast<std::size_t>(pair.first)])];
            const NetId b = search.nets[static_cast<std::size_t>(
                search.shape.group[static_cast<std::size_t>(pair.second)])];
            return !a.known() || !b.known() || test(a, b);
        });
    };
    const Pattern& p = search.pattern;
    if (pair_holds(p.across_mains, [&](NetId a, NetId b) { return terms_.across_mains(a, b); }) &&
        pair_holds(p.across_barrier, [&](NetId a, NetId b) { return !terms_.same_domain(a, b); }) &&
        pair_holds(p.same_domain, [&](NetId a, NetId b) { return terms_.same_domain(a, b); })) {
        return true;
    }
    bound = NetId{};
    fresh = false;
    return false;
}

// Elements that may fill the slot, given the nets that are bound: those on its least crowded bound
// net, or all.
std::vector<int> Matcher::candidates(const Search& search, int slot) const {
    const Slot& wanted = search.pattern.slots[static_cast<std::size_t>(slot)];
    const std::vector<int>* fewest = nullptr;
    for (const SlotPin& pin : wanted.pins) {
        const NetId net = search.nets[static_cast<std::size_t>(
            search.shape.group[static_cast<std::size_t>(pin.net)])];
        if (net.known()) {
            const auto& here = on_net_[static_cast<std::size_t>(net.index)];
            if (fewest == nullptr || here.size() < fewest->size()) {
                fewest = &here;
            }
        }
    }
    std::vector<int> all;
    const auto consider = [&](int e) {
        if (!search.used[static_cast<std::size_t>(e)] &&
            fits(wanted, elements_[static_cast<std::size_t>(e)])) {
            all.push_back(e);
        }
    };
    if (fewest != nullptr) {
        std::for_each(fewest->begin(), fewest->end(), consider);
    } else {
        for (std::size_t e = 0; e < elements_.size(); ++e) {
            consider(static_cast<int>(e));
        }
    }
    return all;
}

// Binds the slot's pins from `pin` on to pins of the element, in every way; then goes on.
void Matcher::take(
    Search& search, int slot, int element, std::size_t pin, std::vector<Match>& found) {
    ++steps_;
    const Slot& wanted = search.pattern.slots[static_cast<std::size_t>(slot)];
    const Element& e = elements_[static_cast<std::size_t>(element)];
    if (pin == wanted.pins.size()) {
        search.chosen[static_cast<std::size_t>(slot)] = element;
        search.used[static_cast<std::size_t>(element)] = 1;
        this->search(search, found);
        search.used[static_cast<std::size_t>(element)] = 0;
        search.chosen[static_cast<std::size_t>(slot)] = -1;
        return;
    }
    const bool either = either_way(wanted, e);
    std::set<int> tried;
    for (std::size_t k = 0; k < e.pins.size(); ++k) {
        NetId to = e.pins[k].net;
        if (either) {
            // The second pin is the one that the first left over.
            const NetId first = search.nets[static_cast<std::size_t>(
                search.shape.group[static_cast<std::size_t>(wanted.pins[0].net)])];
            if (pin == 1 && e.pins[k].net == first) {
                continue;
            }
        } else if (!is_called(e.pins[k], wanted.pins[pin])) {
            continue;
        }
        if (!to.known() || !tried.insert(to.index).second) {
            continue;
        }
        bool fresh = false;
        if (bind(search, wanted.pins[pin].net, to, fresh)) {
            take(search, slot, element, pin + 1, found);
            if (fresh) {
                search.nets[static_cast<std::size_t>(
                    search.shape.group[static_cast<std::size_t>(wanted.pins[pin].net)])] = NetId{};
            }
        }
    }
}

// Whether nothing but the match is on nets that must be its own, and what a missing part would have
// joined ends there.
bool Matcher::nets_are_its_own(const Search& search, const std::vector<int>& match) const {
    const auto only_match = [&](NetId net) {
        const auto& here = on_net_[static_cast<std::size_t>(net.index)];
        return std::all_of(here.begin(), here.end(), [&](int e) {
            return std::binary_search(match.begin(), match.end(), e);
        });
    };
    for (std::size_t n = 0; n < search.pattern.nets.size(); ++n) {
        const NetId net = search.nets[static_cast<std::size_t>(search.shape.group[n])];
        if (search.pattern.nets[n].alone && net.known() && !only_match(net)) {
            return false;
        }
    }
    if (search.shape.loose.empty()) {
        return true;
    }
    return std::any_of(search.shape.loose.begin(), search.shape.loose.end(), [&](int loose) {
        const NetId net = search.nets[static_cast<std::size_t>(
            search.shape.group[static_cast<std::size_t>(loose)])];
        return net.known() && only_match(net);
    });
}

void Matcher::search(Search& search, std::vector<Match>& found) {
    int next = -1;
    std::vector<int> fewest;
    for (const int slot : search.shape.slots) {
        if (search.chosen[static_cast<std::size_t>(slot)] >= 0) {
            continue;
        }
        std::vector<int> here = candidates(search, slot);
        if (next < 0 || here.size() < fewest.size()) {
            next = slot;
            fewest = std::move(here);
        }
        if (fewest.empty()) {
            return;
        }
    }
    if (next >= 0) {
        for (const int element : fewest) {
            take(search, next, element, 0, found);
        }
        return;
    }
    std::vector<int> key;
    Match match;
    match.pattern = &search.pattern;
    match.elements.resize(search.pattern.slots.size());
    match.near = search.shape.near;
    match.lost = search.shape.lost;
    for (std::size_t s = 0; s < search.chosen.size(); ++s) {
        if (search.chosen[s] >= 0) {
            match.elements[s] = {search.chosen[s]};
            key.push_back(search.chosen[s]);
        }
    }
    std::sort(key.begin(), key.end());
    if (nets_are_its_own(search, key) && search.seen.insert(key).second) {
        add_optional(search, match);
        found.push_back(std::move(match));
    }
}

// What may be there besides, slot by slot; a net that an optional slot brings in is bound by it.
void Matcher::add_optional(Search& search, Match& match) {
    const std::vector<NetId> nets = search.nets;
    for (std::size_t s = 0; s < search.pattern.slots.size(); ++s) {
        const Slot& slot = search.pattern.slots[s];
        if (!slot.optional || slot.name == search.shape.lost) {
            continue;
        }
        for (const int e : candidates(search, static_cast<int>(s))) {
            const Element& element = elements_[static_cast<std::size_t>(e)];
            const std::vector<NetId> before = search.nets;
            const bool either = either_way(slot, element);
            bool all = false;
            for (int turned = 0; turned < (either ? 2 : 1) && !all; ++turned) {
                search.nets = before;
                all = true;
                for (std::size_t k = 0; k < slot.pins.size() && all; ++k) {
                    NetId to;
                    if (either) {
                        to = element.pins[(k + static_cast<std::size_t>(turned)) % 2].net;
                    } else {
                        const auto pin = std::find_if(
                            element.pins.begin(), element.pins.end(), [&](const ElementPin& p) {
                                return is_called(p, slot.pins[k]);
                            });
                        to = pin == element.pins.end() ? NetId{} : pin->net;
                    }
                    bool fresh = false;
                    all = to.known() && bind(search, slot.pins[k].net, to, fresh, true);
                }
            }
            ++steps_;
            if (!all) {
                search.nets = before;
                continue;
            }
            search.used[static_cast<std::size_t>(e)] = 1;
            match.elements[s].push_back(e);
            if (slot.several) {
                search.nets = before;
            } else {
                break;
            }
        }
    }
    match.nets.assign(search.pattern.nets.size(), NetId{});
    for (std::size_t n = 0; n < match.nets.size(); ++n) {
        match.nets[n] = search.nets[static_cast<std::size_t>(search.shape.group[n])];
    }
    for (const auto& slot : match.elements) {
        for (const int e : slot) {
            search.used[static_cast<std::size_t>(e)] = 0;
        }
    }
    for (const int e : search.chosen) {
        if (e >= 0) {
            search.used[static_cast<std::size_t>(e)] = 1;
        }
    }
    search.nets = nets;
}

std::vector<Match> Matcher::find(const Pattern& pattern) {
    std::vector<Match> found;
    std::set<std::vector<int>> seen;
    for (const Shape& shape : shapes_of(pattern)) {
        Search search{pattern,
                      shape,
                      std::vector<NetId>(pattern.nets.size()),
                      std::vector<int>(pattern.slots.size(), -1),
                      std::vector<char>(elements_.size(), 0),
                      seen};
        if (!shape.slots.empty()) {
            this->search(search, found);
        }
    }
    return found;
}

}  // namespace etchback::blocks::detail
