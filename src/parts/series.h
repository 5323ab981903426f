// Preferred numbers of resistors and capacitors: the E series of IEC 60063.
//
// A series of n members divides each decade into n equal ratios, rounded to two digits (E3 to E24)
// or three (E48 to E192). The rounding rule is followed but for the nine members that the standard
// keeps for history's sake.
#pragma once

#include <array>
#include <optional>
#include <vector>

namespace etchback::parts {

enum class Series { e3, e6, e12, e24, e48, e96, e192 };
inline constexpr std::array all_series = {
    Series::e3, Series::e6, Series::e12, Series::e24, Series::e48, Series::e96, Series::e192};

// Number of members in a decade: 24.
int size_of(Series series);

// The members of the decade 1 to 10, rising: 1.0, 1.1, 1.2, 1.3, 1.5 ...
std::vector<double> members(Series series);

// The member nearest to `value` by ratio, in the value's own decade or the next. `value` > 0.
double nearest_preferred(double value, Series series);

// Is `value` a member, but for rounding of the double? Zero and negative values are none.
bool is_preferred(double value, Series series);

// The series with the fewest members that has `value`: 4700 is in E3, 5100 in E24, 4990 in E96.
std::optional<Series> coarsest_series(double value);

}  // namespace etchback::parts
