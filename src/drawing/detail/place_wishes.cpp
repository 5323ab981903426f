#include "drawing/detail/place_wishes.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>

#include "circuit/circuit.h"
#include "drawing/detail/place_model.h"
#include "drawing/detail/place_shape.h"
#include "drawing/nudges.h"

namespace etchback::drawing::detail {

namespace {

std::size_t at(int i) {
    return static_cast<std::size_t>(i);
}

struct Rope {
    int to = -1;
    Offset by;
};

// Follows the ropes from a part to the first one; nothing if they run in a circle.
std::optional<TiedPart> end_of_ropes(const std::map<int, Rope>& ropes, int part) {
    TiedPart end{part, {}};
    for (std::size_t i = 0; i <= ropes.size(); ++i) {
        const auto rope = ropes.find(end.part);
        if (rope == ropes.end()) {
            return end;
        }
        end.part = rope->second.to;
        end.from_first.x += rope->second.by.x;
        end.from_first.y += rope->second.by.y;
    }
    return std::nullopt;
}

Box absolute(const Box& box, Step by) {
    return {box.left + by.x, box.top + by.y, box.right + by.x, box.bottom + by.y};
}

bool clear_of(const Variant& a, Step place_a, const Variant& b, Step place_b) {
    if (!absolute(a.bounds, place_a).overlaps(absolute(b.bounds, place_b))) {
        return true;
    }
    for (const Box& ra : a.rooms) {
        for (const Box& rb : b.rooms) {
            if (absolute(ra, place_a).overlaps(absolute(rb, place_b))) {
                return false;
            }
        }
    }
    return true;
}

// Some two of their variants leave each other free.
bool clear_of(const ModelPart& a, Step place_a, const ModelPart& b, Step place_b) {
    return std::any_of(a.variants.begin(), a.variants.end(), [&](const Variant& va) {
        return std::any_of(b.variants.begin(), b.variants.end(), [&](const Variant& vb) {
            return clear_of(va, place_a, vb, place_b);
        });
    });
}

// Left or right of the line that the other stands astride, or of a line between them.
bool sides_are_right(const ModelPart& a, Step place_a, const ModelPart& b, Step place_b) {
    const Variant& va = a.variants.front();
    const Variant& vb = b.variants.front();
    const auto middle = [](const Variant& v, Step place) {
        return place.x + (v.body.left + v.body.right) / 2.0;
    };
    if (a.astride >= 0 && b.astride >= 0) {
        return (middle(va, place_a) < middle(vb, place_b)) == (a.astride < b.astride) &&
               (middle(va, place_a) == middle(vb, place_b)) == (a.astride == b.astride);
    }
    if (a.astride >= 0) {
        const double line = middle(va, place_a);
        return b.zone <= a.astride ? place_b.x + vb.bounds.right + 0.5 <= line
                                   : place_b.x + vb.bounds.left - 0.5 >= line;
    }
    if (b.astride >= 0) {
        return sides_are_right(b, place_b, a, place_a);
    }
    const double air = 1.0;
    return a.zone == b.zone ||
           (a.zone < b.zone ? place_a.x + va.bounds.right + air <= place_b.x + vb.bounds.left
                            : place_b.x + vb.bounds.right + air <= place_a.x + va.bounds.left);
}

bool can_both_stand(const Model& model, int a, Step place_a, int b, Step place_b) {
    const ModelPart& pa = model.parts[at(a)];
    const ModelPart& pb = model.parts[at(b)];
    return clear_of(pa, place_a, pb, place_b) && sides_are_right(pa, place_a, pb, place_b);
}

// Of nudged places that cannot be had together the later one is given up.
void free_the_crowded(Model& model) {
    for (std::size_t i = 0; i < model.parts.size(); ++i) {
        for (std::size_t j = 0; j < i && model.parts[i].fixed; ++j) {
            model.parts[i].fixed = !model.parts[j].fixed || can_both_stand(model,
                                                                           static_cast<int>(i),
                                                                           model.parts[i].at,
                                                                           static_cast<int>(j),
                                                                           model.parts[j].at);
        }
    }
}

bool fits_into(const Model& model, const Tied& group, const TiedPart& more) {
    const auto place = [](const TiedPart& t) { return Step{t.from_first.x, t.from_first.y}; };
    return std::all_of(group.begin(), group.end(), [&](const TiedPart& t) {
        return can_both_stand(model, t.part, place(t), more.part, place(more)) &&
               (model.parts[at(t.part)].astride < 0 || model.parts[at(more.part)].astride < 0);
    });
}

void fix(const Tied& tied, Model& model) {
    const auto held = std::find_if(
        tied.begin(), tied.end(), [&](const TiedPart& t) { return model.parts[at(t.part)].fixed; });
    if (held == tied.end()) {
        return;
    }
    const Step place = model.parts[at(held->part)].at;
    for (const TiedPart& t : tied) {
        ModelPart& part = model.parts[at(t.part)];
        if (!part.fixed) {
            part.fixed = true;
            part.at = {place.x + t.from_first.x - held->from_first.x,
                       place.y + t.from_first.y - held->from_first.y};
        }
    }
}

// Of a group of which a part is fixed, all that could not be fixed with it moves freely.
void cut_loose(Tied& tied, const Model& model) {
    const auto is_fixed = [&](const TiedPart& t) { return model.parts[at(t.part)].fixed; };
    if (std::any_of(tied.begin(), tied.end(), is_fixed)) {
        std::erase_if(tied, [&](const TiedPart& t) { return !is_fixed(t); });
    }
}

void add_ties(const circuit::Circuit& circuit, const std::vector<Tie>& ties, Model& model) {
    std::map<int, Rope> ropes;
    for (const Tie& tie : ties) {
        const auto part = circuit.part(tie.part);
        const auto to = circuit.part(tie.to);
        if (part && to && part->index != to->index) {
            ropes.emplace(part->index,
                          Rope{to->index,
                               {static_cast<int>(std::lround(tie.by.x)),
                                static_cast<int>(std::lround(tie.by.y))}});
        }
    }
    std::map<int, Tied> groups;
    for (const auto& [part, rope] : ropes) {
        if (const auto end = end_of_ropes(ropes, part)) {
            Tied& group = groups[end->part];
            if (group.empty()) {
                group.push_back({end->part, {}});
            }
            const TiedPart more{part, end->from_first};
            if (fits_into(model, group, more)) {
                group.push_back(more);
            }
        }
    }
    for (auto& [first, group] : groups) {
        fix(group, model);
    }
    free_the_crowded(model);
    for (auto& [first, group] : groups) {
        cut_loose(group, model);
        for (const TiedPart& t : group) {
            model.parts[at(t.part)].tie = static_cast<int>(model.ties.size());
        }
        model.ties.push_back(std::move(group));
    }
}

bool is_upright(Direction d) {
    return d == Direction::up || d == Direction::down;
}

void add_neighbours(const circuit::Circuit& circuit,
                    const std::vector<Beside>& beside,
                    Model& model) {
    for (const Beside& one : beside) {
        const auto part = circuit.part(one.part);
        const auto of = circuit.part(one.of);
        if (part && of && part->index != of->index) {
            const bool corner = std::any_of(beside.begin(), beside.end(), [&](const Beside& other) {
                return other.part == one.part && other.of == one.of &&
                       is_upright(other.where) != is_upright(one.where);
            });
            model.neighbours.push_back({part->index, of->index, one.where, !corner});
        }
    }
}

Box body_of(const Model& model, const Placement& placement, int part) {
    const Variant& v = model.parts[at(part)].variants[at(placement.variant[at(part)])];
    const Step s = placement.at[at(part)];
    return moved(v.body, {static_cast<double>(s.x), static_cast<double>(s.y)});
}

}  // namespace

void add_wishes(const circuit::Circuit& circuit, const Nudges& nudges, Model& model) {
    add_ties(circuit, nudges.ties, model);
    add_neighbours(circuit, nudges.beside, model);
}

Misfit misfit(const Neighbours& pair, const Box& part, const Box& of) {
    Misfit m;
    const double gap = pair.where == Direction::right  ? part.left - of.right
                       : pair.where == Direction::left ? of.left - part.right
                       : pair.where == Direction::down ? part.top - of.bottom
                                                       : of.top - part.bottom;
    m.wrong = std::max(0.0, -gap);
    m.apart = std::max(0.0, gap);
    if (pair.level) {
        m.aside = is_upright(pair.where)
                      ? std::max({0.0, part.left - of.right, of.left - part.right})
                      : std::max({0.0, part.top - of.bottom, of.top - part.bottom});
    }
    return m;
}

void pull_ties(const Model& model, Placement& placement) {
    for (const Tied& tied : model.ties) {
        const Step first = placement.at[at(tied.front().part)];
        for (const TiedPart& t : tied) {
            if (!model.parts[at(t.part)].fixed) {
                placement.at[at(t.part)] = {first.x + t.from_first.x, first.y + t.from_first.y};
            }
        }
    }
}

void pull_neighbours(const Model& model, Placement& placement) {
    constexpr double air = 3.0;
    for (const Neighbours& pair : model.neighbours) {
        const ModelPart& mover = model.parts[at(pair.part)];
        const Box part = body_of(model, placement, pair.part);
        const Box of = body_of(model, placement, pair.of);
        const Misfit m = misfit(pair, part, of);
        if ((m.wrong == 0.0 && m.aside == 0.0) || mover.fixed || mover.tie >= 0) {
            continue;
        }
        Point by{((of.left + of.right) - (part.left + part.right)) / 2.0,
                 ((of.top + of.bottom) - (part.top + part.bottom)) / 2.0};
        switch (pair.where) {
            case Direction::right:
                by.x = of.right + air - part.left;
                break;
            case Direction::left:
                by.x = of.left - air - part.right;
                break;
            case Direction::down:
                by.y = of.bottom + air - part.top;
                break;
            case Direction::up:
                by.y = of.top - air - part.bottom;
                break;
        }
        Step& s = placement.at[at(pair.part)];
        if (!pair.level) {
            (is_upright(pair.where) ? by.x : by.y) = 0.0;
        }
        s = {s.x + static_cast<int>(std::lround(by.x)), s.y + static_cast<int>(std::lround(by.y))};
    }
}

}  // namespace etchback::drawing::detail
