#include "board-photographer/layout.h"

#include <algorithm>

#include "board-photographer/bodies.h"

namespace etchback::photographer {
namespace {

void add_pads(const Part& part, std::vector<Pad>& pads) {
    const auto body = body_of(part.body, part.pins.size(), part.pitch_mm);
    if (!body) {
        return;  // the reader has complained about it
    }
    for (std::size_t i = 0; i < body->pads.size(); ++i) {
        const BodyPad& like = body->pads[i];
        Pad pad;
        pad.part = part.name;
        pad.pin = i < part.pins.size() ? part.pins[i].pin : std::to_string(i + 1);
        pad.net = i < part.pins.size() ? part.pins[i].net : std::string();
        pad.at = on_board(part, like.at);
        pad.shape = like.shape;
        pad.width_mm = like.width_mm;
        pad.height_mm = like.height_mm;
        pad.turn_deg = part.turn_deg;
        pad.drill_mm = like.drill_mm;
        pad.side = part.side;
        pad.soldered = part.fitted;
        pads.push_back(pad);
    }
}

}  // namespace

std::vector<Pad> pads_of(const Layout& layout) {
    std::vector<Pad> pads;
    for (const Part& part : layout.parts) {
        add_pads(part, pads);
    }
    pads.insert(pads.end(), layout.test_points.begin(), layout.test_points.end());
    for (const Jumper& jumper : layout.jumpers) {
        for (const Point& end : {jumper.from, jumper.to}) {
            Pad pad;
            pad.net = jumper.net;
            pad.at = end;
            pad.width_mm = pad.height_mm = 1.8;
            pad.drill_mm = 0.8;
            pads.push_back(pad);
        }
    }
    return pads;
}

std::string joined_name(const Layout& layout, const std::string& net) {
    for (const Blob& blob : layout.blobs) {
        if (!blob.joins.empty() && blob.joins == net) {
            return blob.net;
        }
    }
    return net;
}

double clearance_between(const Layout& layout, const std::string& a, const std::string& b) {
    const auto domain = [&](const std::string& net) {
        const auto rule = layout.nets.find(net);
        return rule == layout.nets.end() ? std::string() : rule->second.domain;
    };
    double clearance = layout.board.clearance_mm;
    const std::string of_a = domain(a);
    const std::string of_b = domain(b);
    for (const Gap& gap : layout.gaps) {
        if ((gap.a == of_a && gap.b == of_b) || (gap.a == of_b && gap.b == of_a)) {
            clearance = std::max(clearance, gap.distance_mm);
        }
    }
    return clearance;
}

}  // namespace etchback::photographer
