#include "bench/power_triangle.h"

#include <fmt/args.h>
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "bench/detail/power_checks.h"
#include "bench/detail/power_readings.h"
#include "bench/detail/power_rules.h"

namespace etchback::bench {

namespace {

using detail::Magnitude;
using detail::magnitude_count;
using M = Magnitude;

// A magnitude with its sensitivities to the readings, so that results that share a reading are
// correlated as they are.
struct Known {
    double value = 0.0;
    std::array<double, magnitude_count> to_reading{};
};

class Triangle {
public:
    explicit Triangle(const detail::ReadGroup& group) : group_(group) {
        for (const M m : detail::all_magnitudes) {
            if (group[m]) {
                u_[index_of(m)] = group[m]->estimate.u;
                Known known{group[m]->estimate.value, {}};
                known.to_reading[index_of(m)] = 1.0;
                known_[index_of(m)] = known;
            }
        }
    }

    // Applies rules until none gives anything new.
    void complete() {
        const auto next = [&] {
            return std::find_if(detail::rules().begin(),
                                detail::rules().end(),
                                [&](const detail::Rule& rule) { return apply(rule); });
        };
        while (next() != detail::rules().end()) {
        }
    }

    std::optional<Estimate> estimate(M m) const {
        if (group_[m]) {
            return group_[m]->estimate;
        }
        if (!known_[index_of(m)]) {
            return std::nullopt;
        }
        return Estimate{known_[index_of(m)]->value, u_of(*known_[index_of(m)])};
    }

    std::vector<base::Figure> take_figures() { return std::move(figures_); }

private:
    double u_of(const Known& known) const {
        return std::sqrt(covariance(known.to_reading, known.to_reading, u_));
    }

    bool apply(const detail::Rule& rule) {
        if (known_[index_of(rule.gives)]) {
            return false;
        }
        std::vector<Estimate> inputs;
        for (const M m : rule.from) {
            const auto& input = known_[index_of(m)];
            if (!input) {
                return false;
            }
            inputs.push_back({input->value, u_of(*input)});
        }
        Known out = chained(rule, inputs);
        if (!std::isfinite(out.value) || (rule.root_of_difference && !take_root(out))) {
            return false;
        }
        known_[index_of(rule.gives)] = out;
        figures_.push_back(figure(rule, inputs, out));
        return true;
    }

    Known chained(const detail::Rule& rule, const std::vector<Estimate>& inputs) const {
        std::vector<double> x;
        for (const Estimate& input : inputs) {
            x.push_back(input.value);
        }
        Known out{rule.value(x), {}};
        const std::vector<double> c = sensitivities(rule.value, inputs);
        for (std::size_t i = 0; i < inputs.size(); ++i) {
            const Known& input = *known_[index_of(rule.from[i])];
            for (std::size_t r = 0; r < magnitude_count; ++r) {
                out.to_reading[r] += c[i] * input.to_reading[r];
            }
        }
        return out;
    }

    // From the square to the root. Close to nothing the first-order uncertainty of a root grows
    // without end; the root itself is then not above the root of the square's uncertainty. Fails if
    // the square is negative beyond its uncertainty.
    bool take_root(Known& square) const {
        const double u = u_of(square);
        if (square.value < -2.0 * u) {
            return false;
        }
        const double root = std::sqrt(std::max(0.0, square.value));
        const double slope = 2.0 * root > std::sqrt(u) ? 1.0 / (2.0 * root)
                             : u > 0.0                 ? 1.0 / std::sqrt(u)
                                                       : 0.0;
        square.value = root;
        for (double& c : square.to_reading) {
            c *= slope;
        }
        return true;
    }

    base::Figure figure(const detail::Rule& rule,
                        const std::vector<Estimate>& inputs,
                        const Known& out) const {
        const detail::MagnitudeWords& words = detail::words_of(rule.gives);
        base::Figure figure;
        figure.id = fmt::format("power_triangle.{}", words.id);
        figure.title = title_of(rule.gives);
        figure.symbol = words.symbol;
        figure.value = out.value;
        figure.unit = words.unit;
        figure.uncertainty = u_of(out);
        figure.formula = rule.formula;
        figure.worked = worked(rule, inputs, out.value);
        figure.source = "definitions of IEEE Std 1459 and IEC 60050-131";
        for (const M m : detail::all_magnitudes) {
            if (group_[m] && out.to_reading[index_of(m)] != 0.0) {
                const detail::Read& read = *group_[m];
                figure.evidence.insert(
                    figure.evidence.end(), read.evidence.begin(), read.evidence.end());
                figure.assumed = figure.assumed || read.assumed;
            }
        }
        return figure;
    }

    std::string title_of(M m) const {
        std::string title(m == M::non_active ? "non-active power" : detail::words_of(m).quantity);
        title.front() = static_cast<char>(title.front() - 'a' + 'A');
        return group_.name.empty() ? title : title + " (" + group_.name + ")";
    }

    static std::string worked(const detail::Rule& rule,
                              const std::vector<Estimate>& inputs,
                              double value) {
        fmt::dynamic_format_arg_store<fmt::format_context> numbers;
        for (std::size_t i = 0; i < inputs.size(); ++i) {
            numbers.push_back(detail::shown(inputs[i].value, rule.from[i]));
        }
        return fmt::format("{} = {} = {}",
                           detail::words_of(rule.gives).symbol,
                           fmt::vformat(rule.pattern, numbers),
                           detail::shown(value, rule.gives));
    }

    const detail::ReadGroup& group_;
    std::array<double, magnitude_count> u_{};
    std::array<std::optional<Known>, magnitude_count> known_;
    std::vector<base::Figure> figures_;
};

PowerTriangle triangle_of(const detail::ReadGroup& group) {
    Triangle triangle(group);
    triangle.complete();
    PowerTriangle out;
    out.group = group.name;
    out.voltage_v_rms = triangle.estimate(M::voltage);
    out.current_a_rms = triangle.estimate(M::current);
    out.power_w = triangle.estimate(M::power);
    out.power_factor = triangle.estimate(M::factor);
    out.apparent_va = triangle.estimate(M::apparent);
    out.non_active_var = triangle.estimate(M::non_active);
    out.figures = triangle.take_figures();
    if (auto verdict = detail::judge(group)) {
        out.disagreement = verdict->disagreement;
        out.disagreement_text = std::move(verdict->text);
        out.suspect = std::move(verdict->suspect);
    }
    return out;
}

bool worth_one(const detail::ReadGroup& group) {
    const auto count = std::count_if(
        group.reads.begin(), group.reads.end(), [](const auto& read) { return read.has_value(); });
    return count >= 2 || detail::judge(group).has_value();
}

// "warm, 231 V" -> "warm_231_v": what may stand in an id.
std::string slug_of(std::string_view name) {
    std::string slug;
    for (const char c : name) {
        const bool digit = c >= '0' && c <= '9';
        const bool upper = c >= 'A' && c <= 'Z';
        const bool lower = c >= 'a' && c <= 'z';
        if (digit || lower || upper) {
            slug += upper ? static_cast<char>(c - 'A' + 'a') : c;
        } else if (!slug.empty() && slug.back() != '_') {
            slug += '_';
        }
    }
    return slug;
}

// Figures of several groups keep ids of their own.
void make_ids_unique(std::vector<PowerTriangle>& triangles) {
    std::set<std::string> seen;
    for (PowerTriangle& triangle : triangles) {
        const std::string slug = slug_of(triangle.group);
        for (base::Figure& figure : triangle.figures) {
            const std::string id = slug.empty() ? figure.id : figure.id + "." + slug;
            figure.id = id;
            for (int n = 2; !seen.insert(figure.id).second; ++n) {
                figure.id = id + "." + std::to_string(n);
            }
        }
    }
}

}  // namespace

std::vector<PowerTriangle> power_triangles(const std::vector<dossier::Reading>& readings) {
    std::vector<PowerTriangle> triangles;
    for (const detail::ReadGroup& group : detail::read_groups(readings)) {
        if (worth_one(group)) {
            triangles.push_back(triangle_of(group));
        }
    }
    make_ids_unique(triangles);
    return triangles;
}

}  // namespace etchback::bench
