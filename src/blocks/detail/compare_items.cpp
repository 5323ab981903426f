#include "blocks/detail/compare_items.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>

#include "base/text.h"

namespace etchback::blocks::detail {
namespace {

using circuit::Circuit;
using circuit::PartId;

std::vector<PartId> ids(const Circuit& circuit, const std::vector<int>& parts) {
    std::vector<PartId> out;
    for (const int part : parts) {
        out.push_back({part});
    }
    std::sort(out.begin(), out.end(), [&](PartId a, PartId b) {
        return base::natural_less(circuit[a].name, circuit[b].name);
    });
    return out;
}

std::string said_of(const circuit::Part& part) {
    std::string text = part.kind.title + " " + part.name;
    if (const auto value = part.value()) {
        text += " (" + base::to_engineering(*value, part.kind.value_unit) + ")";
    } else if (!part.said.type.value.empty()) {
        text += " (" + part.said.type.value + ")";
    }
    return text;
}

std::string list_of(const Circuit& circuit, const std::vector<PartId>& parts) {
    std::vector<std::string> words;
    for (const PartId part : parts) {
        words.push_back(said_of(circuit[part]));
    }
    return base::listed(words);
}

std::string names_of(const Circuit& circuit, const std::vector<PartId>& parts) {
    std::vector<std::string> names;
    for (const PartId part : parts) {
        names.push_back(circuit[part].name);
    }
    return base::listed(names);
}

class Describer {
public:
    Describer(Comparison& out, const Matched& m) : out_(out), m_(m) {}

    void all() {
        mappings();
        groups();
        for (std::size_t a = 0; a < m_.there.elements.size(); ++a) {
            if (m_.matching.here_of[a] >= 0) {
                pair(static_cast<int>(a), m_.matching.here_of[a]);
            }
        }
        moved_pins();
        std::stable_sort(out_.differences.begin(),
                         out_.differences.end(),
                         [this](const Difference& a, const Difference& b) { return before(a, b); });
        for (const Difference& difference : out_.differences) {
            out_.cost += difference.cost;
        }
    }

private:
    Comparison& out_;
    const Matched& m_;

    const Element& there(int e) const { return m_.there.elements[static_cast<std::size_t>(e)]; }
    const Element& here(int e) const { return m_.here.elements[static_cast<std::size_t>(e)]; }

    std::string first_name(const Difference& d) const {
        if (!d.found.empty()) {
            return m_.found[d.found.front()].name;
        }
        return d.reference.empty() ? "" : m_.reference[d.reference.front()].name;
    }
    bool before(const Difference& a, const Difference& b) const {
        const bool first_a = a.kind == DifferenceKind::missing;
        const bool first_b = b.kind == DifferenceKind::missing;
        if (first_a != first_b) {
            return first_a;
        }
        const std::string x = first_name(a);
        const std::string y = first_name(b);
        return x != y ? base::natural_less(x, y) : a.kind < b.kind;
    }

    void add(DifferenceKind kind,
             std::vector<PartId> reference,
             std::vector<PartId> found,
             std::string words,
             int cost) {
        Difference difference;
        difference.kind = kind;
        difference.reference = std::move(reference);
        difference.found = std::move(found);
        difference.words = std::move(words);
        difference.cost = cost / static_cast<double>(edit);
        out_.differences.push_back(std::move(difference));
    }

    void mappings() {
        for (std::size_t a = 0; a < m_.there.elements.size(); ++a) {
            if (m_.matching.here_of[a] >= 0) {
                out_.parts.push_back({ids(m_.reference, m_.there.elements[a].parts),
                                      ids(m_.found, here(m_.matching.here_of[a]).parts)});
            }
        }
        std::sort(out_.parts.begin(), out_.parts.end(), [](const auto& a, const auto& b) {
            return a.reference.front() < b.reference.front();
        });
        for (std::size_t n = 0; n < m_.matching.net_of.size(); ++n) {
            const int to = m_.matching.net_of[n];
            if (to >= 0) {
                out_.nets.push_back(
                    {{m_.there.net_of[n]}, {m_.here.net_of[static_cast<std::size_t>(to)]}});
            }
        }
        std::sort(out_.nets.begin(), out_.nets.end(), [](const auto& a, const auto& b) {
            return a.reference < b.reference;
        });
    }

    // "U1.DET is on HV-".
    std::string where(const MovedPin& moved) const {
        const circuit::Part& part = *here(moved.here).part;
        const int net = here(moved.here).nets[static_cast<std::size_t>(moved.pin_here)];
        const std::string name =
            net < 0
                ? ""
                : m_.found
                      .nets[static_cast<std::size_t>(m_.here.net_of[static_cast<std::size_t>(net)])]
                      .name;
        return part.name + "." + part.pins[static_cast<std::size_t>(moved.pin_here)].name +
               (net < 0 ? std::string(" is open") : " is on " + name);
    }
    std::string where_there(const MovedPin& moved) const {
        const circuit::Part& part = *there(moved.there).part;
        const int net = there(moved.there).nets[static_cast<std::size_t>(moved.pin_there)];
        const std::string pin =
            part.name + "." + part.pins[static_cast<std::size_t>(moved.pin_there)].name;
        if (net < 0) {
            return pin + " is open";
        }
        const circuit::Net& on =
            m_.reference
                .nets[static_cast<std::size_t>(m_.there.net_of[static_cast<std::size_t>(net)])];
        std::vector<std::string> others;
        for (const circuit::PinRef ref : on.pins) {
            const std::string other = m_.reference[ref.part].name + "." + m_.reference[ref].name;
            if (other != pin && others.size() < 3) {
                others.push_back(other);
            }
        }
        return pin + " is on " + on.name +
               (others.empty() ? std::string() : " with " + base::listed(others));
    }

    // " between AUX and GND": the nets by which a group is joined to the rest.
    std::string between(const Group& group) const {
        const Model& model = group.missing ? m_.there : m_.here;
        const Circuit& circuit = group.missing ? m_.reference : m_.found;
        std::set<int> nets(group.nets.begin(), group.nets.end());
        std::vector<std::string> names;
        for (const int net : nets) {
            const auto own = std::count(group.nets.begin(), group.nets.end(), net);
            const auto id = static_cast<std::size_t>(model.net_of[static_cast<std::size_t>(net)]);
            if (own < static_cast<std::ptrdiff_t>(circuit.nets[id].pins.size())) {
                names.push_back(circuit.nets[id].name);
            }
        }
        std::sort(names.begin(), names.end(), base::natural_less);
        if (names.empty() || names.size() > 3) {
            return "";
        }
        return std::string(names.size() == 1 ? " on " : " between ") + base::listed(names);
    }

    void groups() {
        for (std::size_t g = 0; g < m_.matching.groups.size(); ++g) {
            const Group& group = m_.matching.groups[g];
            std::vector<int> parts;
            for (const int e : group.elements) {
                const Element& element = group.missing ? there(e) : here(e);
                parts.insert(parts.end(), element.parts.begin(), element.parts.end());
            }
            const Circuit& circuit = group.missing ? m_.reference : m_.found;
            std::vector<PartId> of = ids(circuit, parts);
            std::string words = list_of(circuit, of) + between(group) +
                                (group.missing ? ": not on the board" : ": not in the reference");
            std::vector<std::string> pins;
            for (const MovedPin& moved : m_.matching.moved) {
                if (group.missing && moved.group == static_cast<int>(g)) {
                    pins.push_back(where(moved));
                }
            }
            std::sort(pins.begin(), pins.end(), base::natural_less);
            words += pins.empty() ? "" : ", and " + base::listed(pins);
            const int cost = edit * static_cast<int>(of.size());
            if (group.missing) {
                add(DifferenceKind::missing, std::move(of), {}, std::move(words), cost);
            } else {
                add(DifferenceKind::added, {}, std::move(of), std::move(words), cost);
            }
        }
    }

    static std::string together(const Circuit& circuit, const Element& element) {
        const std::vector<PartId> of = ids(circuit, element.parts);
        std::vector<std::string> values;
        for (const PartId part : of) {
            values.push_back(
                base::to_engineering(*circuit[part].value(), circuit[part].kind.value_unit));
        }
        if (of.size() == 1) {
            return names_of(circuit, of) + " (" + values.front() + ")";
        }
        return names_of(circuit, of) + " (" + base::listed(values) +
               (of.size() > 2 ? ", together "
                              : (element.series ? " in series, " : " in parallel, ")) +
               base::to_engineering(*element.value, element.part->kind.value_unit) + ")";
    }

    static std::string property_words(const circuit::Part& a, const circuit::Part& b) {
        std::string words;
        const auto look = [&](const auto& x, const auto& y) {
            for (const auto& [key, amount] : x) {
                const auto it = y.find(key);
                if (it != y.end() && it->second.value.value != amount.value.value) {
                    words += (words.empty() ? "" : ", ") + key + " " +
                             base::to_text(it->second.value) + " instead of " +
                             base::to_text(amount.value);
                }
            }
        };
        look(a.said.properties, b.said.properties);
        look(a.said.thresholds, b.said.thresholds);
        return words;
    }

    static std::string rating_words(const circuit::Part& a, const circuit::Part& b) {
        std::vector<std::string> words;
        const auto look = [&](const auto& x, const auto& y) {
            if (x && y && y->value.value < 0.99 * x->value.value) {
                words.push_back(base::to_text(y->value) + " instead of " + base::to_text(x->value));
            }
        };
        look(a.said.rated_voltage, b.said.rated_voltage);
        look(a.said.rated_current, b.said.rated_current);
        return words.empty() ? "" : "rated " + base::listed(words);
    }

    std::string value_words(const Element& x, const Element& y) const {
        const circuit::Part& a = *x.part;
        const circuit::Part& b = *y.part;
        std::vector<std::string> words;
        if (x.value && y.value && *x.value != *y.value) {
            words.push_back(base::to_engineering(*y.value, b.kind.value_unit) + " instead of " +
                            base::to_engineering(*x.value, a.kind.value_unit));
        } else if (!a.said.type.value.empty() && a.said.type.value != b.said.type.value) {
            words.push_back(b.said.type.value + " instead of " + a.said.type.value);
        }
        for (const std::string& more : {property_words(a, b), rating_words(a, b)}) {
            if (!more.empty()) {
                words.push_back(more);
            }
        }
        return fmt::format("{}", fmt::join(words, "; "));
    }

    void pair(int a, int b) {
        const Element& x = there(a);
        const Element& y = here(b);
        const PairCost pair = pair_cost(x, y);
        const Way& way =
            pair.ways[static_cast<std::size_t>(m_.matching.way_of[static_cast<std::size_t>(a)])];
        const std::vector<PartId> reference = ids(m_.reference, x.parts);
        const std::vector<PartId> found = ids(m_.found, y.parts);
        const std::string both = y.part->name + " (there " + x.part->name + "): ";
        if (x.folded() || y.folded()) {
            add(y.parts.size() >= x.parts.size() ? DifferenceKind::split : DifferenceKind::merged,
                reference,
                found,
                together(m_.found, y) + " in place of " + together(m_.reference, x),
                pair.cost);
        } else if (pair.kind) {
            add(DifferenceKind::kind,
                reference,
                found,
                both + y.part->kind.title + " instead of " + x.part->kind.title +
                    (pair.value ? ", " + value_words(x, y) : ""),
                pair.cost);
        } else if (pair.value) {
            add(DifferenceKind::value, reference, found, both + value_words(x, y), pair.cost);
        } else if (pair.rating) {
            add(DifferenceKind::rating,
                reference,
                found,
                both + rating_words(*x.part, *y.part),
                pair.cost);
        }
        way_items(way, reference, found, both);
    }

    void way_items(const Way& way,
                   const std::vector<PartId>& reference,
                   const std::vector<PartId>& found,
                   const std::string& both) {
        if (way.cost == 0) {
            return;
        }
        if (way.turned) {
            add(DifferenceKind::reversed,
                reference,
                found,
                both + (m_.found[found.front()].said.windings.empty()
                            ? "the other way round"
                            : "a winding the other way round, or another turns ratio"),
                way.cost);
        } else if (!m_.found[found.front()].said.windings.empty()) {
            add(DifferenceKind::turns,
                reference,
                found,
                both + "another ratio of turns, or a winding more or less",
                way.cost);
        } else {
            add(DifferenceKind::connection,
                reference,
                found,
                both + "pins that the other has not",
                way.cost);
        }
    }

    // Pins that went together from one net to another are one thing.
    void moved_pins() {
        std::map<std::pair<int, int>, std::vector<const MovedPin*>> together;
        for (const MovedPin& moved : m_.matching.moved) {
            if (moved.group < 0) {
                together[{there(moved.there).nets[static_cast<std::size_t>(moved.pin_there)],
                          here(moved.here).nets[static_cast<std::size_t>(moved.pin_here)]}]
                    .push_back(&moved);
            }
        }
        for (const auto& [nets, pins] : together) {
            std::vector<int> reference, found;
            std::vector<std::string> now, before;
            for (const MovedPin* moved : pins) {
                const auto& x = there(moved->there).parts;
                const auto& y = here(moved->here).parts;
                reference.insert(reference.end(), x.begin(), x.end());
                found.insert(found.end(), y.begin(), y.end());
                now.push_back(where(*moved));
                before.push_back(where_there(*moved));
            }
            std::sort(now.begin(), now.end(), base::natural_less);
            std::sort(before.begin(), before.end(), base::natural_less);
            add(DifferenceKind::connection,
                ids(m_.reference, reference),
                ids(m_.found, found),
                base::listed(now) + "; in the reference " + base::listed(before),
                edit * static_cast<int>(pins.size()));
        }
    }
};

}  // namespace

void describe(Comparison& comparison, const Matched& matched) {
    Describer(comparison, matched).all();
}

}  // namespace etchback::blocks::detail
