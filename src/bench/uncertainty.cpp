#include "bench/uncertainty.h"

#include <cassert>
#include <cmath>

namespace etchback::bench {

namespace {

std::vector<double> values_of(std::span<const Estimate> inputs) {
    std::vector<double> x;
    for (const Estimate& input : inputs) {
        x.push_back(input.value);
    }
    return x;
}

std::vector<double> uncertainties_of(std::span<const Estimate> inputs) {
    std::vector<double> u;
    for (const Estimate& input : inputs) {
        u.push_back(input.u);
    }
    return u;
}

double step_for(const Estimate& input) {
    constexpr double fine = 1e-3;  // of u: the curvature's error falls with the step's square
    const double size = input.u > 0.0 ? input.u : std::abs(input.value);
    // Not below what a double can still tell from its value.
    const double least = 1e-6 * std::abs(input.value);
    const double step = std::max(fine * size, least);
    return step > 0.0 ? step : fine;
}

Correlation correlation_from(const std::vector<double>& covariances, std::size_t n) {
    Correlation out{n, std::vector<double>(n * n, 0.0)};
    for (std::size_t i = 0; i < n; ++i) {
        for (std::size_t j = 0; j < n; ++j) {
            const double scale = std::sqrt(covariances[i * n + i] * covariances[j * n + j]);
            const double r = scale > 0.0 ? covariances[i * n + j] / scale : 0.0;
            out.r[i * n + j] = i == j ? 1.0 : r;
        }
    }
    return out;
}

}  // namespace

double covariance(std::span<const double> a,
                  std::span<const double> b,
                  std::span<const double> u,
                  const Correlation& correlation) {
    assert(a.size() == u.size() && b.size() == u.size());
    double sum = 0.0;
    for (std::size_t i = 0; i < u.size(); ++i) {
        for (std::size_t j = 0; j < u.size(); ++j) {
            sum += a[i] * b[j] * u[i] * u[j] * correlation(i, j);
        }
    }
    return sum;
}

std::vector<double> sensitivities(const Model& model, std::span<const Estimate> inputs) {
    std::vector<double> x = values_of(inputs);
    std::vector<double> out;
    for (std::size_t i = 0; i < inputs.size(); ++i) {
        const double step = step_for(inputs[i]);
        const double centre = x[i];
        x[i] = centre + step;
        const double above = model(x);
        x[i] = centre - step;
        const double below = model(x);
        x[i] = centre;
        out.push_back((above - below) / (2.0 * step));
    }
    return out;
}

Estimate propagate(const Model& model,
                   std::span<const Estimate> inputs,
                   const Correlation& correlation) {
    return propagate(std::span(&model, 1), inputs, correlation).values.front();
}

Estimates propagate(std::span<const Model> models,
                    std::span<const Estimate> inputs,
                    const Correlation& correlation) {
    const std::vector<double> x = values_of(inputs);
    const std::vector<double> u = uncertainties_of(inputs);
    const std::size_t n = models.size();
    std::vector<std::vector<double>> c;
    for (const Model& model : models) {
        c.push_back(sensitivities(model, inputs));
    }
    std::vector<double> covariances;
    for (std::size_t i = 0; i < n; ++i) {
        for (std::size_t j = 0; j < n; ++j) {
            covariances.push_back(covariance(c[i], c[j], u, correlation));
        }
    }
    Estimates out;
    for (std::size_t i = 0; i < n; ++i) {
        // Rounding may leave a sum that should be nothing just below nothing.
        out.values.push_back({models[i](x), std::sqrt(std::max(0.0, covariances[i * n + i]))});
    }
    out.correlation = correlation_from(covariances, n);
    return out;
}

Estimates means(std::span<const std::vector<double>> rows) {
    assert(rows.size() >= 2);
    const std::size_t n = rows.front().size();
    const double count = static_cast<double>(rows.size());
    std::vector<double> mean(n, 0.0);
    for (const std::vector<double>& row : rows) {
        assert(row.size() == n);
        for (std::size_t i = 0; i < n; ++i) {
            mean[i] += row[i] / count;
        }
    }
    std::vector<double> covariances(n * n, 0.0);
    for (const std::vector<double>& row : rows) {
        for (std::size_t i = 0; i < n; ++i) {
            for (std::size_t j = 0; j < n; ++j) {
                covariances[i * n + j] +=
                    (row[i] - mean[i]) * (row[j] - mean[j]) / (count * (count - 1.0));
            }
        }
    }
    Estimates out;
    for (std::size_t i = 0; i < n; ++i) {
        out.values.push_back({mean[i], std::sqrt(covariances[i * n + i])});
    }
    out.correlation = correlation_from(covariances, n);
    return out;
}

}  // namespace etchback::bench
