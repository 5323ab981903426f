// An uncertain number against a limit or a claim.
#pragma once

#include <string_view>

#include "bench/uncertainty.h"

namespace etchback::bench {

// At about 95 %: the whole interval of two standard uncertainties lies on one side, or it does not.
enum class Verdict { within, outside, cannot_tell };
std::string_view words_of(Verdict verdict);  // "within", "outside", "cannot tell"

Verdict at_most(const Estimate& value, double limit);
Verdict at_least(const Estimate& value, double limit);
Verdict between(const Estimate& value, double low, double high);

}  // namespace etchback::bench
