#include "drawing/nudges.h"

namespace etchback::drawing {

namespace {

Point point_of(const std::pair<int, int>& steps) {
    return {static_cast<double>(steps.first), static_cast<double>(steps.second)};
}

void add_wish(const std::string& name, const dossier::PartWish& wish, Nudges& nudges) {
    if (wish.at) {
        nudges.stands.push_back({name, point_of(wish.at->value), std::nullopt});
    }
    if (wish.by) {
        nudges.ties.push_back({name, wish.from.value, point_of(wish.by->value)});
    }
    if (wish.turn || wish.flip) {
        Turn turn{name, std::nullopt, std::nullopt};
        if (wish.turn) {
            turn.quarter_turns = wish.turn->value / 90;
        }
        if (wish.flip) {
            turn.mirrored = wish.flip->value;
        }
        nudges.turns.push_back(std::move(turn));
    }
    const auto add = [&](const dossier::Text& other, Direction where) {
        if (!other.value.empty()) {
            nudges.beside.push_back({name, where, other.value});
        }
    };
    add(wish.right_of, Direction::right);
    add(wish.left_of, Direction::left);
    add(wish.above, Direction::up);
    add(wish.below, Direction::down);
}

}  // namespace

Nudges nudges_of(const dossier::DrawingWishes& wishes) {
    Nudges nudges;
    for (const auto& [name, wish] : wishes.parts) {
        add_wish(name, wish, nudges);
    }
    for (const std::vector<dossier::Text>& group : wishes.together) {
        std::vector<std::string> names;
        for (const dossier::Text& name : group) {
            names.push_back(name.value);
        }
        nudges.together.push_back(std::move(names));
    }
    return nudges;
}

}  // namespace etchback::drawing
