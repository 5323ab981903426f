#include "blocks/elements.h"

#include <algorithm>
#include <cmath>
#include <map>

#include "blocks/kinds.h"

namespace etchback::blocks {

namespace {

using circuit::Circuit;
using circuit::NetId;
using circuit::Part;
using circuit::PartId;

// What may be folded with its like; empty: nothing.
std::string sort_of(const Part& part) {
    if (part.pins.size() != 2 || !ends(part)) {
        return {};
    }
    if (part.kind.id == "resistor") {
        return "resistor";
    }
    if (is_capacitor(part)) {
        return "capacitor";
    }
    if (is_diode(part)) {
        return "diode";
    }
    if (is_zener(part)) {
        return "zener";
    }
    return is_led(part) ? "led" : std::string();
}

bool has_polarity(const std::string& sort) {
    return sort == "diode" || sort == "zener" || sort == "led";
}

// Whether values of two that are put one after the other add up (resistors), or their reciprocals
// do (capacitors); side by side it is the reverse for both. Voltages of LEDs and Zener diodes add
// up in series, and side by side stay as they are.
enum class Adding { none, values, reciprocals, volts };
Adding adding(const std::string& sort) {
    return sort == "resistor"    ? Adding::values
           : sort == "capacitor" ? Adding::reciprocals
           : sort == "diode"     ? Adding::none
                                 : Adding::volts;
}

std::optional<double> value_of(const Part& part) {
    return is_led(part) ? led_knee_v(part) : part.value();
}

struct Folded {
    Element element;
    std::string sort;
    bool gone = false;
    NetId a() const { return element.pins[0].net; }
    NetId b() const { return element.pins[1].net; }
    void turn() { std::swap(element.pins[0].net, element.pins[1].net); }
};

Folded folded(const Circuit& circuit, PartId id, std::string sort) {
    const Part& part = circuit[id];
    Folded f;
    f.sort = std::move(sort);
    f.element.kinds = {part.kind.id};
    f.element.family = part.kind.family;
    f.element.parts = {id};
    for (const circuit::Pin& pin : part.pins) {
        f.element.pins.push_back({pin.name, pin.role, pin.net});
    }
    if (!has_polarity(f.sort)) {
        f.element.pins[0].name = "1";
        f.element.pins[1].name = "2";
    }
    if (has_polarity(f.sort)) {
        const auto p = poles(part);
        f.element.pins[0] = {"anode", parts::PinRole::positive, p->positive};
        f.element.pins[1] = {"cathode", parts::PinRole::negative, p->negative};
    }
    f.element.value = value_of(part);
    if (part.said.tolerance) {
        f.element.tolerance = part.said.tolerance->value.value / 100.0;
    }
    f.element.value_assumed = part.said.basis("value") == dossier::Basis::assumed;
    return f;
}

std::optional<double> together(const Folded& a, const Folded& b, bool series) {
    const auto x = a.element.value, y = b.element.value;
    const Adding how = adding(a.sort);
    if (how == Adding::none || (how == Adding::volts && !series)) {
        return x;
    }
    if (!x || !y) {
        return std::nullopt;
    }
    const bool sum = how == Adding::volts || (how == Adding::values) == series;
    return sum ? *x + *y : *x * *y / (*x + *y);
}

void join(Folded& into, Folded& from, bool series) {
    Element& e = into.element;
    const Element& o = from.element;
    e.value = together(into, from, series);
    e.parts.insert(e.parts.end(), o.parts.begin(), o.parts.end());
    std::sort(e.parts.begin(), e.parts.end());
    e.kinds.insert(e.kinds.end(), o.kinds.begin(), o.kinds.end());
    std::sort(e.kinds.begin(), e.kinds.end());
    e.kinds.erase(std::unique(e.kinds.begin(), e.kinds.end()), e.kinds.end());
    if (e.tolerance || o.tolerance) {
        e.tolerance = std::max(e.tolerance.value_or(0.0), o.tolerance.value_or(0.0));
    }
    e.value_assumed = e.value_assumed || o.value_assumed;
    (series ? e.in_series : e.in_parallel) =
        series ? e.in_series + o.in_series : e.in_parallel + o.in_parallel;
    from.gone = true;
}

bool fold_parallel(std::vector<Folded>& all) {
    bool any = false;
    std::map<std::tuple<std::string, NetId, NetId>, std::size_t> first;
    for (std::size_t i = 0; i < all.size(); ++i) {
        Folded& f = all[i];
        if (f.gone) {
            continue;
        }
        if (!has_polarity(f.sort) && f.b() < f.a()) {
            f.turn();
        }
        const auto [at, fresh] = first.try_emplace({f.sort, f.a(), f.b()}, i);
        if (!fresh) {
            join(all[at->second], f, false);
            any = true;
        }
    }
    return any;
}

// Folds two of a sort that meet on a net of their own. `on` has the number of other pins by net.
bool fold_series(std::vector<Folded>& all, const std::vector<int>& others) {
    std::vector<std::vector<std::size_t>> on(others.size());
    for (std::size_t i = 0; i < all.size(); ++i) {
        if (!all[i].gone) {
            on[static_cast<std::size_t>(all[i].a().index)].push_back(i);
            on[static_cast<std::size_t>(all[i].b().index)].push_back(i);
        }
    }
    for (std::size_t net = 0; net < on.size(); ++net) {
        if (others[net] != 0 || on[net].size() != 2 || on[net][0] == on[net][1]) {
            continue;
        }
        Folded& first = all[on[net][0]];
        Folded& second = all[on[net][1]];
        const NetId middle{static_cast<int>(net)};
        if (first.sort != second.sort || first.b() == first.a()) {
            continue;
        }
        if (has_polarity(first.sort)) {
            if (first.b() == middle && second.a() == middle) {
                first.element.pins[1].net = second.b();
            } else if (second.b() == middle && first.a() == middle) {
                first.element.pins[0].net = second.a();
            } else {
                continue;
            }
        } else {
            const NetId far = second.a() == middle ? second.b() : second.a();
            (first.a() == middle ? first.element.pins[0] : first.element.pins[1]).net = far;
        }
        if (first.a() == first.b()) {
            // A loop of two: put it back by leaving it as it was found; nothing to fold.
            (first.a() == second.a() ? first.element.pins[0] : first.element.pins[1]).net = middle;
            continue;
        }
        join(first, second, true);
        return true;
    }
    return false;
}

std::vector<Element> windings_of(const Circuit& circuit, PartId id) {
    const Part& part = circuit[id];
    std::vector<Element> all;
    for (const dossier::Winding& winding : part.said.windings) {
        Element e;
        e.kinds = {"winding"};
        e.family = "winding";
        e.parts = {id};
        e.winding = winding.name.value;
        for (std::size_t i = 0; i < winding.pins.size(); ++i) {
            const NetId net = part.net(winding.pins[i].value);
            const char* name = i == 0 ? "dot" : i + 1 == winding.pins.size() ? "end" : "tap";
            e.pins.push_back({name, parts::PinRole::passive, net});
        }
        if (winding.turns) {
            e.value = winding.turns->value;
        }
        all.push_back(std::move(e));
    }
    return all;
}

Element whole(const Circuit& circuit, PartId id) {
    const Part& part = circuit[id];
    Element e;
    e.kinds = {part.kind.id};
    e.family = part.kind.family;
    e.parts = {id};
    for (const circuit::Pin& pin : part.pins) {
        e.pins.push_back({pin.name, pin.role, pin.net});
    }
    e.value = part.value();
    if (part.said.tolerance) {
        e.tolerance = part.said.tolerance->value.value / 100.0;
    }
    e.value_assumed = part.said.basis("value") == dossier::Basis::assumed;
    return e;
}

}  // namespace

std::vector<Element> elements(const Circuit& circuit) {
    std::vector<Folded> two;
    std::vector<Element> all;
    std::vector<int> others(circuit.nets.size(), 0);
    for (std::size_t i = 0; i < circuit.parts.size(); ++i) {
        const PartId id{static_cast<int>(i)};
        const Part& part = circuit[id];
        if (std::string sort = sort_of(part); !sort.empty()) {
            two.push_back(folded(circuit, id, std::move(sort)));
            continue;
        }
        if (!is_test_point(part)) {
            for (const circuit::Pin& pin : part.pins) {
                if (pin.net.known()) {
                    ++others[static_cast<std::size_t>(pin.net.index)];
                }
            }
        }
        all.push_back(whole(circuit, id));
        for (Element& winding : windings_of(circuit, id)) {
            all.push_back(std::move(winding));
        }
    }
    while (fold_parallel(two) || fold_series(two, others)) {
    }
    for (Folded& f : two) {
        if (!f.gone) {
            all.push_back(std::move(f.element));
        }
    }
    std::stable_sort(all.begin(), all.end(), [](const Element& a, const Element& b) {
        return a.parts.front() < b.parts.front();
    });
    return all;
}

}  // namespace etchback::blocks
