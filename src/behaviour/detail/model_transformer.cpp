// Transformers: magnetising winding, leakage in series with the first winding, ideal ratios.
#include <fmt/format.h>

#include <cmath>

#include "behaviour/detail/model_parts.h"

namespace etchback::behaviour::detail {
namespace {

struct Coil {
    std::string name;
    std::vector<std::size_t> pins;  // as the winding gives them, the dot first
    std::optional<double> turns, henry, ohm;
};

std::optional<std::size_t> pin_of(const circuit::Part& part, const std::string& written) {
    for (std::size_t p = 0; p < part.pins.size(); ++p) {
        if (part.pins[p].written == written || part.pins[p].name == written) {
            return p;
        }
    }
    return std::nullopt;
}

std::vector<Coil> coils_of(Builder& b, PartId id) {
    const circuit::Part& part = b.part(id);
    std::vector<Coil> out;
    for (const dossier::Winding& winding : part.said.windings) {
        Coil coil;
        coil.name = winding.name.value.empty() ? fmt::format("winding {}", out.size() + 1)
                                               : winding.name.value;
        for (const dossier::Text& pin : winding.pins) {
            if (const auto index = pin_of(part, pin.value)) {
                coil.pins.push_back(*index);
            }
        }
        if (winding.turns && winding.turns->value > 0) {
            coil.turns = winding.turns->value;
        }
        if (winding.inductance && winding.inductance->value.value > 0) {
            coil.henry = winding.inductance->value.value;
        }
        if (winding.resistance && winding.resistance->value.value > 0) {
            coil.ohm = winding.resistance->value.value;
        }
        if (coil.pins.size() < 2) {
            b.note(fmt::format("{}: its {} has fewer than two pins on nets and is left out",
                               part.name,
                               coil.name));
        } else {
            out.push_back(std::move(coil));
        }
    }
    return out;
}

// Turns of a coil over turns of the first, by turns or by the roots of inductances.
std::optional<double> ratio_of(const Coil& first, const Coil& coil) {
    if (first.turns && coil.turns) {
        return *coil.turns / *first.turns;
    }
    if (first.henry && coil.henry) {
        return std::sqrt(*coil.henry / *first.henry);
    }
    return std::nullopt;
}

// Inductance of the first winding: its own, another's by the ratio, or by turns and a usual core.
std::optional<double> magnetising(Builder& b, PartId id, const std::vector<Coil>& coils) {
    const auto said = [&](double henry) {
        return b.number(
            id, "inductance", Known{base::Quantity::of(henry, base::Unit::henry), false, ""});
    };
    if (coils[0].henry) {
        return said(*coils[0].henry);
    }
    for (const Coil& coil : coils) {
        const auto ratio = ratio_of(coils[0], coil);
        if (coil.henry && ratio) {
            return said(*coil.henry / (*ratio * *ratio));
        }
    }
    if (b.part(id).said.value) {
        return said(b.part(id).said.value->value.value);
    }
    if (coils[0].turns) {
        const double per_turn = b.number(id, "inductance_factor");
        return b.number(id,
                        "inductance",
                        Known{base::Quantity::of(*coils[0].turns * *coils[0].turns * per_turn,
                                                 base::Unit::henry),
                              true,
                              "turns squared times the usual inductance factor of a small core"});
    }
    return std::nullopt;
}

// Ends of a coil; a tap halves it.
void join(Builder& b,
          PartId id,
          const Coil& coil,
          NodeId core_plus,
          NodeId core_minus,
          double turns_over_first) {
    const std::size_t sections = coil.pins.size() - 1;
    const double share = turns_over_first / static_cast<double>(sections);
    for (std::size_t s = 0; s < sections; ++s) {
        const std::string what = sections == 1 ? coil.name : fmt::format("{} {}", coil.name, s + 1);
        NodeId dot = b.pin(id, coil.pins[s]);
        const NodeId end = b.pin(id, coil.pins[s + 1]);
        if (coil.ohm) {
            const NodeId behind = b.inner(id, what);
            b.conductor(
                id, what + " resistance", dot, behind, *coil.ohm / static_cast<double>(sections));
            dot = behind;
        }
        b.network().transformer({b.name(id, what), core_plus, core_minus, dot, end, 1.0 / share});
    }
}

}  // namespace

void model_transformer(Builder& b, PartId id) {
    const std::vector<Coil> coils = coils_of(b, id);
    const circuit::Part& part = b.part(id);
    if (coils.empty()) {
        b.note(fmt::format("{}: its windings are not described; it is left out", part.name));
        return;
    }
    const auto henry = magnetising(b, id, coils);
    if (!henry) {
        b.complain(id,
                   "neither an inductance nor turns are known of its windings",
                   "write inductance = \"...\" of the first winding and turns of all");
        return;
    }
    std::optional<Known> leak;
    if (part.said.leakage) {
        leak = Known{part.said.leakage->value, false, ""};
    } else {
        leak = Known{base::Quantity::of(b.number(id, "leakage_share") * *henry, base::Unit::henry),
                     true,
                     "usual share of the inductance"};
    }
    const Coil& first = coils[0];
    const NodeId dot = b.pin(id, first.pins.front());
    const NodeId end = b.pin(id, first.pins.back());
    const NodeId core = b.inner(id, "core");
    const double leakage = b.number(id, "leakage", leak);
    const BranchId line =
        b.winding(id, "leakage", dot, core, leakage, first.ohm.value_or(0.0), "leakage");
    // Iron for the mains and ferrite lose their energy at other frequencies.
    const bool iron = *henry > 0.3;
    b.winding(id, "magnetising", core, end, *henry, 0.0, iron ? "iron" : "magnetising");
    b.current(id, line);
    if (first.pins.size() > 2) {  // a tap of the first winding: ideal, at half of it
        const NodeId tap = b.pin(id, first.pins[1]);
        b.network().transformer({b.name(id, first.name + " tap"), core, end, tap, end, 2.0});
    }
    for (std::size_t c = 1; c < coils.size(); ++c) {
        const auto ratio = ratio_of(first, coils[c]);
        if (!ratio) {
            b.note(
                fmt::format("{}: neither turns nor inductance are known of its {}; it is "
                            "taken as open",
                            part.name,
                            coils[c].name));
            continue;
        }
        join(b, id, coils[c], core, end, *ratio);
    }
}

}  // namespace etchback::behaviour::detail
