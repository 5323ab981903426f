// Claims against what was read: with the uncertainty counted.
#pragma once

#include <string>
#include <vector>

#include "base/figure.h"
#include "bench/uncertainty.h"
#include "bench/verdict.h"
#include "dossier/dossier.h"

namespace etchback::bench {

struct ClaimCheck {
    std::string quantity;
    std::string claimed, read;  // "0.95", "0.92 ± 0.01 (warm)"
    Estimate value;
    base::Unit unit = base::Unit::none;
    double low = 0.0, high = 0.0;  // what the claim allows
    Verdict verdict = Verdict::cannot_tell;
    std::string words;  // a sentence
    dossier::Place claim, reading;
};

// Each claim with each reading of the same quantity, in the dossier's order. A range or tolerance
// in the claim is what it allows. A single number allows a tenth on either side for what an item
// draws or gives (common practice for rating plates), and for a power factor what rounding its last
// digit does; the supply's voltage and frequency are conditions of the reading and are passed over
// where they lie inside, as are claims of the most or the least ("the most that ..." in the note): those are
// one-sided. Where a reading states no uncertainty, 1 % is assumed at k = 2.
//
// `figures` are those of records and from readings; a claim's word finds its figure: "percent
// flicker", "flicker index", "total harmonic distortion", "start-up time", "ripple" and so on.
std::vector<ClaimCheck> check_claims(const std::vector<dossier::Claim>& claims,
                                     const std::vector<dossier::Reading>& readings,
                                     const std::vector<base::Figure>& figures = {});

}  // namespace etchback::bench
