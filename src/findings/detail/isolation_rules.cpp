// Rules about what a person can touch and what is tied to the mains.
#include <algorithm>

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
           kit.subject.domains.domains[static_cast<std::size_t>(kit.subject.domains.of(net))]
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

}  // namespace

void load_not_isolated(const Kit& kit) {
    if (!kit.on_mains()) {
        return;
    }
    Draft danger;
    danger.text_id = "load_not_isolated";
    std::vector<std::string> things;
    for (const Part& part : kit.circuit().parts) {
        const NetId net = mains_net(kit, part);
        if (!net.known() || blocks::is_mains(part)) {
            continue;
        }
        if (part.said.touchable) {
            things.push_back(part.name);
            rest_on(danger, part, {"touchable", "pins"}, "can be touched");
            add_net(danger, kit.circuit()[net]);
        } else if (blocks::is_led_string(part)) {
            Draft note;
            note.text_id = "load_at_mains";
            note.about = part.name;
            note.words = {{"part", part.name}};
            rest_on(note, part, {"pins"}, "tied to the mains");
            add_net(note, kit.circuit()[net]);
            report(kit, std::move(note));
        }
    }
    for (std::size_t i = 0; i < kit.circuit().nets.size(); ++i) {
        const circuit::Net& net = kit.circuit().nets[i];
        const bool said = std::any_of(net.pins.begin(), net.pins.end(), [&](circuit::PinRef pin) {
            return kit.circuit()[pin.part].said.touchable;
        });
        if (net.note && net.note->touchable && at_mains(kit, NetId{static_cast<int>(i)}) && !said) {
            things.push_back("net " + net.name);
            add_net(danger, net);
            danger.evidence.push_back(
                {base::Evidence::Kind::net, net.name, "can be touched", net.note->place});
        }
    }
    if (things.empty()) {
        return;
    }
    danger.words = {{"things", base::listed(things)}, {"are", things.size() > 1 ? "are" : "is"}};
    report(kit, std::move(danger));
}

}  // namespace etchback::findings::detail
