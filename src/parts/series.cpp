#include "parts/series.h"

#include <algorithm>
#include <cassert>
#include <cmath>

namespace etchback::parts {
namespace {

// Members of E24 that the rounding rule misses (2.6 for 2.7 ... 8.3 for 8.2), and the one of E192.
int historic(Series series, int index, int by_rule) {
    if (series == Series::e192) {
        return index == 185 ? 920 : by_rule;
    }
    if (series == Series::e24) {
        constexpr std::array kept = {27, 30, 33, 36, 39, 43, 47};
        const bool raised = index >= 10 && index < 10 + static_cast<int>(kept.size());
        return raised ? kept[static_cast<std::size_t>(index - 10)] : index == 22 ? 82 : by_rule;
    }
    return by_rule;
}

// Each series of up to 24 members is a thinned E24, each of more a thinned E192.
Series full(Series series) {
    return size_of(series) <= 24 ? Series::e24 : Series::e192;
}

// Members as whole numbers: 10, 11, 12 ... of E24, 100, 101 ... of E192.
std::vector<int> whole_members(Series series) {
    const Series all = full(series);
    const int step = size_of(all) / size_of(series);
    const double decade = all == Series::e24 ? 10.0 : 100.0;
    std::vector<int> result;
    for (int i = 0; i < size_of(all); i += step) {
        const double exact = decade * std::pow(10.0, static_cast<double>(i) / size_of(all));
        result.push_back(historic(all, i, static_cast<int>(std::lround(exact))));
    }
    return result;
}

// whole * 10^exponent, rounded once, so that 47 * 10^-1 is the double 4.7.
double scaled(int whole, int exponent) {
    return exponent >= 0 ? whole * std::pow(10.0, exponent) : whole / std::pow(10.0, -exponent);
}

int digits_of(Series series) {
    return full(series) == Series::e24 ? 1 : 2;  // behind the point
}

}  // namespace

int size_of(Series series) {
    constexpr std::array sizes = {3, 6, 12, 24, 48, 96, 192};
    return sizes[static_cast<std::size_t>(series)];
}

std::vector<double> members(Series series) {
    std::vector<double> result;
    for (const int whole : whole_members(series)) {
        result.push_back(scaled(whole, -digits_of(series)));
    }
    return result;
}

double nearest_preferred(double value, Series series) {
    assert(value > 0 && std::isfinite(value));
    const int decade = static_cast<int>(std::floor(std::log10(value)));
    const std::vector<int> wholes = whole_members(series);
    double best = 0.0;
    double least = HUGE_VAL;
    const auto consider = [&](int whole, int exponent) {
        const double candidate = scaled(whole, exponent - digits_of(series));
        const double off = std::fabs(std::log(candidate / value));
        if (off < least) {
            least = off;
            best = candidate;
        }
    };
    consider(wholes.back(), decade - 1);  // the logarithm may have been rounded up
    for (const int whole : wholes) {
        consider(whole, decade);
    }
    consider(wholes.front(), decade + 1);
    return best;
}

bool is_preferred(double value, Series series) {
    if (!(value > 0) || !std::isfinite(value)) {
        return false;
    }
    return std::fabs(nearest_preferred(value, series) / value - 1.0) < 1e-9;
}

std::optional<Series> coarsest_series(double value) {
    for (const Series series : all_series) {
        if (is_preferred(value, series)) {
            return series;
        }
    }
    return std::nullopt;
}

}  // namespace etchback::parts
