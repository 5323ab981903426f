// The last touch, with true wires instead of estimates: parts are tried at other places and turned,
// where their wires bend or cross.
#include <algorithm>

#include "drawing/detail/route_router.h"

namespace etchback::drawing::detail {

namespace {

std::size_t at(int i) {
    return static_cast<std::size_t>(i);
}

}  // namespace

bool Router::troubled(int part) const {
    const auto& nets = model_.parts[at(part)].nets;
    return std::any_of(nets.begin(), nets.end(), [&](int net) {
        const Track& track = tracks_[at(net)];
        return styles_[at(net)] == NetStyle::wired &&
               (!track.signs.empty() || crosses(net) || bends_of(grid_, track.edges, net) > 0);
    });
}

// In line with another pin of one of its nets, or a little aside, or turned about a pin.
Router::Stand Router::propose(int part, Dice& dice) const {
    Stand stand = stand_of(part);
    const auto& variants = model_.parts[at(part)].variants;
    const double which = dice.unit();
    if (which < 0.3) {
        stand.at.x += dice.between(-3, 3);
        stand.at.y += dice.between(-3, 3);
        return stand;
    }
    if (which < 0.75 && variants.size() > 1) {
        stand.variant = dice.below(static_cast<int>(variants.size()));
    }
    const auto& old_pins = variant(part).pins;
    const auto& pins = variants[at(stand.variant)].pins;
    if (pins.empty()) {
        return stand;
    }
    const int k = dice.below(static_cast<int>(pins.size()));
    const ModelPin& pin = pins[at(k)];
    if (which < 0.5 || pin.net < 0) {
        stand.at.x += old_pins[at(k)].at.x - pin.at.x;
        stand.at.y += old_pins[at(k)].at.y - pin.at.y;
        return stand;
    }
    const ModelNet& net = model_.nets[at(pin.net)];
    const PinOf other = net.pins[at(dice.below(static_cast<int>(net.pins.size())))];
    const int there = pin_node(other);
    const Step out = step_of(facing(other));
    const bool facing_each_other = pin.facing == opposite(facing(other));
    const int away = facing_each_other ? dice.between(2, 7) : 0;
    const int aside = facing_each_other ? 0 : dice.between(-9, 9);
    stand.at = {grid_.x(there) + out.x * away + (out.x == 0 ? aside : 0) - pin.at.x,
                grid_.y(there) + out.y * away + (out.y == 0 ? aside : 0) - pin.at.y};
    return stand;
}

// One part as above; or what hangs on it goes along; or two parts change places.
std::vector<Router::Stand> Router::propose_some(int part, Dice& dice) const {
    const double which = dice.unit();
    if (which < 0.55) {
        return {propose(part, dice)};
    }
    if (which < 0.65) {
        const Stand other = stand_of(dice.below(static_cast<int>(model_.parts.size())));
        if (other.part == part || model_.parts[at(other.part)].astride >= 0) {
            return {};
        }
        Stand mine = stand_of(part);
        Stand theirs = other;
        std::swap(mine.at, theirs.at);
        return {mine, theirs};
    }
    const bool upright = dice.chance(0.5);
    const std::vector<int> group = group_of(part, upright);
    if (which < 0.85) {
        const int reach = dice.chance(0.5) ? 2 : 6;
        const Step by{dice.between(-reach, reach), dice.between(-reach, reach)};
        return shifted(group, by);
    }
    const Stand alone = propose(part, dice);
    const Step now = placement_.at[at(part)];
    return shifted(group, {alone.at.x - now.x, alone.at.y - now.y});
}

void Router::refine(int tries, long work, std::uint64_t seed) {
    Dice dice(seed);
    std::vector<int> parts;
    const long enough = search_.work() + work;
    for (int i = 0; i < tries && search_.work() < enough; ++i) {
        if (i % 32 == 0) {
            parts.clear();
            for (int p = 0; p < static_cast<int>(model_.parts.size()); ++p) {
                if (model_.parts[at(p)].astride < 0 && troubled(p)) {
                    parts.push_back(p);
                }
            }
        }
        if (parts.empty()) {
            return;
        }
        std::vector<Stand> stands =
            propose_some(parts[at(dice.below(static_cast<int>(parts.size())))], dice);
        const bool same = std::all_of(stands.begin(), stands.end(), [&](const Stand& s) {
            const Stand now = stand_of(s.part);
            return s.variant == now.variant && s.at == now.at;
        });
        if (!same) {
            try_stands(stands);
        }
    }
}

}  // namespace etchback::drawing::detail
