#include "copper/nets.h"

#include <fmt/format.h>

#include <algorithm>

#include "copper/detail/doubts.h"
#include "copper/detail/net_graph.h"
#include "copper/detail/questions.h"

namespace etchback::copper {

namespace {

using namespace detail;

std::string words_of(const Check& check, const std::vector<Pad>& pads) {
    return check.words.empty()
               ? detail::name_of(pads[check.a]) + " to " + detail::name_of(pads[check.b])
               : check.words;
}

// Why a check cannot hold, for the person.
std::string why_unheard(const Check& check,
                        const Islands& islands,
                        const std::vector<Pad>& pads,
                        const std::vector<PadFoot>& feet,
                        const NetGraph& graph) {
    const std::string who = words_of(check, pads);
    const int a = feet[check.a].island;
    const int b = feet[check.b].island;
    if (check.beeps && graph.net_of(a) != graph.net_of(b)) {
        return who +
               " beeps, but no copper is seen that could join them; a coil, a fuse or a small "
               "resistor between them beeps, too";
    }
    if (!check.beeps && a == b) {
        const Island& island = islands.islands[static_cast<std::size_t>(a)];
        return fmt::format("{} does not beep, but clear copper joins them on the {} side",
                           who,
                           island.side == Side::top ? "top" : "bottom");
    }
    if (!check.beeps) {
        return who + " does not beep, but the other checks and your strokes join them";
    }
    return who + " beeps, which the other checks and your strokes do not allow";
}

struct Heard {
    std::vector<IslandCheck> checks;
    std::vector<Contradiction> mute;  // an end lies on no copper
};

Heard on_islands(const std::vector<Check>& checks,
                 const std::vector<Pad>& pads,
                 const std::vector<PadFoot>& feet) {
    Heard heard;
    for (std::size_t i = 0; i < checks.size(); ++i) {
        const Check& check = checks[i];
        const int a = feet[check.a].island;
        const int b = feet[check.b].island;
        if (a >= 0 && b >= 0) {
            heard.checks.push_back({a, b, check.beeps, i});
        } else {
            heard.mute.push_back({fmt::format("{} tells nothing: {} lies on no copper",
                                              words_of(check, pads),
                                              detail::name_of(pads[a < 0 ? check.a : check.b]))});
        }
    }
    return heard;
}

}  // namespace

Nets find_nets(const Islands& islands,
               const std::vector<Pad>& pads,
               const std::vector<Check>& checks) {
    const std::vector<PadFoot> feet = feet_of(islands, pads);
    Heard heard = on_islands(checks, pads, feet);
    JointChoice choice = choose_joints(islands, heard.checks);
    const std::vector<std::size_t> unheard = choice.unheard;
    std::erase_if(heard.checks, [&](const IslandCheck& check) {
        return std::ranges::binary_search(unheard, check.check);
    });
    const NetGraph graph(islands, feet, std::move(choice), heard.checks);

    Nets nets;
    nets.net_of_island = graph.net_of_island();
    for (std::size_t i = 0; i < graph.nets(); ++i) {
        nets.nets.push_back({.name = fmt::format("N{}", i + 1),
                             .islands = graph.islands_of(i),
                             .pads = graph.pads_of(i)});
    }
    for (const PadFoot& foot : feet) {
        nets.net_of_pad.push_back(foot.island < 0 ? -1 : graph.net_of(foot.island));
    }
    const std::vector<DoubtAt> doubts = find_doubts(graph, pads, feet);
    nets.questions = ask(graph, pads, feet, doubts, heard.checks);
    for (const DoubtAt& at : doubts) {
        nets.doubts.push_back(at.doubt);
    }
    for (const std::size_t check : unheard) {
        nets.contradictions.push_back({why_unheard(checks[check], islands, pads, feet, graph)});
    }
    nets.contradictions.insert(nets.contradictions.end(), heard.mute.begin(), heard.mute.end());
    return nets;
}

}  // namespace etchback::copper
