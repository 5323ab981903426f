#include "circuit/detail/reference.h"

#include <algorithm>
#include <iterator>
#include <string>
#include <string_view>
#include <utility>

#include "base/text.h"

namespace etchback::circuit::detail {

namespace {

// Pins that usually sit on 0 V: a chip's ground, the minus of electrolytics, shunt regulators,
// supplies and loads. Cathodes of diodes do not count: they sit on the rail.
bool is_low_pin(const Circuit& circuit, PinRef ref) {
    const parts::Kind& kind = circuit[ref.part].kind;
    switch (circuit[ref].role) {
        case parts::PinRole::ground:
            return true;
        case parts::PinRole::negative:
            return kind.family == "capacitor" || kind.family == "regulator" || kind.off_board;
        default:
            return false;
    }
}

bool is_bridge_minus(const Circuit& circuit, PinRef ref) {
    const Part& part = circuit[ref.part];
    return part.kind.id == "bridge_rectifier" && circuit[ref].role == parts::PinRole::negative;
}

// The minus of a battery or a supply.
bool is_source_minus(const Circuit& circuit, PinRef ref) {
    return circuit[ref.part].kind.family == "source" &&
           circuit[ref].role == parts::PinRole::negative;
}

// The net of `nets` with the most pins for which `counts` holds; of equals the one with more pins
// at all, then the first. Not known if no pin counts.
template <typename Counts>
NetId richest(const Circuit& circuit, const std::vector<NetId>& nets, Counts counts) {
    NetId best;
    std::pair<std::ptrdiff_t, std::size_t> best_score{0, 0};
    for (const NetId net : nets) {
        const std::vector<PinRef>& pins = circuit[net].pins;
        const std::pair score{std::count_if(pins.begin(), pins.end(), counts), pins.size()};
        if (score.first > 0 && score > best_score) {
            best = net;
            best_score = score;
        }
    }
    return best;
}

// Names that people give to 0 V.
bool has_ground_name(const Net& net) {
    static constexpr std::string_view words[] = {
        "gnd", "agnd", "dgnd", "pgnd", "sgnd", "ground", "0v", "vss", "rtn", "return", "com"};
    std::string name = base::lowered(net.name);
    std::erase_if(name, [](char c) { return c == ' ' || c == '_' || c == '-'; });
    return std::find(std::begin(words), std::end(words), name) != std::end(words);
}

NetId net_with_role(const Circuit& circuit, const std::vector<NetId>& nets, std::string_view role) {
    const auto it = std::find_if(
        nets.begin(), nets.end(), [&](NetId net) { return circuit[net].role == role; });
    return it == nets.end() ? NetId{} : *it;
}

}  // namespace

NetId reference_of(const Circuit& circuit, const std::vector<NetId>& nets) {
    if (const NetId net = net_with_role(circuit, nets, "return"); net.known()) {
        return net;
    }
    const auto minus = [&](PinRef ref) { return is_bridge_minus(circuit, ref); };
    if (const NetId net = richest(circuit, nets, minus); net.known()) {
        return net;
    }
    const auto fed = [&](PinRef ref) { return is_source_minus(circuit, ref); };
    if (const NetId net = richest(circuit, nets, fed); net.known()) {
        return net;
    }
    const auto low = [&](PinRef ref) { return is_low_pin(circuit, ref); };
    if (const NetId net = richest(circuit, nets, low); net.known()) {
        return net;
    }
    const auto named = [&](PinRef ref) { return has_ground_name(circuit[circuit[ref].net]); };
    if (const NetId net = richest(circuit, nets, named); net.known()) {
        return net;
    }
    const NetId neutral = net_with_role(circuit, nets, "neutral");
    return neutral.known() ? neutral : net_with_role(circuit, nets, "earth");
}

}  // namespace etchback::circuit::detail
