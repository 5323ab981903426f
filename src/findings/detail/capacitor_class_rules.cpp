// Rules about capacitors at the mains: whether their class fits the place.
#include <algorithm>
#include <cctype>

#include "base/text.h"
#include "blocks/droppers.h"
#include "blocks/kinds.h"
#include "findings/detail/rules.h"

namespace etchback::findings::detail {
namespace {

using circuit::Domain;
using circuit::NetId;
using circuit::Part;

// The class by its kind, or as its marking shows it ("MKP X2 275V~"): Y before X.
std::string class_of(const Part& part) {
    if (!part.kind.safety_class.empty()) {
        return part.kind.safety_class;
    }
    const std::string marking = " " + part.said.marking.value + " ";
    const auto alone = [&](std::size_t at) {
        const auto letter = [](char c) { return std::isalnum(static_cast<unsigned char>(c)) != 0; };
        return !letter(marking[at - 1]) && !letter(marking[at + 2]);
    };
    for (const char* name : {"Y1", "Y2", "X1", "X2"}) {
        const auto at = marking.find(name);
        if (at != std::string::npos && alone(at)) {
            return name;
        }
    }
    return {};
}

bool is_safety(const Part& part) {
    return !class_of(part).empty();
}

void say_class(const Kit& kit, circuit::PartId id, const std::string& text_id) {
    const Part& part = kit.circuit()[id];
    Draft draft;
    draft.text_id = text_id;
    draft.about = part.name;
    draft.words = {
        {"part", part.name}, {"kind", part.kind.title}, {"rms", volts(kit.mains.high_v_rms)}};
    rest_on(
        draft,
        part,
        {"kind", "pins"},
        part.said.marking.value.empty() ? part.kind.title : "marking " + part.said.marking.value);
    rest_on(draft, kit.mains.evidence);
    report(kit, std::move(draft));
}

constexpr std::string_view earth_words = "protective earth";

// What a capacitor across the barrier leads to, seen from the mains.
std::string far_side(const Kit& kit, const circuit::Bridge& bridge) {
    bool isolated = false;
    bool earth = false;
    for (const int d : bridge.domains) {
        const Domain& domain = kit.insulation.domains.domains[static_cast<std::size_t>(d)];
        isolated = isolated || domain.nature == Domain::Nature::isolated;
        earth = earth || domain.nature == Domain::Nature::earth;
    }
    return isolated ? "the isolated side"
           : earth  ? std::string(earth_words)
                    : "a part that is not tied to the mains";
}

// Its place asks for a Y class: it leads from the mains, or from a node that hangs between, to
// something that a person may touch.
bool is_y_position(const Kit& kit, const circuit::Bridge& bridge) {
    int from_mains = 0;
    int hanging = 0;
    int beyond = 0;
    for (const int d : bridge.domains) {
        switch (kit.insulation.domains.domains[static_cast<std::size_t>(d)].nature) {
            case Domain::Nature::mains:
                ++from_mains;
                break;
            case Domain::Nature::floating:
                ++hanging;
                break;
            case Domain::Nature::isolated:
            case Domain::Nature::earth:
                ++beyond;
                break;
        }
    }
    return (from_mains > 0 && hanging + beyond > 0) || (hanging > 0 && beyond > 0);
}

// One Y2 alone between the mains and an isolated side; of two in series each ends at a node
// between.
bool is_single_y2(const Kit& kit, const Part& part) {
    bool mains = false;
    bool isolated = false;
    for (const circuit::Pin& pin : part.pins) {
        if (pin.net.known()) {
            const int d = kit.insulation.domains.of(pin.net);
            const auto nature = kit.insulation.domains.domains[static_cast<std::size_t>(d)].nature;
            mains = mains || nature == Domain::Nature::mains;
            isolated = isolated || nature == Domain::Nature::isolated;
        }
    }
    return mains && isolated && class_of(part) == "Y2";
}

int domain_of(const Kit& kit, const circuit::Pin& pin) {
    return pin.net.known() ? kit.insulation.domains.of(pin.net) : -1;
}

// The parts that lie in series with it across the barrier: at its node between the sides, and not
// side by side with it.
std::vector<const Part*> in_series_with(const Kit& kit, const Part& part) {
    const auto& domains = kit.insulation.domains.domains;
    std::vector<int> own;
    int node = -1;
    for (const circuit::Pin& pin : part.pins) {
        const int d = domain_of(kit, pin);
        own.push_back(d);
        if (d >= 0 && !domains[static_cast<std::size_t>(d)].between.empty()) {
            node = d;
        }
    }
    std::vector<const Part*> others;
    for (const circuit::Bridge& bridge : kit.insulation.domains.bridges) {
        const Part& other = kit.circuit()[bridge.part];
        bool at_node = false;
        bool elsewhere = false;
        for (const circuit::Pin& pin : other.pins) {
            const int d = domain_of(kit, pin);
            at_node = at_node || (d >= 0 && d == node);
            elsewhere = elsewhere || std::find(own.begin(), own.end(), d) == own.end();
        }
        if (at_node && elsewhere) {
            others.push_back(&other);
        }
    }
    return others;
}

// Which of the texts speaks of it, if any.
struct YFault {
    std::string text_id;
    std::vector<const Part*> rests_on;  // what is left of the insulation
};

YFault y_fault(const Kit& kit, const Part& part, const std::string& far) {
    if (is_single_y2(kit, part)) {
        return {"y_position_class.single_y2", {}};
    }
    if (class_of(part).starts_with("Y")) {
        return {};
    }
    const auto others = in_series_with(kit, part);
    const auto all = [&](std::string_view start) {
        return !others.empty() && std::all_of(others.begin(), others.end(), [&](const Part* other) {
            return class_of(*other).starts_with(start);
        });
    };
    // What is bolted to protective earth is dangerous only where the earth is missing, too.
    const bool earthed = far == earth_words && kit.subject.dossier.supply.earthed.value_or(true);
    if (all("Y1") || (earthed && all("Y"))) {
        return {};  // which is enough by itself
    }
    if (all("Y")) {
        return {"y_position_class.in_series", others};
    }
    return {earthed ? "y_position_class.earth" : "y_position_class", {}};
}

}  // namespace

void dropper_capacitor_class(const Kit& kit) {
    if (!kit.on_mains()) {
        return;
    }
    for (const auto& d : blocks::droppers(kit.circuit(), kit.subject.domains, kit.mains)) {
        if (!is_safety(kit.circuit()[d.capacitor])) {
            say_class(kit, d.capacitor, "dropper_capacitor_class");
        }
    }
    for (std::size_t i = 0; i < kit.circuit().parts.size(); ++i) {
        const Part& part = kit.circuit().parts[i];
        const auto both = blocks::is_capacitor(part) ? blocks::ends(part) : std::nullopt;
        if (both && kit.mains.across(both->first, both->second) && !is_safety(part)) {
            say_class(kit, circuit::PartId{static_cast<int>(i)}, "dropper_capacitor_class.across");
        }
    }
}

void y_position_class(const Kit& kit) {
    if (!kit.on_mains()) {
        return;
    }
    for (const circuit::Bridge& bridge : kit.insulation.domains.bridges) {
        const Part& part = kit.circuit()[bridge.part];
        if (!blocks::is_capacitor(part) || !is_y_position(kit, bridge)) {
            continue;
        }
        const std::string far = far_side(kit, bridge);
        const YFault fault = y_fault(kit, part, far);
        if (fault.text_id.empty()) {
            continue;
        }
        std::vector<std::string> left;
        Draft draft;
        draft.text_id = fault.text_id;
        draft.about = part.name;
        rest_on(draft,
                part,
                {"kind", "pins"},
                part.said.marking.value.empty() ? part.kind.title
                                                : "marking " + part.said.marking.value);
        for (const Part* other : fault.rests_on) {
            left.push_back(other->name);
            rest_on(draft, *other, {"kind", "pins"}, "in series with it");
        }
        draft.words = {{"part", part.name},
                       {"kind", part.kind.title},
                       {"other_side", far},
                       {"others", base::listed(left)}};
        report(kit, std::move(draft));
    }
}

}  // namespace etchback::findings::detail
