// The readings that a power triangle is made of, group by group.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/figure.h"
#include "bench/uncertainty.h"
#include "dossier/dossier.h"

namespace etchback::bench::detail {

enum class Magnitude { voltage, current, power, factor, apparent, non_active };
constexpr std::size_t magnitude_count = 6;
constexpr std::array<Magnitude, magnitude_count> all_magnitudes = {Magnitude::voltage,
                                                                   Magnitude::current,
                                                                   Magnitude::power,
                                                                   Magnitude::factor,
                                                                   Magnitude::apparent,
                                                                   Magnitude::non_active};
constexpr std::size_t index_of(Magnitude m) {
    return static_cast<std::size_t>(m);
}

struct MagnitudeWords {
    std::string_view quantity;  // as the dossier says it
    std::string_view id;        // "apparent_power"
    std::string_view symbol;
    base::Unit unit;
};
const MagnitudeWords& words_of(Magnitude m);

// "20.38 W", "84 mA", "0.989".
std::string shown(double value, Magnitude m);

// What was read of one quantity.
struct Read {
    Estimate estimate;
    bool assumed = false;  // its uncertainty is
    std::string quantity;  // as written
    std::vector<base::Evidence> evidence;
    double spread = 0.0;  // of several readings: the greatest difference between two, over its
                          // uncertainty at k = 2
};

struct ReadGroup {
    std::string name;
    std::array<std::optional<Read>, magnitude_count> reads;

    const std::optional<Read>& operator[](Magnitude m) const { return reads[index_of(m)]; }
};

// In the file's order. Readings that are no finite, not negative number in their quantity's unit
// are left out: the dossier's reader has complained about them.
std::vector<ReadGroup> read_groups(const std::vector<dossier::Reading>& readings);

}  // namespace etchback::bench::detail
