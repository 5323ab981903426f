#include "bench/detail/power_checks.h"

#include <fmt/args.h>
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "base/text.h"

namespace etchback::bench::detail {

namespace {

using M = Magnitude;
using Values = std::span<const double>;

// What two ways to one magnitude must give alike; `at_most`: the first may be less.
struct Check {
    std::vector<M> from;      // the readings that it compares; the first stands alone on the left
    double (*right)(Values);  // of all of `from`, in their order
    std::string formula;      // "U·I·PF"
    std::string pattern;      // "{1} · {2} · {3}", numbered as `from`
    bool at_most = false;
    std::vector<M> unless;  // left out if any of these is read: another check says it better
};

const std::vector<Check>& checks() {
    static const std::vector<Check> all = {
        {{M::power, M::voltage, M::current, M::factor},
         [](Values x) { return x[1] * x[2] * x[3]; },
         "U·I·PF",
         "{1} · {2} · {3}",
         false,
         {}},
        {{M::apparent, M::voltage, M::current},
         [](Values x) { return x[1] * x[2]; },
         "U·I",
         "{1} · {2}",
         false,
         {}},
        {{M::power, M::apparent, M::factor},
         [](Values x) { return x[1] * x[2]; },
         "S·PF",
         "{1} · {2}",
         false,
         {}},
        {{M::apparent, M::power, M::non_active},
         [](Values x) { return std::hypot(x[1], x[2]); },
         "√(P² + N²)",
         "√(({1})² + ({2})²)",
         false,
         {}},
        {{M::power, M::voltage, M::current},
         [](Values x) { return x[1] * x[2]; },
         "U·I",
         "{1} · {2}",
         true,
         {M::factor}},
        {{M::power, M::apparent},
         [](Values x) { return x[1]; },
         "S",
         "{1}",
         true,
         {M::factor, M::non_active}},
        {{M::factor}, [](Values) { return 1.0; }, "1", "1", true, {}},
    };
    return all;
}

using Numbers = std::array<Estimate, magnitude_count>;

bool applies(const Check& check, const ReadGroup& group) {
    const auto is_read = [&](M m) { return group[m].has_value(); };
    return std::all_of(check.from.begin(), check.from.end(), is_read) &&
           std::none_of(check.unless.begin(), check.unless.end(), is_read);
}

std::vector<Estimate> inputs_of(const Check& check, const Numbers& numbers) {
    std::vector<Estimate> inputs;
    for (const M m : check.from) {
        inputs.push_back(numbers[index_of(m)]);
    }
    return inputs;
}

double difference(const Check& check, Values x) {
    return x[0] - check.right(x);
}

// Left minus right over the uncertainty at k = 2; what may be less counts as no difference.
double normalised(const Check& check, const Numbers& numbers) {
    const std::vector<Estimate> inputs = inputs_of(check, numbers);
    const Estimate d = propagate([&](Values x) { return difference(check, x); }, inputs);
    if (check.at_most && d.value <= 0.0) {
        return 0.0;
    }
    return d.u > 0.0 ? d.value / (2.0 * d.u) : 0.0;
}

// The value of the i-th reading at which left and right agree, the others left as they are.
std::optional<double> agreeing(const Check& check, const Numbers& numbers, std::size_t i) {
    std::vector<double> x;
    for (const Estimate& input : inputs_of(check, numbers)) {
        x.push_back(input.value);
    }
    const double scale = std::abs(x[0]) + std::abs(check.right(x));
    for (int round = 0; round < 50; ++round) {  // Newton's; the checks are smooth and monotonic
        const double off = difference(check, x);
        if (std::abs(off) <= 1e-12 * scale) {
            return x[i];
        }
        std::vector<Estimate> exact;
        for (const double value : x) {
            exact.push_back({value, 0.0});
        }
        const double slope =
            sensitivities([&](Values v) { return difference(check, v); }, exact)[i];
        if (slope == 0.0 || !std::isfinite(slope)) {
            return std::nullopt;
        }
        x[i] -= off / slope;
    }
    return std::nullopt;
}

struct Change {
    M magnitude;
    double value;  // that the reading would have to show
    double size;   // of the change, over the reading's uncertainty at k = 2
    bool settles;  // all other checks as well
};

bool all_agree(const Numbers& numbers, const ReadGroup& group) {
    return std::all_of(checks().begin(), checks().end(), [&](const Check& check) {
        return !applies(check, group) || std::abs(normalised(check, numbers)) <= 1.0;
    });
}

// Changes of one reading that would settle `check`, the best first.
std::vector<Change> changes(const Check& check, const Numbers& numbers, const ReadGroup& group) {
    std::vector<Change> out;
    for (std::size_t i = 0; i < check.from.size(); ++i) {
        const M m = check.from[i];
        const auto value = agreeing(check, numbers, i);
        if (!value || *value < 0.0 || (m == M::factor && *value > 1.0 + 1e-9)) {
            continue;  // no meter can show that
        }
        Numbers changed = numbers;
        changed[index_of(m)].value = *value;
        const Estimate& was = numbers[index_of(m)];
        out.push_back(
            {m, *value, std::abs(*value - was.value) / (2.0 * was.u), all_agree(changed, group)});
    }
    std::stable_sort(out.begin(), out.end(), [](const Change& a, const Change& b) {
        return std::pair(!a.settles, a.size) < std::pair(!b.settles, b.size);
    });
    return out;
}

std::string worked(const Check& check, const Numbers& numbers) {
    fmt::dynamic_format_arg_store<fmt::format_context> values;
    for (const M m : check.from) {
        values.push_back(shown(numbers[index_of(m)].value, m));
    }
    return fmt::vformat(check.pattern, values);
}

std::string say(const Check& check,
                const Numbers& numbers,
                double disagreement,
                const std::vector<Change>& ways) {
    const M left = check.from.front();
    std::vector<double> x;
    for (const Estimate& input : inputs_of(check, numbers)) {
        x.push_back(input.value);
    }
    const std::string right = shown(check.right(x), left);
    const std::string sum = worked(check, numbers);
    std::string text = fmt::format(
        "{} {} read as {}, {} {}{}{}: {:.2g} times the difference that the uncertainty allows.",
        words_of(left).quantity,
        words_of(left).symbol,
        shown(x[0], left),
        check.at_most ? "but cannot be above" : "but by the other readings it is",
        check.formula == sum ? "" : check.formula + " = ",
        sum,
        sum == right ? "" : " = " + right,
        std::abs(disagreement));
    std::vector<std::string> each;
    for (const Change& way : ways) {
        each.push_back(fmt::format("{} {} ({:.2g} times its uncertainty)",
                                   words_of(way.magnitude).quantity,
                                   shown(way.value, way.magnitude),
                                   way.size));
    }
    if (!each.empty()) {
        text += fmt::format(" To settle it, one reading alone would have to show: {}.",
                            base::listed(each, "or"));
    }
    text.front() = static_cast<char>(text.front() - 'a' + 'A');
    return text;
}

Verdict verdict_on(const Check& check, const Numbers& numbers, const ReadGroup& group) {
    Verdict verdict{normalised(check, numbers), "", ""};
    if (std::abs(verdict.disagreement) > 1.0) {
        const std::vector<Change> ways = changes(check, numbers, group);
        const M suspect = ways.empty() ? check.from.front() : ways.front().magnitude;
        verdict.text = say(check, numbers, verdict.disagreement, ways);
        verdict.suspect = group[suspect]->quantity;
    }
    return verdict;
}

Verdict verdict_on_repeats(const Read& read) {
    std::vector<std::string> values;
    for (const base::Evidence& evidence : read.evidence) {
        values.push_back(evidence.detail);
    }
    return {read.spread,
            fmt::format("Readings of {} in one group differ by {:.2g} times what their uncertainty "
                        "allows: {}.",
                        read.quantity,
                        read.spread,
                        fmt::join(values, "; ")),
            read.quantity};
}

}  // namespace

std::optional<Verdict> judge(const ReadGroup& group) {
    Numbers numbers{};
    for (const M m : all_magnitudes) {
        if (group[m]) {
            numbers[index_of(m)] = group[m]->estimate;
        }
    }
    std::optional<Verdict> worst;
    const auto consider = [&](Verdict verdict) {
        if (!worst || std::abs(verdict.disagreement) > std::abs(worst->disagreement)) {
            worst = std::move(verdict);
        }
    };
    for (const Check& check : checks()) {
        const bool four = &check == &checks().front();
        if (applies(check, group) && (four || std::abs(normalised(check, numbers)) > 1.0)) {
            consider(verdict_on(check, numbers, group));
        }
    }
    for (const M m : all_magnitudes) {
        if (group[m] && group[m]->spread > 1.0) {
            consider(verdict_on_repeats(*group[m]));
        }
    }
    return worst;
}

}  // namespace etchback::bench::detail
