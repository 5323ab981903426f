// Rules about capacitors at the mains: what discharges them when the plug is pulled.
#include <algorithm>
#include <cmath>

#include "base/text.h"
#include "blocks/discharge.h"
#include "blocks/droppers.h"
#include "blocks/kinds.h"
#include "findings/detail/reach.h"
#include "findings/detail/rules.h"

namespace etchback::findings::detail {
namespace {

using circuit::Part;

// IEC 60335-1 22.5 and IEC 60598-1 8.2.7 leave out capacitors up to this value (from memory).
constexpr double exempt_f = 0.1e-6 * (1.0 + 1e-9);
constexpr double limit_after_1s_v = 34.0;  // IEC 60335-1 22.5, from memory

// Something carries the charge away, though nobody can say how fast: resistors of which one has no
// value.
bool bleeds_somehow(const Kit& kit, const blocks::PlugCapacitor& c) {
    const auto both = blocks::ends(kit.circuit()[c.capacitor]);
    const auto resistive = [](const Part& part, std::size_t, std::size_t) {
        return blocks::is_resistor(part);
    };
    return both && reach(kit.circuit(), {both->first}, resistive).contains(both->second);
}

// A chip that each line reaches through resistors, by a pin of its own: it may close the path when
// the mains goes.
bool stands_between(const Kit& kit, const Part& part) {
    const auto resistive = [](const Part& p, std::size_t, std::size_t) {
        return blocks::is_resistor(p);
    };
    const Reached live = reach(kit.circuit(), kit.mains.live, resistive);
    const Reached neutral = reach(kit.circuit(), kit.mains.neutral, resistive);
    bool from_live = false;
    bool from_neutral = false;
    for (const circuit::Pin& pin : part.pins) {
        from_live = from_live || (live.contains(pin.net) && !neutral.contains(pin.net));
        from_neutral = from_neutral || (neutral.contains(pin.net) && !live.contains(pin.net));
    }
    return from_live && from_neutral;
}

// What may be a way out, but nobody knows: a box or a chip between the lines, or a chip with a pin
// for the high voltage of the lines, some of which discharge the capacitor.
void doubt_bleed(const Kit& kit, Draft& draft) {
    std::vector<std::string> may;
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
        const bool open = part.kind.id == "unknown" || blocks::is_controller(part);
        if (chip || (part.kind.id == "unknown" && at_lines > 1) ||
            (open && stands_between(kit, part))) {
            ++draft.doubts;
            may.push_back(part.name);
            draft.evidence.push_back({base::Evidence::Kind::assumption,
                                      part.name,
                                      "may discharge it: what it does is not known",
                                      part.said.place});
        }
    }
    draft.words["unless"] = may.empty()
                                ? ""
                                : " Unless " + base::listed(may) +
                                      " does: some chips do, and what it does is not known here.";
}

// R·C that brings the crest down to the limit within a second.
std::string longest_rc(double start_v) {
    return text_of(1.0 / std::log(start_v / limit_after_1s_v), base::Unit::second);
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
                   {"rc", longest_rc(c.start_v)},
                   {"lies", c.with.size() > 1 ? "lie" : "lies"},
                   {"where", c.in_series ? "in series with the mains" : "across the mains"}};
    rest_on(draft, part, {"value", "pins"}, "no resistive path across it");
    rest_on(draft, kit.mains.evidence);
    draft.doubts += kit.mains.voltage_assumed ? 1 : 0;
    doubt_bleed(kit, draft);
    report(kit, std::move(draft));
}

// Which limit it misses, and which it keeps.
std::string verdict(double es1_v, bool slow_60335, bool slow_62368) {
    const std::string first = "IEC 60335-1 (" + volts(limit_after_1s_v) + " after 1 s)";
    const std::string second = "IEC 62368-1 (" + volts(es1_v) + " after 2 s)";
    if (slow_60335 && slow_62368) {
        return "too much for " + first + " and for " + second;
    }
    return slow_60335 ? "too much for " + first + ", but not for " + second
                      : "too much for " + second;
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
    draft.words = {
        {"parts", base::listed(c.with)},
        {"resistors", names(kit.circuit(), c.bleeders)},
        {"resistance", text_of(c.bleed_ohm, base::Unit::ohm)},
        {"value", text_of(c.total_f, base::Unit::farad)},
        {"after_1s", volts(after_1s)},
        {"after_2s", volts(after_2s)},
        {"verdict", verdict(blocks::es1_charge_limit_v(c.total_f), slow_60335, slow_62368)}};
    rest_on(draft, part, {"value", "pins"}, text_of(c.total_f, base::Unit::farad));
    for (const circuit::PartId id : c.bleeders) {
        rest_on(draft, kit.circuit()[id], {"value", "pins"});
    }
    rest_on(draft, kit.mains.evidence);
    report(kit, std::move(draft));
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

}  // namespace etchback::findings::detail
