#include "blocks/missing.h"

#include "blocks/blocks.h"

namespace etchback::blocks {

void tell_what_is_missing(Comparison& comparison,
                          const circuit::Circuit& reference,
                          const dossier::Dossier& dossier,
                          const PatternBook& book) {
    const Blocks there = find_blocks(reference, circuit::domains(reference), dossier, book);
    for (Difference& difference : comparison.differences) {
        if (difference.kind != DifferenceKind::missing || difference.reference.empty() ||
            !difference.consequence.empty()) {
            continue;
        }
        const auto first = static_cast<std::size_t>(difference.reference.front().index);
        const int at = there.roles[first].block;
        if (at < 0) {
            continue;
        }
        const Block& block = there.blocks[static_cast<std::size_t>(at)];
        for (const std::string& sentence : block.sentences) {
            difference.consequence +=
                (difference.consequence.empty() ? "In the reference: " : " ") + sentence;
        }
        difference.consequence_source = block.source;
    }
}

}  // namespace etchback::blocks
