// What is missing did something: the words of the patterns for it.
#pragma once

#include "blocks/compare.h"
#include "blocks/pattern.h"
#include "dossier/dossier.h"

namespace etchback::blocks {

// Where nobody knows the consequence of a missing part, says what its block does in the reference.
// `dossier` tells the supply.
void tell_what_is_missing(Comparison& comparison,
                          const circuit::Circuit& reference,
                          const dossier::Dossier& dossier,
                          const PatternBook& book);

}  // namespace etchback::blocks
