#include "bench/detail/power_readings.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>

#include "base/text.h"

namespace etchback::bench::detail {

namespace {

using base::Unit;

constexpr std::array<MagnitudeWords, magnitude_count> words = {{
    {"supply voltage", "supply_voltage", "U", Unit::volt},
    {"supply current", "supply_current", "I", Unit::ampere},
    {"input power", "input_power", "P", Unit::watt},
    {"power factor", "power_factor", "PF", Unit::none},
    {"apparent power", "apparent_power", "S", Unit::volt_ampere},
    {"reactive power", "non_active_power", "N", Unit::var},
}};

std::optional<Magnitude> magnitude_named(std::string_view quantity) {
    const std::string word = base::lowered(base::trimmed(quantity));
    if (word == "non-active power") {
        return Magnitude::non_active;
    }
    for (const Magnitude m : all_magnitudes) {
        if (words_of(m).quantity == word) {
            return m;
        }
    }
    return std::nullopt;
}

// One unit of the last digit of the shortest decimal number that is `value`, at most 1: 0.01 for
// 20.38, 0.001 for 0.084.
double last_digit(double value) {
    const std::string text = fmt::format("{}", std::abs(value));  // "20.38", "8.4e-05"
    const std::size_t e = text.find('e');
    const std::string mantissa = text.substr(0, e);
    int exponent = e == std::string::npos ? 0 : std::atoi(text.c_str() + e + 1);
    if (const std::size_t point = mantissa.find('.'); point != std::string::npos) {
        exponent -= static_cast<int>(mantissa.size() - point - 1);
        // fmt writes 20 as "20" or "20.0".
        exponent += mantissa.ends_with(".0") ? 1 : 0;
    }
    return std::pow(10.0, exponent);
}

struct Stated {
    double u = 0.0;
    std::string text;  // "± 1 % (k = 2)"
};

std::optional<Stated> stated_uncertainty(const dossier::Reading& reading, double scale) {
    const dossier::Quantity& value = reading.value.value;
    double half = 0.0;
    if (reading.uncertainty) {
        const dossier::Quantity& given = reading.uncertainty->value;
        if (given.unit == Unit::percent) {
            half = given.value / 100.0 * value.value;
        } else if (given.unit == value.unit || given.unit == Unit::none) {
            half = given.value;
        }
        if (std::isfinite(half) && half > 0.0) {
            return Stated{half * scale / 2.0, fmt::format("± {} (k = 2)", base::to_text(given))};
        }
    }
    half = (value.high - value.low) / 2.0;
    if (std::isfinite(half) && half > 0.0) {
        return Stated{half * scale / 2.0, "range as written (k = 2)"};
    }
    return std::nullopt;
}

double assumed_u(double value) {
    constexpr double meter_share = 0.01;  // half-width at k = 2
    const double meter_u = meter_share * value / 2.0;
    const double digit_u = last_digit(value) / 2.0 / std::sqrt(3.0);
    return std::hypot(meter_u, digit_u);
}

std::string detail_of(const dossier::Reading& reading,
                      double value,
                      Magnitude m,
                      const std::optional<Stated>& stated) {
    std::string text = shown(value, m);
    text += stated ? " " + stated->text
                   : ", uncertainty assumed: 1 % (k = 2) and half a unit of the last digit";
    if (!reading.meter.value.empty()) {
        text += ", " + reading.meter.value;
    }
    return text;
}

std::optional<Read> read_one(const dossier::Reading& reading, Magnitude m) {
    const dossier::Quantity& written = reading.value.value;
    const Unit unit = words_of(m).unit;
    const bool percent_factor = m == Magnitude::factor && written.unit == Unit::percent;
    const bool fits = written.unit == unit || written.unit == Unit::none || percent_factor;
    const double scale = percent_factor ? 0.01 : 1.0;
    const double value = written.value * scale;
    if (!fits || !std::isfinite(value) || value < 0.0) {
        return std::nullopt;
    }
    const auto stated = stated_uncertainty(reading, scale);
    Read read;
    read.estimate = {value, stated ? stated->u : assumed_u(value)};
    read.assumed = !stated;
    read.quantity = reading.quantity.value;
    read.evidence.push_back({base::Evidence::Kind::reading,
                             reading.quantity.value,
                             detail_of(reading, value, m, stated),
                             reading.place});
    return read;
}

// The mean of several readings of one quantity, each weighted by 1/u².
Read merged(const std::vector<Read>& reads) {
    Read out = reads.front();
    if (reads.size() == 1) {
        return out;
    }
    double weights = 0.0;
    double sum = 0.0;
    for (const Read& read : reads) {
        const double weight = 1.0 / (read.estimate.u * read.estimate.u);
        weights += weight;
        sum += weight * read.estimate.value;
    }
    out.estimate = {sum / weights, std::sqrt(1.0 / weights)};
    for (std::size_t i = 1; i < reads.size(); ++i) {
        out.assumed = out.assumed || reads[i].assumed;
        out.evidence.insert(out.evidence.end(), reads[i].evidence.begin(), reads[i].evidence.end());
    }
    for (const Read& a : reads) {
        for (const Read& b : reads) {
            const double u = std::hypot(a.estimate.u, b.estimate.u);
            out.spread = std::max(out.spread, (a.estimate.value - b.estimate.value) / (2.0 * u));
        }
    }
    return out;
}

}  // namespace

const MagnitudeWords& words_of(Magnitude m) {
    return words[index_of(m)];
}

std::string shown(double value, Magnitude m) {
    return base::to_engineering(value, words_of(m).unit, {.digits = 4, .keep_zeros = false});
}

std::vector<ReadGroup> read_groups(const std::vector<dossier::Reading>& readings) {
    std::vector<ReadGroup> groups;
    std::vector<std::array<std::vector<Read>, magnitude_count>> all;
    for (const dossier::Reading& reading : readings) {
        const auto magnitude = magnitude_named(reading.quantity.value);
        auto read = magnitude ? read_one(reading, *magnitude) : std::nullopt;
        if (!read) {
            continue;
        }
        const auto it = std::find_if(groups.begin(), groups.end(), [&](const ReadGroup& group) {
            return group.name == reading.group;
        });
        const auto at = static_cast<std::size_t>(it - groups.begin());
        if (it == groups.end()) {
            groups.push_back({reading.group, {}});
            all.emplace_back();
        }
        all[at][index_of(*magnitude)].push_back(std::move(*read));
    }
    for (std::size_t g = 0; g < groups.size(); ++g) {
        for (std::size_t m = 0; m < magnitude_count; ++m) {
            if (!all[g][m].empty()) {
                groups[g].reads[m] = merged(all[g][m]);
            }
        }
    }
    return groups;
}

}  // namespace etchback::bench::detail
