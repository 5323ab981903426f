// Rules about capacitors at the mains: what discharges them, and whether their class fits the
// place.
#include <algorithm>
#include <cctype>

#include "base/text.h"
#include "blocks/discharge.h"
#include "blocks/droppers.h"
#include "blocks/kinds.h"
#include "findings/detail/reach.h"
#include "findings/detail/rules.h"

namespace etchback::findings::detail {
namespace {

using circuit::Domain;
using circuit::NetId;
using circuit::Part;

// IEC 60335-1 22.5 and IEC 60598-1 8.2.7 leave out capacitors up to this value (from memory).
constexpr double exempt_f = 0.1e-6 * (1.0 + 1e-9);
constexpr double limit_after_1s_v = 34.0;  // IEC 60335-1 22.5, from memory

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

// Something carries the charge away, though nobody can say how fast: resistors of which one has no
// value.
bool bleeds_somehow(const Kit& kit, const blocks::PlugCapacitor& c) {
    const auto both = blocks::ends(kit.circuit()[c.capacitor]);
    const auto resistive = [](const Part& part, std::size_t, std::size_t) {
        return blocks::is_resistor(part);
    };
    return both && reach(kit.circuit(), {both->first}, resistive).contains(both->second);
}

// What may be a way out, but nobody knows: a box across the lines, or a chip with a pin for the
// high voltage of the lines, some of which discharge the capacitor.
void doubt_bleed(const Kit& kit, Draft& draft) {
    const auto feeds = [](const Part& part, std::size_t, std::size_t) {
        return blocks::is_resistor(part) || blocks::is_diode(part);
    };
    auto lines = kit.mains.live;
    lines.insert(lines.end(), kit.mains.neutral.begin(), kit.mains.neutral.end());
    const Reached reached = reach(kit.circuit(), lines, feeds);
    for (const Part& part : kit.circuit().parts) {
        int at_lines = 0;
        bool chip = false;
        for (const circuit::Pin& pin : part.pins) {
            at_lines += kit.mains.on_line(pin.net) ? 1 : 0;
            const std::string name = base::lowered(pin.written);
            chip = chip || (blocks::is_controller(part) && reached.contains(pin.net) &&
                            (name == "hv" || name == "xcap" || name == "dis"));
        }
        if (chip || (part.kind.id == "unknown" && at_lines > 1)) {
            ++draft.doubts;
            draft.evidence.push_back({base::Evidence::Kind::assumption,
                                      part.name,
                                      "may discharge it: what it does is not known",
                                      part.said.place});
        }
    }
}

void say_no_bleed(const Kit& kit, const blocks::PlugCapacitor& c) {
    const Part& part = kit.circuit()[c.capacitor];
    const double limit = blocks::es1_charge_limit_v(c.total_f);
    if (c.start_v <= limit || bleeds_somehow(kit, c)) {
        return;
    }
    Draft draft;
    draft.text_id =
        c.total_f > exempt_f ? "x_capacitor_without_bleed" : "x_capacitor_without_bleed.small";
    draft.about = part.name;
    draft.words = {{"parts", base::listed(c.with)},
                   {"part", part.name},
                   {"value", text_of(c.total_f, base::Unit::farad)},
                   {"peak", volts(c.start_v)},
                   {"limit", volts(limit)},
                   {"lies", c.with.size() > 1 ? "lie" : "lies"},
                   {"where", c.in_series ? "in series with the mains" : "across the mains"}};
    rest_on(draft, part, {"value", "pins"}, "no resistive path across it");
    rest_on(draft, kit.mains.evidence);
    draft.doubts += kit.mains.voltage_assumed ? 1 : 0;
    doubt_bleed(kit, draft);
    report(kit, std::move(draft));
}

void say_slow_bleed(const Kit& kit, const blocks::PlugCapacitor& c) {
    const double after_1s = c.after_v(1.0);
    const double after_2s = c.after_v(2.0);
    const bool slow_62368 = after_2s > blocks::es1_charge_limit_v(c.total_f);
    const bool slow_60335 = c.total_f > exempt_f && after_1s > limit_after_1s_v;
    if (c.bleed_ohm <= 0.0 || (!slow_62368 && !slow_60335)) {
        return;
    }
    const Part& part = kit.circuit()[c.capacitor];
    Draft draft;
    draft.text_id = "x_capacitor_slow_bleed";
    draft.about = part.name;
    draft.words = {{"parts", base::listed(c.with)},
                   {"resistors", names(kit.circuit(), c.bleeders)},
                   {"resistance", text_of(c.bleed_ohm, base::Unit::ohm)},
                   {"value", text_of(c.total_f, base::Unit::farad)},
                   {"after_1s", volts(after_1s)},
                   {"after_2s", volts(after_2s)}};
    rest_on(draft, part, {"value", "pins"}, text_of(c.total_f, base::Unit::farad));
    for (const circuit::PartId id : c.bleeders) {
        rest_on(draft, kit.circuit()[id], {"value", "pins"});
    }
    rest_on(draft, kit.mains.evidence);
    report(kit, std::move(draft));
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

// What a capacitor across the barrier leads to, seen from the mains.
std::string far_side(const Kit& kit, const circuit::Bridge& bridge) {
    bool isolated = false;
    bool earth = false;
    for (const int d : bridge.domains) {
        const Domain& domain = kit.subject.domains.domains[static_cast<std::size_t>(d)];
        isolated = isolated || domain.nature == Domain::Nature::isolated;
        earth = earth || domain.nature == Domain::Nature::earth;
    }
    return isolated ? "the isolated side"
           : earth  ? "protective earth"
                    : "a part that is not tied to the mains";
}

// Its place asks for a Y class: it leads from the mains, or from a node that hangs between, to
// something that a person may touch.
bool is_y_position(const Kit& kit, const circuit::Bridge& bridge) {
    int from_mains = 0;
    int hanging = 0;
    int beyond = 0;
    for (const int d : bridge.domains) {
        switch (kit.subject.domains.domains[static_cast<std::size_t>(d)].nature) {
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
            const int d = kit.subject.domains.of(pin.net);
            const auto nature = kit.subject.domains.domains[static_cast<std::size_t>(d)].nature;
            mains = mains || nature == Domain::Nature::mains;
            isolated = isolated || nature == Domain::Nature::isolated;
        }
    }
    return mains && isolated && class_of(part) == "Y2";
}

}  // namespace

void plug_capacitors(const Kit& kit) {
    if (!kit.on_mains()) {
        return;
    }
    // Capacitors side by side share one fate: one finding, under the first one's name.
    std::vector<std::string> said;
    for (const auto& c : blocks::plug_capacitors(kit.circuit(), kit.subject.domains, kit.mains)) {
        std::vector<std::string> group = c.with;
        std::sort(group.begin(), group.end());
        const std::string key = (c.in_series ? "series " : "across ") + base::listed(group);
        if (std::find(said.begin(), said.end(), key) != said.end()) {
            continue;
        }
        said.push_back(key);
        if (!c.bleeds()) {
            say_no_bleed(kit, c);
        } else {
            say_slow_bleed(kit, c);
        }
    }
}

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
    for (const circuit::Bridge& bridge : kit.subject.domains.bridges) {
        const Part& part = kit.circuit()[bridge.part];
        if (!blocks::is_capacitor(part) || !is_y_position(kit, bridge)) {
            continue;
        }
        const bool single_y2 = is_single_y2(kit, part);
        if (class_of(part).starts_with("Y") && !single_y2) {
            continue;
        }
        Draft draft;
        draft.text_id = single_y2 ? "y_position_class.single_y2" : "y_position_class";
        draft.about = part.name;
        draft.words = {
            {"part", part.name}, {"kind", part.kind.title}, {"other_side", far_side(kit, bridge)}};
        rest_on(draft,
                part,
                {"kind", "pins"},
                part.said.marking.value.empty() ? part.kind.title
                                                : "marking " + part.said.marking.value);
        report(kit, std::move(draft));
    }
}

}  // namespace etchback::findings::detail
