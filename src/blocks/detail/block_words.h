// Figures, sentences and remarks of a block.
#pragma once

#include "blocks/blocks.h"
#include "blocks/detail/formula.h"
#include "blocks/detail/matcher.h"
#include "blocks/net_terms.h"

namespace etchback::blocks::detail {

// mains.low, mains.nominal, mains.high (V RMS) and mains.frequency, as the dossier says or assumed.
Values values_of_supply(const dossier::Dossier& dossier);

// Whether the pattern's conditions hold; one over a value that is not known does.
bool holds(const Match& match,
           const std::vector<Element>& elements,
           const circuit::Circuit& circuit,
           const Values& surroundings);

// What the match's figures tell other blocks, under "known."; `surroundings` may hold such already.
Values shared_by(const Match& match,
                 const std::vector<Element>& elements,
                 const circuit::Circuit& circuit,
                 const NetTerms& terms,
                 const Values& surroundings);

void put_words(Block& block,
               const Match& match,
               const std::vector<Element>& elements,
               const circuit::Circuit& circuit,
               const NetTerms& terms,
               const Values& surroundings);

}  // namespace etchback::blocks::detail
