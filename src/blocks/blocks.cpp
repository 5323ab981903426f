#include "blocks/blocks.h"

#include <algorithm>
#include <set>

#include "base/text.h"
#include "blocks/detail/block_words.h"
#include "blocks/detail/matcher.h"
#include "blocks/elements.h"
#include "blocks/insulation.h"
#include "blocks/net_terms.h"

namespace etchback::blocks {

namespace {

using circuit::PartId;
using detail::Match;

constexpr int kRounds = 4;

// Elements that the match owns: those of required slots first.
struct Claim {
    const Match* match = nullptr;
    std::vector<int> required;  // sorted
    std::size_t size = 0;       // parts that it would own
};

Claim claim_of(const Match& match, const std::vector<Element>& elements) {
    Claim claim{&match, {}, 0};
    for (std::size_t s = 0; s < match.elements.size(); ++s) {
        const Slot& slot = match.pattern->slots[s];
        if (!slot.owns) {
            continue;
        }
        for (const int e : match.elements[s]) {
            claim.size += elements[static_cast<std::size_t>(e)].parts.size();
            if (!slot.optional) {
                claim.required.push_back(e);
            }
        }
    }
    std::sort(claim.required.begin(), claim.required.end());
    return claim;
}

bool goes_before(const Claim& a, const Claim& b) {
    const auto rank = [](const Claim& c) {
        return std::tuple(!c.match->near.empty(), -c.match->pattern->preference);
    };
    if (rank(a) != rank(b)) {
        return rank(a) < rank(b);
    }
    if (a.size != b.size) {
        return a.size > b.size;
    }
    if (a.match->pattern->id != b.match->pattern->id) {
        return a.match->pattern->id < b.match->pattern->id;
    }
    return a.required < b.required;
}

Filling filling_of(const Slot& slot,
                   const std::vector<int>& filled,
                   const std::vector<Element>& elements) {
    Filling filling{slot.name, {}, slot.role, slot.owns};
    for (const int e : filled) {
        const auto& parts = elements[static_cast<std::size_t>(e)].parts;
        filling.parts.insert(filling.parts.end(), parts.begin(), parts.end());
    }
    std::sort(filling.parts.begin(), filling.parts.end());
    return filling;
}

Block block_of(const Match& match,
               const std::vector<Element>& all,
               const circuit::Circuit& circuit,
               const NetTerms& terms,
               const detail::Values& surroundings) {
    Block block;
    block.pattern = match.pattern->id;
    block.title = match.pattern->title;
    block.stage = match.pattern->stage;
    block.order = match.pattern->order;
    block.exact = match.near.empty();
    block.source = match.pattern->source;
    for (std::size_t s = 0; s < match.elements.size(); ++s) {
        if (!match.elements[s].empty()) {
            block.fillings.push_back(filling_of(match.pattern->slots[s], match.elements[s], all));
        }
    }
    for (std::size_t n = 0; n < match.nets.size(); ++n) {
        if (match.nets[n].known()) {
            block.nets.emplace_back(match.pattern->nets[n].name, match.nets[n]);
        }
    }
    detail::put_words(block, match, all, circuit, terms, surroundings);
    return block;
}

int place_of_stage(const PatternBook& book, const std::string& stage) {
    const auto at = std::find_if(
        book.stages.begin(), book.stages.end(), [&](const Stage& s) { return s.id == stage; });
    return static_cast<int>(at - book.stages.begin());
}

}  // namespace

std::vector<PartId> Block::parts() const {
    std::vector<PartId> all;
    for (const Filling& filling : fillings) {
        if (filling.owns) {
            all.insert(all.end(), filling.parts.begin(), filling.parts.end());
        }
    }
    std::sort(all.begin(), all.end());
    all.erase(std::unique(all.begin(), all.end()), all.end());
    return all;
}

Blocks find_blocks(const circuit::Circuit& circuit,
                   const circuit::Domains& domains,
                   const dossier::Dossier& dossier,
                   const PatternBook& book) {
    const std::vector<Element> all = elements(circuit);
    // Resistors that are meant to bridge the insulation do not make it one domain.
    const NetTerms terms(circuit, insulation(circuit, domains).domains, dossier);
    detail::Matcher matcher(all, terms, circuit.nets.size());
    detail::Values surroundings = detail::values_of_supply(dossier);
    std::vector<Match> matches;
    for (const Pattern& pattern : book.patterns) {
        for (Match& match : matcher.find(pattern)) {
            if (detail::holds(match, all, circuit, surroundings)) {
                matches.push_back(std::move(match));
            }
        }
    }
    std::vector<Claim> claims;
    for (const Match& match : matches) {
        claims.push_back(claim_of(match, all));
    }
    std::sort(claims.begin(), claims.end(), goes_before);

    Blocks result;
    result.roles.resize(circuit.parts.size());
    result.steps = matcher.steps();
    std::vector<char> taken(all.size(), 0);
    std::vector<Match> accepted;
    for (const Claim& claim : claims) {
        if (claim.required.empty() ||
            std::any_of(claim.required.begin(), claim.required.end(), [&](int e) {
                return taken[static_cast<std::size_t>(e)] != 0;
            })) {
            continue;
        }
        accepted.push_back(*claim.match);
        Match& match = accepted.back();
        for (std::size_t s = 0; s < match.elements.size(); ++s) {
            const Slot& slot = match.pattern->slots[s];
            if (slot.owns && slot.optional) {
                std::erase_if(match.elements[s],
                              [&](int e) { return taken[static_cast<std::size_t>(e)] != 0; });
            }
            if (slot.owns) {
                for (const int e : match.elements[s]) {
                    taken[static_cast<std::size_t>(e)] = 1;
                }
            }
        }
    }
    // Figures of one block rest on those of others: told round until they have all met.
    for (int round = 0; round < kRounds; ++round) {
        detail::Values known;
        for (const Match& match : accepted) {
            known.merge(detail::shared_by(match, all, circuit, terms, surroundings));
        }
        known.merge(surroundings);
        surroundings = std::move(known);
    }
    for (const Match& match : accepted) {
        result.blocks.push_back(block_of(match, all, circuit, terms, surroundings));
    }
    std::stable_sort(
        result.blocks.begin(), result.blocks.end(), [&](const Block& a, const Block& b) {
            return std::tuple(place_of_stage(book, a.stage), a.order, a.parts()) <
                   std::tuple(place_of_stage(book, b.stage), b.order, b.parts());
        });
    for (std::size_t b = 0; b < result.blocks.size(); ++b) {
        for (const Filling& filling : result.blocks[b].fillings) {
            for (const PartId part : filling.owns ? filling.parts : std::vector<PartId>{}) {
                result.roles[static_cast<std::size_t>(part.index)] = {filling.role,
                                                                      static_cast<int>(b)};
            }
        }
    }
    for (std::size_t i = 0; i < result.roles.size(); ++i) {
        if (result.roles[i].block < 0) {
            result.unexplained.push_back(PartId{static_cast<int>(i)});
        }
    }
    return result;
}

}  // namespace etchback::blocks
