#include "bench/detail/power_rules.h"

#include <cmath>

namespace etchback::bench::detail {

namespace {

using M = Magnitude;
using Values = std::span<const double>;

}  // namespace

const std::vector<Rule>& rules() {
    static const std::vector<Rule> all = {
        {M::apparent,
         {M::voltage, M::current},
         [](Values x) { return x[0] * x[1]; },
         "S = U·I",
         "{} · {}"},
        {M::apparent,
         {M::power, M::factor},
         [](Values x) { return x[0] / x[1]; },
         "S = P/PF",
         "{}/{}"},
        {M::apparent,
         {M::power, M::non_active},
         [](Values x) { return std::hypot(x[0], x[1]); },
         "S = √(P² + N²)",
         "√(({})² + ({})²)"},
        {M::power,
         {M::voltage, M::current, M::factor},
         [](Values x) { return x[0] * x[1] * x[2]; },
         "P = U·I·PF",
         "{} · {} · {}"},
        {M::power,
         {M::apparent, M::factor},
         [](Values x) { return x[0] * x[1]; },
         "P = S·PF",
         "{} · {}"},
        {M::power,
         {M::apparent, M::non_active},
         [](Values x) { return x[0] * x[0] - x[1] * x[1]; },
         "P = √(S² - N²)",
         "√(({})² - ({})²)",
         true},
        {M::factor,
         {M::power, M::voltage, M::current},
         [](Values x) { return x[0] / (x[1] * x[2]); },
         "PF = P/(U·I)",
         "{}/({} · {})"},
        {M::factor,
         {M::power, M::apparent},
         [](Values x) { return x[0] / x[1]; },
         "PF = P/S",
         "{}/{}"},
        {M::voltage,
         {M::power, M::current, M::factor},
         [](Values x) { return x[0] / (x[1] * x[2]); },
         "U = P/(I·PF)",
         "{}/({} · {})"},
        {M::voltage,
         {M::apparent, M::current},
         [](Values x) { return x[0] / x[1]; },
         "U = S/I",
         "{}/{}"},
        {M::current,
         {M::power, M::voltage, M::factor},
         [](Values x) { return x[0] / (x[1] * x[2]); },
         "I = P/(U·PF)",
         "{}/({} · {})"},
        {M::current,
         {M::apparent, M::voltage},
         [](Values x) { return x[0] / x[1]; },
         "I = S/U",
         "{}/{}"},
        {M::non_active,
         {M::apparent, M::power},
         [](Values x) { return x[0] * x[0] - x[1] * x[1]; },
         "N = √(S² - P²)",
         "√(({})² - ({})²)",
         true},
    };
    return all;
}

}  // namespace etchback::bench::detail
