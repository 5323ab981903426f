#include "circuit/detail/series_parallel.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>
#include <utility>

namespace etchback::circuit::detail {

namespace {

using Sort = Element::Sort;

bool by_first_part(const Element& a, const Element& b) {
    return a.parts.front() < b.parts.front();
}

Element set_of(Sort sort, std::vector<Element> members, NetId a, NetId b) {
    Element set;
    set.sort = sort;
    set.from = std::min(a, b);
    set.to = std::max(a, b);
    for (Element& member : members) {
        set.parts.insert(set.parts.end(), member.parts.begin(), member.parts.end());
        if (member.sort == sort) {
            std::move(
                member.elements.begin(), member.elements.end(), std::back_inserter(set.elements));
        } else {
            set.elements.push_back(std::move(member));
        }
    }
    std::sort(set.parts.begin(), set.parts.end());
    std::sort(set.elements.begin(), set.elements.end(), by_first_part);
    return set;
}

bool fold_parallel(std::vector<Element>& elements) {
    std::map<std::pair<NetId, NetId>, std::vector<Element>> by_ends;
    const std::size_t before = elements.size();
    for (Element& element : elements) {
        by_ends[{element.from, element.to}].push_back(std::move(element));
    }
    elements.clear();
    for (auto& [ends, members] : by_ends) {
        elements.push_back(
            members.size() == 1
                ? std::move(members.front())
                : set_of(Sort::parallel, std::move(members), ends.first, ends.second));
    }
    return elements.size() < before;
}

// Nets on which nothing hangs but parts that can be folded, and test points.
std::vector<bool> inner_nets(const Circuit& circuit, const Foldable& what) {
    std::vector<bool> inner;
    for (const Net& net : circuit.nets) {
        inner.push_back(std::all_of(net.pins.begin(), net.pins.end(), [&](PinRef ref) {
            const Part& part = circuit[ref.part];
            return part.kind.id == "test_point" || folds(part, what);
        }));
    }
    return inner;
}

class Chains {
public:
    Chains(std::vector<Element>& elements, const std::vector<bool>& inner)
        : elements_(elements), inner_(inner), used_(elements.size()) {
        for (std::size_t i = 0; i < elements.size(); ++i) {
            at_[elements[i].from].push_back(i);
            at_[elements[i].to].push_back(i);
        }
    }

    // Folds every chain between two nets that are no inner joints. True if there was one.
    bool fold() {
        std::vector<Element> folded;
        for (std::size_t i = 0; i < elements_.size(); ++i) {
            for (const NetId start : {elements_[i].from, elements_[i].to}) {
                if (!used_[i] && !is_joint(start)) {
                    follow(start, i, folded);
                }
            }
        }
        if (folded.empty()) {
            return false;
        }
        for (std::size_t i = 0; i < elements_.size(); ++i) {
            if (!used_[i]) {
                folded.push_back(std::move(elements_[i]));
            }
        }
        elements_ = std::move(folded);
        return true;
    }

private:
    bool is_joint(NetId net) const {
        return inner_[static_cast<std::size_t>(net.index)] && at_.at(net).size() == 2;
    }

    void follow(NetId start, std::size_t first, std::vector<Element>& folded) {
        std::vector<std::size_t> chain{first};
        NetId end = other_end(first, start);
        while (is_joint(end)) {
            const std::vector<std::size_t>& here = at_.at(end);
            chain.push_back(here[0] == chain.back() ? here[1] : here[0]);
            end = other_end(chain.back(), end);
        }
        if (chain.size() == 1 || end == start) {
            return;
        }
        std::vector<Element> members;
        for (const std::size_t i : chain) {
            used_[i] = true;
            members.push_back(std::move(elements_[i]));
        }
        folded.push_back(set_of(Sort::series, std::move(members), start, end));
    }

    NetId other_end(std::size_t i, NetId end) const {
        return elements_[i].from == end ? elements_[i].to : elements_[i].from;
    }

    std::vector<Element>& elements_;
    const std::vector<bool>& inner_;
    std::vector<bool> used_;
    std::map<NetId, std::vector<std::size_t>> at_;
};

std::vector<Element> single_parts(const Circuit& circuit, const Foldable& what) {
    std::vector<Element> elements;
    for (std::size_t i = 0; i < circuit.parts.size(); ++i) {
        const Part& part = circuit.parts[i];
        if (folds(part, what)) {
            Element element;
            element.part = PartId{static_cast<int>(i)};
            element.parts = {element.part};
            element.from = std::min(part.pins[0].net, part.pins[1].net);
            element.to = std::max(part.pins[0].net, part.pins[1].net);
            elements.push_back(std::move(element));
        }
    }
    return elements;
}

}  // namespace

bool folds(const Part& part, const Foldable& what) {
    if (part.kind.family != what.family || part.kind.value_unit != what.unit ||
        part.pins.size() != 2) {
        return false;
    }
    const double value = part.value().value_or(0.0);
    return std::isfinite(value) && value > 0.0 && part.pins[0].net.known() &&
           part.pins[1].net.known() && part.pins[0].net != part.pins[1].net;
}

std::vector<Element> fold(const Circuit& circuit, const Foldable& what) {
    std::vector<Element> elements = single_parts(circuit, what);
    const std::vector<bool> inner = inner_nets(circuit, what);
    bool changed = true;
    while (changed) {
        changed = fold_parallel(elements);
        changed = Chains(elements, inner).fold() || changed;
    }
    std::sort(elements.begin(), elements.end(), by_first_part);
    return elements;
}

}  // namespace etchback::circuit::detail
