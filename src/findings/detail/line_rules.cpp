// Rules about the mains lines: fuse and inrush limiting.
#include <algorithm>

#include "base/text.h"
#include "blocks/droppers.h"
#include "blocks/kinds.h"
#include "findings/detail/reach.h"
#include "findings/detail/rules.h"

namespace etchback::findings::detail {
namespace {

using circuit::NetId;
using circuit::Part;
using circuit::PartId;

constexpr double harmless_ohm =
    1e4;  // what a short circuit behind such a resistor draws needs no fuse
constexpr double limiting_ohm = 1.0;  // the least series resistance that counts as inrush limiting
constexpr double bulk_f = 1e-6;       // the least capacitance whose charging counts as inrush

// Pins of different sides (windings, LED and transistor of an optocoupler) are not tied.
bool same_side(const Part& part, std::size_t a, std::size_t b) {
    return part.pins[a].side == part.pins[b].side;
}

bool carries_without_fuse(const Part& part, std::size_t from, std::size_t to) {
    const bool resettable = part.kind.id == "ptc_thermistor";
    if (blocks::is_fuse(part) || resettable || blocks::is_connector(part) ||
        !same_side(part, from, to)) {
        return false;
    }
    const bool weak = blocks::is_resistor(part) && part.value().value_or(0.0) >= harmless_ohm;
    return !weak;
}

// The shortest way from one line to the other that no fuse guards.
std::vector<PartId> unguarded_way(const Kit& kit) {
    const Reached reached =
        reach(kit.circuit(), kit.mains.live_terminals, carries_without_fuse, kit.mains.earth);
    std::vector<PartId> best;
    for (const NetId net : kit.mains.neutral_terminals) {
        const auto way = way_to(reached, net);
        if (!way.empty() && (best.empty() || way.size() < best.size())) {
            best = way;
        }
    }
    return best;
}

std::vector<PartId> fuses(const Kit& kit) {
    std::vector<PartId> found;
    for (std::size_t i = 0; i < kit.circuit().parts.size(); ++i) {
        const auto both = blocks::ends(kit.circuit().parts[i]);
        if (blocks::is_fuse(kit.circuit().parts[i]) && both &&
            !kit.subject.domains.isolated_from_mains(both->first)) {
            found.push_back(PartId{static_cast<int>(i)});
        }
    }
    return found;
}

// An ordinary resistor in the line is often taken for a fuse.
std::string resistors_on(const Kit& kit, const std::vector<PartId>& way) {
    std::vector<std::string> words;
    for (const PartId id : way) {
        const Part& part = kit.circuit()[id];
        if (blocks::is_resistor(part) && part.value()) {
            words.push_back(part.name + " (" + text_of(*part.value(), base::Unit::ohm) + ")");
        }
    }
    if (words.empty()) {
        return "";
    }
    return " " + base::listed(words) +
           (words.size() > 1 ? " stand in the way, but ordinary resistors are no fuses: they"
                             : " stands in the way, but an ordinary resistor is no fuse: it") +
           " may burn with a flame instead of opening.";
}

// Parts that pass a charging surge without holding it back.
bool passes_surge(const Part& part, std::size_t from, std::size_t to) {
    if (blocks::is_bridge(part) || blocks::is_diode(part)) {
        return true;
    }
    const auto paths = blocks::series_paths(part, limiting_ohm);
    const NetId a = part.pins[from].net;
    const NetId b = part.pins[to].net;
    const bool limits = blocks::is_ntc(part) || part.kind.id == "ptc_thermistor" ||
                        (blocks::is_resistor(part) && part.value().value_or(1e9) >= limiting_ohm);
    return !limits && std::any_of(paths.begin(), paths.end(), [&](const auto& path) {
        return (path.first == a && path.second == b) || (path.first == b && path.second == a);
    });
}

enum class Way { out, back };  // the way of the current: out of a line, or back into one

bool passes_forward(const Part& part, std::size_t from, std::size_t to, Way way) {
    if (way == Way::back) {
        std::swap(from, to);
    }
    if (blocks::is_bridge(part)) {
        const auto a = part.pins[from].role;
        const auto b = part.pins[to].role;
        return (a == parts::PinRole::input && b == parts::PinRole::positive) ||
               (a == parts::PinRole::negative && b == parts::PinRole::input);
    }
    const auto p = blocks::is_diode(part) ? blocks::poles(part) : std::nullopt;
    if (p) {
        return part.pins[from].net == p->positive && part.pins[to].net == p->negative;
    }
    return passes_surge(part, from, to);
}

// Where a surge gets from each line, as current flows.
struct Surge {
    Reached live_out, live_back, neutral_out, neutral_back;
    Reached live_plain, neutral_plain;  // without any rectifier
};

Surge surge(const Kit& kit) {
    const auto& mains = kit.mains;
    const auto from = [&](const std::vector<NetId>& start, const Passes& passes) {
        return reach(kit.circuit(), start, passes, mains.earth);
    };
    const Passes out = [](const Part& p, std::size_t a, std::size_t b) {
        return passes_forward(p, a, b, Way::out);
    };
    const Passes back = [](const Part& p, std::size_t a, std::size_t b) {
        return passes_forward(p, a, b, Way::back);
    };
    const Passes plain = [](const Part& p, std::size_t a, std::size_t b) {
        return !blocks::is_bridge(p) && !blocks::is_diode(p) && passes_surge(p, a, b);
    };
    return {from(mains.live_terminals, out),
            from(mains.live_terminals, back),
            from(mains.neutral_terminals, out),
            from(mains.neutral_terminals, back),
            from(mains.live_terminals, plain),
            from(mains.neutral_terminals, plain)};
}

// Charged through a rectifier that stands in the way of at least one end.
bool is_charged(const Surge& s, NetId a, NetId b) {
    const auto plain = [&](NetId n) {
        return s.live_plain.contains(n) || s.neutral_plain.contains(n);
    };
    const auto by = [&](NetId plus, NetId minus) {
        return (s.live_out.contains(plus) && s.neutral_back.contains(minus)) ||
               (s.neutral_out.contains(plus) && s.live_back.contains(minus));
    };
    return !(plain(a) && plain(b)) && (by(a, b) || by(b, a));
}

// Do both lines reach the two ends with nothing in between that limits the current?
bool surges(const Reached& live, const Reached& neutral, NetId a, NetId b) {
    return (live.contains(a) && neutral.contains(b)) || (live.contains(b) && neutral.contains(a));
}

void surge_of(const Kit& kit, PartId id, const std::string& text_id) {
    const Part& part = kit.circuit()[id];
    Draft draft;
    draft.text_id = text_id;
    draft.about = part.name;
    const double crest = kit.mains.high_v_peak;
    draft.words = {{"part", part.name},
                   {"value", text_of(*part.value(), base::Unit::farad)},
                   {"peak", volts(crest)},
                   {"energy", text_of(0.5 * *part.value() * crest * crest, base::Unit::joule)}};
    rest_on(draft, part, {"value", "pins"}, text_of(*part.value(), base::Unit::farad));
    rest_on(draft, kit.mains.evidence);
    report(kit, std::move(draft));
}

}  // namespace

void no_fuse(const Kit& kit) {
    if (!kit.on_mains()) {
        return;
    }
    const auto way = unguarded_way(kit);
    if (way.empty()) {
        return;
    }
    const auto there = fuses(kit);
    Draft draft;
    draft.text_id = there.empty() ? "no_fuse" : "no_fuse.behind";
    draft.words = {{"path", names(kit.circuit(), way)},
                   {"instead", resistors_on(kit, way)},
                   {"fuse", names(kit.circuit(), there)}};
    for (const PartId id : way) {
        rest_on(draft, kit.circuit()[id], {"kind", "pins"});
    }
    for (const PartId id : there) {
        rest_on(draft, kit.circuit()[id], {"kind", "pins"}, "does not guard this way");
    }
    report(kit, std::move(draft));
}

void no_inrush_limiting(const Kit& kit) {
    if (!kit.on_mains()) {
        return;
    }
    const auto& circuit = kit.circuit();
    const Reached live = reach(circuit, kit.mains.live_terminals, passes_surge, kit.mains.earth);
    const Reached neutral =
        reach(circuit, kit.mains.neutral_terminals, passes_surge, kit.mains.earth);
    std::vector<PartId> dropping;
    for (const auto& d : blocks::droppers(circuit, kit.subject.domains, kit.mains)) {
        dropping.push_back(d.capacitor);
        if (surges(live, neutral, d.line_end, d.load_end)) {
            surge_of(kit, d.capacitor, "no_inrush_limiting.dropper");
        }
    }
    const Surge ways = surge(kit);
    for (std::size_t i = 0; i < circuit.parts.size(); ++i) {
        const Part& part = circuit.parts[i];
        const PartId id{static_cast<int>(i)};
        const auto both = blocks::is_capacitor(part) ? blocks::ends(part) : std::nullopt;
        const bool drops = std::find(dropping.begin(), dropping.end(), id) != dropping.end();
        if (both && !drops && part.value().value_or(0.0) >= bulk_f &&
            is_charged(ways, both->first, both->second)) {
            surge_of(kit, id, "no_inrush_limiting");
        }
    }
}

}  // namespace etchback::findings::detail
