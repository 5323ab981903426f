#include "copper/detail/part_joints.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>

#include "copper/detail/pad_feet.h"

namespace etchback::copper::detail {

namespace {

// A pin may be soldered on one side only, where the board's holes are not plated.
constexpr double pin_joins = 0.95;
constexpr double link_joins = 0.99;

// The joint that is the hole of a pin, if the picture showed one.
Joint* hole_joint(Islands& islands, int a, int b, Point at) {
    constexpr double near_mm = 1.5;
    for (Joint& joint : islands.joints) {
        const bool same = (joint.a == a && joint.b == b) || (joint.a == b && joint.b == a);
        if (same && joint.kind == Joint::Kind::hole &&
            std::hypot(joint.at.x_mm - at.x_mm, joint.at.y_mm - at.y_mm) < near_mm) {
            return &joint;
        }
    }
    return nullptr;
}

void add_pin(Islands& islands, const Pad& pad, const PadFoot& foot) {
    if (foot.other < 0 || foot.other == foot.island) {
        return;
    }
    if (Joint* hole = hole_joint(islands, foot.island, foot.other, pad.at)) {
        hole->joined = std::max(hole->joined, pin_joins);
        hole->why = "the pin " + name_of(pad) + " is soldered in it";
        return;
    }
    islands.joints.push_back({.kind = Joint::Kind::hole,
                              .a = foot.island,
                              .b = foot.other,
                              .joined = pin_joins,
                              .at = pad.at,
                              .width_mm = 0.0,
                              .path = {},
                              .below_part = false,
                              .why = "the pin " + name_of(pad) + " goes through the board"});
}

}  // namespace

bool is_wire_link(const dossier::Part& part, const parts::Kind* kind) {
    if (kind == nullptr || !part.fitted) {
        return false;
    }
    const bool zero = kind->family == "resistor" && part.value && part.value->value.exact() &&
                      part.value->value.value == 0.0;
    return kind->family == "jumper" || zero;
}

bool beeps_through(const dossier::Part& part, const parts::Kind* kind) {
    // What a simple tester takes for a connection is common practice: some tens of ohms.
    constexpr double most_ohm = 50.0;
    static const std::array<std::string_view, 7> always = {
        "inductor", "choke", "transformer", "fuse", "jumper", "switch", "relay"};
    if (kind == nullptr || !part.fitted) {
        return false;
    }
    const bool small = kind->family == "resistor" && part.value &&
                       part.value->value.unit == base::Unit::ohm &&
                       part.value->value.value <= most_ohm;
    return small || std::ranges::find(always, kind->family) != always.end();
}

void add_part_joints(Islands& islands,
                     const std::vector<Pad>& pads,
                     const dossier::Dossier& dossier,
                     const parts::Catalogue& catalogue) {
    const std::vector<PadFoot> feet = feet_of(islands, pads);
    std::map<std::string, std::vector<std::size_t>> of_part;
    for (std::size_t i = 0; i < pads.size(); ++i) {
        if (!pads[i].side && feet[i].island >= 0) {
            add_pin(islands, pads[i], feet[i]);
        }
        of_part[pads[i].part].push_back(i);
    }
    for (const dossier::Part& part : dossier.parts) {
        const auto own = of_part.find(part.name);
        if (own == of_part.end() || own->second.size() != 2 ||
            !is_wire_link(part, catalogue.find(part.kind.value))) {
            continue;
        }
        const int a = feet[own->second[0]].island;
        const int b = feet[own->second[1]].island;
        if (a >= 0 && b >= 0 && a != b) {
            islands.joints.push_back({.kind = Joint::Kind::jumper,
                                      .a = a,
                                      .b = b,
                                      .joined = link_joins,
                                      .at = pads[own->second[0]].at,
                                      .width_mm = 0.0,
                                      .path = {pads[own->second[0]].at, pads[own->second[1]].at},
                                      .below_part = false,
                                      .why = part.name + " links them"});
        }
    }
}

}  // namespace etchback::copper::detail
