#include "blocks/compare.h"

#include <algorithm>
#include <numeric>

#include "blocks/detail/compare_items.h"
#include "blocks/detail/compare_search.h"

namespace etchback::blocks {
namespace {

using namespace detail;

struct Found {
    Model there, here;
    Matching matching;
};

std::vector<bool> foldable(const Model& model) {
    std::vector<bool> out(model.elements.size(), false);
    for (const Fold& fold : folds(model)) {
        for (const int e : fold.elements) {
            out[static_cast<std::size_t>(e)] = true;
        }
    }
    return out;
}

// What any matching costs: kinds and values alone, in the best pairing there is; parts that may be
// folded into others count nothing. Circuits of unlike structure differ by one edit at least.
int least_cost(const Model& there, const Model& here, const Search& search) {
    const std::vector<bool> free_there = foldable(there);
    const std::vector<bool> free_here = foldable(here);
    std::vector<std::vector<int>> gain(there.elements.size(),
                                       std::vector<int>(here.elements.size(), 0));
    int most = 0;
    for (std::size_t a = 0; a < gain.size(); ++a) {
        most += free_there[a] ? 0 : edit;
        for (std::size_t b = 0; b < here.elements.size(); ++b) {
            const PairCost& pair = search.pair(static_cast<int>(a), static_cast<int>(b));
            const int worth = (free_there[a] ? 0 : edit) + (free_here[b] ? 0 : edit);
            int cost = 0;
            if (!free_there[a] && !free_here[b]) {
                cost = pair.possible ? pair.cost : 2 * edit;
                const auto least = std::min_element(
                    pair.ways.begin(), pair.ways.end(), [](const Way& x, const Way& y) {
                        return x.cost < y.cost;
                    });
                cost += least != pair.ways.end() ? least->cost : 0;
            }
            gain[a][b] = worth - cost;
        }
    }
    for (const bool free : free_here) {
        most += free ? 0 : edit;
    }
    const std::vector<int> to = best_assignment(gain, here.elements.size());
    for (std::size_t a = 0; a < to.size(); ++a) {
        most -= to[a] < 0 ? 0 : gain[a][static_cast<std::size_t>(to[a])];
    }
    return there.colours == here.colours ? most : std::max(most, edit);
}

// Elements that something is wrong about.
std::vector<bool> troubled(const Found& found, bool there) {
    const Matching& m = found.matching;
    const Search search(found.there, found.here);
    std::vector<bool> out((there ? found.there : found.here).elements.size(), !there);
    for (std::size_t a = 0; a < m.here_of.size(); ++a) {
        const int b = m.here_of[a];
        const bool well = b >= 0 && search.pair(static_cast<int>(a), b).cost == 0;
        if (there) {
            out[a] = !well;
        } else if (b >= 0) {
            out[static_cast<std::size_t>(b)] = !well;
        }
    }
    for (const MovedPin& moved : m.moved) {
        out[static_cast<std::size_t>(there ? moved.there : moved.here)] = true;
    }
    return out;
}

std::vector<Fold> promising(const Found& found, bool there) {
    const std::vector<bool> wrong = troubled(found, there);
    std::vector<Fold> out = folds(there ? found.there : found.here);
    std::erase_if(out, [&](const Fold& fold) {
        return std::none_of(fold.elements.begin(), fold.elements.end(), [&](int e) {
            return wrong[static_cast<std::size_t>(e)];
        });
    });
    return out;
}

constexpr int quick = 3;  // rounds after the seeds, where only a step is tried

bool improve(Found& found, Model there, Model here, int& rounds, int least) {
    Search search(there, here);
    Matching matching = search.best(quick, least);
    rounds += search.rounds();
    if (matching.told >= found.matching.told) {
        return false;
    }
    found = {std::move(there), std::move(here), std::move(matching)};
    return true;
}

// One fold, in either circuit or in both, that makes the matching cheaper.
bool fold_once(Found& found, int& rounds, int least) {
    const std::vector<Fold> here = promising(found, false);
    const std::vector<Fold> there = promising(found, true);
    for (const Fold& fold : here) {
        if (improve(found, found.there, folded(found.here, fold), rounds, least)) {
            return true;
        }
    }
    for (const Fold& fold : there) {
        if (improve(found, folded(found.there, fold), found.here, rounds, least)) {
            return true;
        }
    }
    return false;
}

}  // namespace

std::string_view name_of(DifferenceKind kind) {
    switch (kind) {
        case DifferenceKind::missing:
            return "missing";
        case DifferenceKind::added:
            return "added";
        case DifferenceKind::split:
            return "split";
        case DifferenceKind::merged:
            return "merged";
        case DifferenceKind::value:
            return "changed value";
        case DifferenceKind::rating:
            return "lower rating";
        case DifferenceKind::kind:
            return "changed kind";
        case DifferenceKind::connection:
            return "changed connection";
        case DifferenceKind::reversed:
            return "reversed";
        case DifferenceKind::turns:
            return "changed turns ratio";
    }
    return "";
}

Comparison compare(const circuit::Circuit& found,
                   const circuit::Circuit& reference,
                   const CompareOptions& options) {
    Comparison out;
    Found best{model_of(reference), model_of(found), {}};
    int least = 0;
    {
        Search search(best.there, best.here);
        least = least_cost(best.there, best.here, search);
        best.matching = search.best(options.rounds / 4, least);
        out.rounds = search.rounds();
    }
    while (best.matching.told > least && out.rounds < options.rounds &&
           fold_once(best, out.rounds, least)) {
    }
    if (best.matching.told > least && out.rounds < options.rounds) {
        Search search(best.there, best.here);
        Matching again = search.best(options.rounds - out.rounds, least);
        out.rounds += search.rounds();
        if (again.told < best.matching.told) {
            best.matching = std::move(again);
        }
    }
    out.at_least = least / static_cast<double>(edit);
    describe(out, {found, reference, best.there, best.here, best.matching});
    if (options.consequence) {
        for (Difference& difference : out.differences) {
            Consequence known = options.consequence(difference, found, reference);
            difference.consequence = std::move(known.words);
            difference.consequence_source = std::move(known.source);
        }
    }
    return out;
}

}  // namespace etchback::blocks
