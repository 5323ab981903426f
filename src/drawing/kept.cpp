// Whether a drawing is as a person asked for it.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "base/text.h"
#include "drawing/detail/label_room.h"
#include "drawing/detail/place_wishes.h"
#include "drawing/drawing.h"

namespace etchback::drawing {

namespace {

class Check {
public:
    Check(const Drawing& drawing, const circuit::Circuit& circuit)
        : drawing_(drawing), circuit_(circuit) {}

    void stand(const Stand& stand) {
        const PlacedPart* part = find(stand.part);
        if (part == nullptr) {
            return;
        }
        if (stand.at) {
            place(stand.part, *part, *stand.at, drawing_.origin, "");
        }
        if (stand.turned) {
            turn({stand.part, stand.turned->quarter_turns, stand.turned->mirrored});
        }
    }

    void tie(const Tie& tie) {
        const PlacedPart* part = find(tie.part);
        const PlacedPart* to = find(tie.to);
        if (part != nullptr && to != nullptr) {
            place(tie.part, *part, tie.by, to->at, " from " + tie.to);
        }
    }

    void turn(const Turn& turn) {
        const PlacedPart* part = find(turn.part);
        if (part == nullptr) {
            return;
        }
        if (turn.quarter_turns && *turn.quarter_turns != part->orientation.quarter_turns) {
            say(fmt::format("{} is not turned by {} degrees", turn.part, 90 * *turn.quarter_turns));
        }
        if (turn.mirrored && *turn.mirrored != part->orientation.mirrored) {
            say(turn.part + (*turn.mirrored ? " is not flipped" : " is flipped"));
        }
    }

    void beside(const Beside& beside) {
        const PlacedPart* part = find(beside.part);
        const PlacedPart* of = find(beside.of);
        if (part == nullptr || of == nullptr) {
            return;
        }
        if (detail::misfit({0, 1, beside.where, true}, body(*part), body(*of)).wrong > 0.0) {
            constexpr std::array<const char*, 4> words = {
                "to the right of", "below", "to the left of", "above"};
            say(fmt::format("{} does not stand {} {}",
                            beside.part,
                            words[static_cast<std::size_t>(beside.where)],
                            beside.of));
        }
    }

    // From each part of the group there is a way to any other by short steps.
    void together(const std::vector<std::string>& group) {
        std::vector<const PlacedPart*> reached, rest;
        for (const std::string& name : group) {
            if (const PlacedPart* part = find(name)) {
                (reached.empty() ? reached : rest).push_back(part);
            }
        }
        for (std::size_t i = 0; i < reached.size(); ++i) {
            const auto near = std::stable_partition(
                rest.begin(), rest.end(), [&](const auto* p) { return !is_near(*p, *reached[i]); });
            reached.insert(reached.end(), near, rest.end());
            rest.erase(near, rest.end());
        }
        if (!rest.empty()) {
            say(base::listed(group) + " do not stand together");
        }
    }

    std::vector<std::string> done() { return std::move(said_); }

private:
    const PlacedPart* find(const std::string& name) const {
        const auto part = circuit_.part(name);
        return part ? &drawing_.parts[static_cast<std::size_t>(part->index)] : nullptr;
    }
    static Box body(const PlacedPart& part) { return detail::moved(part.symbol.box, part.at); }

    static bool is_near(const PlacedPart& a, const PlacedPart& b) {
        constexpr double near = 12.0;
        const Box p = body(a);
        const Box q = body(b);
        return std::max({0.0, p.left - q.right, q.left - p.right}) +
                   std::max({0.0, p.top - q.bottom, q.top - p.bottom}) <=
               near;
    }

    void place(const std::string& name,
               const PlacedPart& part,
               Point asked,
               Point from,
               const std::string& of) {
        if (part.at.x - from.x != std::round(asked.x) ||
            part.at.y - from.y != std::round(asked.y)) {
            say(fmt::format("{} does not stand at [{:g}, {:g}]{}", name, asked.x, asked.y, of));
        }
    }

    void say(std::string words) { said_.push_back(std::move(words)); }

    const Drawing& drawing_;
    const circuit::Circuit& circuit_;
    std::vector<std::string> said_;
};

}  // namespace

std::vector<std::string> not_kept(const Drawing& drawing,
                                  const circuit::Circuit& circuit,
                                  const Nudges& nudges) {
    Check check(drawing, circuit);
    for (const Stand& stand : nudges.stands) {
        check.stand(stand);
    }
    for (const Tie& tie : nudges.ties) {
        check.tie(tie);
    }
    for (const Turn& turn : nudges.turns) {
        check.turn(turn);
    }
    for (const Beside& beside : nudges.beside) {
        check.beside(beside);
    }
    for (const std::vector<std::string>& group : nudges.together) {
        check.together(group);
    }
    return check.done();
}

}  // namespace etchback::drawing
