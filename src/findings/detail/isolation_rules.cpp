// Rules about what a person can touch and what is tied to the mains.
#include <algorithm>
#include <set>

#include "base/text.h"
#include "blocks/kinds.h"
#include "findings/detail/rules.h"

namespace etchback::findings::detail {
namespace {

using circuit::Domain;
using circuit::NetId;
using circuit::Part;

bool at_mains(const Kit& kit, NetId net) {
    return net.known() &&
           kit.insulation.domains.domains[static_cast<std::size_t>(kit.insulation.domains.of(net))]
                   .nature == Domain::Nature::mains;
}

// The first of its pins whose net is tied to the mains.
NetId mains_net(const Kit& kit, const Part& part) {
    for (const circuit::Pin& pin : part.pins) {
        if (at_mains(kit, pin.net)) {
            return pin.net;
        }
    }
    return {};
}

void add_net(Draft& draft, const circuit::Net& net) {
    if (std::find(draft.nets.begin(), draft.nets.end(), net.name) == draft.nets.end()) {
        draft.nets.push_back(net.name);
    }
}

// Touched: named as a person would, with what shows it.
struct Touched {
    std::string name;
    NetId net;
    const Part* part = nullptr;  // else the net itself
};

std::vector<Touched> touched(const Kit& kit) {
    std::vector<Touched> all;
    for (const Part& part : kit.circuit().parts) {
        for (const circuit::Pin& pin : part.pins) {
            if (part.said.touchable && pin.net.known() && !blocks::is_mains(part)) {
                all.push_back({part.name, pin.net, &part});
            }
        }
    }
    for (std::size_t i = 0; i < kit.circuit().nets.size(); ++i) {
        const circuit::Net& net = kit.circuit().nets[i];
        const bool said = std::any_of(net.pins.begin(), net.pins.end(), [&](circuit::PinRef pin) {
            return kit.circuit()[pin.part].said.touchable;
        });
        if (net.note && net.note->touchable && !said) {
            all.push_back({"net " + net.name, NetId{static_cast<int>(i)}, nullptr});
        }
    }
    return all;
}

void name_touched(const Kit& kit,
                  Draft& draft,
                  std::vector<std::string>& things,
                  const Touched& each) {
    if (std::find(things.begin(), things.end(), each.name) == things.end()) {
        things.push_back(each.name);
    }
    if (each.part != nullptr) {
        rest_on(draft, *each.part, {"touchable", "pins"}, "can be touched");
    } else {
        const circuit::Net& net = kit.circuit()[each.net];
        draft.evidence.push_back(
            {base::Evidence::Kind::net, net.name, "can be touched", net.note->place});
    }
    add_net(draft, kit.circuit()[each.net]);
}

// The crest of the current that counts as harmless: IEC 60335-1 8.1.4, IEC 62368-1 Table 4 (ES1),
// from memory.
constexpr double harmless_a = 0.7e-3;

std::string amperes(double a) {
    return text_of(a, base::Unit::ampere);
}

// Which text speaks of a way through resistors, and how it goes on after a short circuit.
struct Impedance {
    std::string text_id;
    std::string after;
};

Impedance judged(double crest_v, const blocks::BridgeResistance& r) {
    if (crest_v / r.whole_ohm > harmless_a) {
        return {"load_not_isolated.current", ""};
    }
    if (r.after_one_short_ohm <= 0.0) {
        return {"load_not_isolated.single", "what can be touched is at the mains"};
    }
    const double after_a = crest_v / r.after_one_short_ohm;
    return after_a > harmless_a
               ? Impedance{"load_not_isolated.single", "it is up to " + amperes(after_a)}
               : Impedance{"load_not_isolated.impedance",
                           "at most " + amperes(after_a) + " with any one of them short"};
}

// What can be touched lies behind high resistors.
void behind_resistors(const Kit& kit, int domain, const std::vector<Touched>& all) {
    const auto r = blocks::resistance_to(kit.insulation, domain);
    if (r.whole_ohm <= 0.0) {
        return;
    }
    Draft draft;
    std::vector<std::string> things;
    for (const Touched& each : all) {
        if (kit.insulation.domains.of(each.net) == domain) {
            name_touched(kit, draft, things, each);
        }
    }
    const double crest_v = kit.mains.high_v_peak;
    const Impedance said = judged(crest_v, r);
    draft.text_id = said.text_id;
    draft.about = draft.nets.front();
    const bool several = r.parts.size() > 1;
    draft.words = {{"things", base::listed(things)},
                   {"are", things.size() > 1 ? "are" : "is"},
                   {"resistors", names(kit.circuit(), r.parts)},
                   {"resistance", text_of(r.whole_ohm, base::Unit::ohm)},
                   {"let", several ? "let" : "lets"},
                   {"stand", several ? "stand" : "stands"},
                   {"keep", several ? "keep" : "keeps"},
                   {"are_these", several ? "are" : "is"},
                   {"current", amperes(crest_v / r.whole_ohm)},
                   {"peak", volts(crest_v)},
                   {"after", said.after}};
    for (const circuit::PartId id : r.parts) {
        rest_on(draft, kit.circuit()[id], {"value", "pins"}, "bridges the insulation");
    }
    rest_on(draft, kit.mains.evidence);
    draft.doubts += kit.mains.voltage_assumed ? 1 : 0;
    report(kit, std::move(draft));
}

}  // namespace

void load_not_isolated(const Kit& kit) {
    if (!kit.on_mains()) {
        return;
    }
    const std::vector<Touched> all = touched(kit);
    Draft danger;
    danger.text_id = "load_not_isolated";
    std::vector<std::string> things;
    std::set<int> behind;
    for (const Touched& each : all) {
        const bool named = std::find(things.begin(), things.end(), each.name) != things.end();
        if (at_mains(kit, each.net) && !named) {
            name_touched(kit, danger, things, each);
        } else if (!at_mains(kit, each.net)) {
            behind.insert(kit.insulation.domains.of(each.net));
        }
    }
    for (const Part& part : kit.circuit().parts) {
        const NetId net = mains_net(kit, part);
        if (net.known() && blocks::is_led_string(part) && !part.said.touchable) {
            Draft note;
            note.text_id = "load_at_mains";
            note.about = part.name;
            note.words = {{"part", part.name}};
            rest_on(note, part, {"pins"}, "tied to the mains");
            add_net(note, kit.circuit()[net]);
            report(kit, std::move(note));
        }
    }
    if (!things.empty()) {
        danger.words = {{"things", base::listed(things)},
                        {"are", things.size() > 1 ? "are" : "is"}};
        report(kit, std::move(danger));
    }
    for (const int domain : behind) {
        behind_resistors(kit, domain, all);
    }
}

}  // namespace etchback::findings::detail
