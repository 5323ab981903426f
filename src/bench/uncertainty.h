// Uncertainty of results computed from uncertain numbers, to first order: JCGM 100:2008 (the GUM).
#pragma once

#include <functional>
#include <span>
#include <vector>

namespace etchback::bench {

// A value with its standard uncertainty (k = 1).
struct Estimate {
    double value = 0.0;
    double u = 0.0;
    bool operator==(const Estimate&) const = default;
};

// How n quantities vary together: coefficients from -1 to 1, row by row. Empty: not at all.
struct Correlation {
    std::size_t n = 0;
    std::vector<double> r;

    double operator()(std::size_t i, std::size_t j) const {
        return r.empty() ? (i == j ? 1.0 : 0.0) : r[i * n + j];
    }
    bool operator==(const Correlation&) const = default;
};

// Several quantities known together.
struct Estimates {
    std::vector<Estimate> values;
    Correlation correlation;
    bool operator==(const Estimates&) const = default;
};

// A result as a function of its inputs, in their order.
using Model = std::function<double(std::span<const double>)>;

// Covariance of two results from their sensitivities to the same inputs: the sum over i and j of
// a_i·b_j·u_i·u_j·r_ij. With a = b it is the square of the combined standard uncertainty
// (GUM 5.1.2, 5.2.2).
double covariance(std::span<const double> a,
                  std::span<const double> b,
                  std::span<const double> u,
                  const Correlation& correlation = {});

// The partial derivatives of a model by central differences, with steps far below the inputs'
// uncertainties. An input that is exactly known (u = 0) gets a step of its own size.
std::vector<double> sensitivities(const Model& model, std::span<const Estimate> inputs);

// One result, and several from the same inputs with the correlation that this gives them.
Estimate propagate(const Model& model,
                   std::span<const Estimate> inputs,
                   const Correlation& correlation = {});
Estimates propagate(std::span<const Model> models,
                    std::span<const Estimate> inputs,
                    const Correlation& correlation = {});

// Means of repeated observations taken together, row by row, with the standard uncertainty of each
// mean and their correlation (type A; GUM 4.2.3, 5.2.3). Needs two rows or more, all of one length.
Estimates means(std::span<const std::vector<double>> rows);

}  // namespace etchback::bench
