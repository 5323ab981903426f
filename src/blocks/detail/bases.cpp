// Source of knowledge: the base of a bipolar transistor stays near its emitter, whatever feeds it.
// So a start-up resistor into a base sees all of the rail.
#include <algorithm>

#include "blocks/detail/knowledge.h"
#include "blocks/kinds.h"

namespace etchback::blocks::detail {
namespace {

using circuit::NetId;
using circuit::Part;

// Common practice: one junction forward, with what a small emitter resistor adds; backwards the
// junction breaks down at about 6 V.
constexpr double forward_v = 2.0;
constexpr double backward_v = 6.0;

// The level where the emitter lies, directly or through a small resistor.
struct Emitter {
    Frame* frame = nullptr;
    const Level* level = nullptr;
};

Emitter emitter_of(Knowledge& known, const Part& part, NetId base) {
    for (const NetId net : tied(known.circuit, {part.net("emitter")}, most_bus_ohm, {base})) {
        Frame* frame = known.frame_of(net);
        const Level* level = frame != nullptr ? frame->of(net) : nullptr;
        if (level != nullptr && level->form == Form::dc) {
            return {frame, level};
        }
    }
    return {};
}

void learn_base(Knowledge& known, const Part& part) {
    const NetId base = part.net("base");
    if (!base.known() || !part.net("emitter").known() || part.net("emitter") == base ||
        known.frame_of(base) != nullptr) {
        return;
    }
    const auto [frame, emitter] = emitter_of(known, part, base);
    if (frame == nullptr) {
        return;
    }
    const bool npn = part.kind.id == "npn_transistor";
    Level level;
    level.nets = {base};
    level.low_v = emitter->low_v - (npn ? backward_v : forward_v);
    level.high_v = emitter->high_v + (npn ? forward_v : backward_v);
    level.steady_v = emitter->steady_v;
    level.because = "the base of " + part.name + " stays within a few volts of its emitter";
    level.formula = "U ≈ Uemitter";
    level.worked = "U";
    level.source = "common practice: about 2 V forward with the emitter's resistor, 6 V backward";
    level.assumed = true;
    level.evidence = {evidence_of(part, "base and emitter")};
    level.parts = {part.name};
    known.add_level(*frame, std::move(level));
}

}  // namespace

void learn_bases(Knowledge& known) {
    for (const Part& part : known.circuit.parts) {
        if (part.kind.id == "npn_transistor" || part.kind.id == "pnp_transistor") {
            learn_base(known, part);
        }
    }
}

}  // namespace etchback::blocks::detail
