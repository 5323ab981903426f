// Samples of parameters, and what they tell about the figures that came of them.
#pragma once

#include <cstdint>
#include <vector>

#include "behaviour/campaign.h"
#include "behaviour/models.h"

namespace etchback::behaviour::detail {

// A number in [0, 1) that depends on its three arguments and on nothing else, so that samples may
// be taken in any order: splitmix64 (G. L. Steele, D. Lea, C. H. Flood, "Fast splittable
// pseudorandom number generators", OOPSLA 2014), run as a hash of a counter.
double uniform(std::uint64_t seed, std::uint64_t sample, std::uint64_t parameter);

// The value of a parameter in a sample: uniform between its ends, since that is all that a
// tolerance says (JCGM 101:2008, 6.4.2). Of a range that is wider to one side, as assumed ones are,
// each side gets half of the samples, so that the nominal value is in their middle.
double sampled(const Parameter& parameter, double share);

// The value below which `share` of the sorted values lie, straight lines between them.
double quantile(const std::vector<double>& sorted, double share);

// Which parameters explain how `figure` varies, by stepwise linear regression: the parameter that
// explains most is taken first, then the one that explains most of the rest, and so on, while what
// is explained is more than chance would. Each row of `parameters` is a sample. The pairs are
// (column, part of the variance), largest first; what is not explained is left over.
std::vector<std::pair<int, double>> variance_shares(
    const std::vector<std::vector<double>>& parameters, const std::vector<double>& figure);

}  // namespace etchback::behaviour::detail
