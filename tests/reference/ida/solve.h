// Solves hand-written equations with SUNDIALS IDA: variable order and step, root finding for the
// controller's events, consistent restart after each.
#pragma once

#include <span>
#include <string>
#include <vector>

#include "reference/ida/equations.h"

namespace etchback::ida {

struct SolveOptions {
    double end_s = 0.0;
    double relative = 1e-6;
    bool sparse = true;           // KLU; otherwise dense LU
    double cell_s = 5e-6;         // unknowns are sampled at multiples of this
    double longest_step_s = 0.0;  // 0: no limit
    std::vector<int> sampled;
    std::vector<int> extremes;  // unknowns whose least and largest value are kept, step by step
};

struct Course {
    std::string trouble;  // empty: the end was reached
    std::vector<double> t_s;
    std::vector<std::vector<double>> samples;  // by SolveOptions::sampled, then by time
    std::vector<double> least, largest;        // by SolveOptions::extremes
    std::vector<double> last;                  // all unknowns at the end
    long steps = 0;
    long events = 0;
    double cpu_s = 0.0;
};

Course solve(Equations& equations, const SolveOptions& options);

// The largest difference between the written Jacobian and divided differences of the residual,
// relative to the largest entry of the row: a guard against slips of the pen.
double jacobian_error(const Equations& equations,
                      double t,
                      std::span<const double> y,
                      std::span<const double> yp,
                      double cj);

}  // namespace etchback::ida
