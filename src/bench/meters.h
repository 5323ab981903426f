// What meters are good for, as data (data/meters): limits of error that a reading has where the
// dossier states none.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "base/error.h"
#include "base/quantity.h"
#include "bench/uncertainty.h"
#include "dossier/dossier.h"

namespace etchback::bench {

struct MeterRange {
    base::Unit unit = base::Unit::none;
    std::vector<double> full_scale;  // ascending
    double percent_of_reading = 0.0, percent_of_range = 0.0, digits = 0.0;
    double last_digit = 0.0;  // or, of `counts`, the range over them
    double counts = 0.0;
};

struct Meter {
    std::vector<std::string> words;  // by which a reading names it
    std::string title, source;
    std::optional<double> bandwidth_hz, crest_factor;
    std::vector<MeterRange> ranges;
};

base::Result<std::vector<Meter>> load_meters(const std::filesystem::path& file);

// Nothing where no meter of the list has that name.
const Meter* meter_named(const std::vector<Meter>& meters, const std::string& name);

// Limit of error of a value on the smallest range that holds it. Nothing where the meter does not
// measure that unit or the value is beyond its ranges.
std::optional<double> error_limit(const Meter& meter, double value, base::Unit unit);

// The same readings; those that state no uncertainty and whose meter is known get its limit of
// error, which is taken as they would state it themselves: as a half-width at about 95 %.
std::vector<dossier::Reading> with_meters(const std::vector<dossier::Reading>& readings,
                                          const std::vector<Meter>& meters);

// Value and standard uncertainty of a reading: half of what it states or of the range that it is
// written as, else of 1 %.
Estimate estimate_of(const dossier::Reading& reading);

}  // namespace etchback::bench
