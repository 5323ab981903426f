// A circuit written down by hand as differential-algebraic equations F(t, y, y') = 0, for SUNDIALS
// IDA: the independent reference that the engine is held against.
//
// Nothing here knows the engine. SI units throughout.
#pragma once

#include <limits>
#include <span>
#include <vector>

namespace etchback::ida {

// Collects the entries of dF/dy + cj dF/dy'. Equations call add() for the same places each time,
// whatever the state, so that the pattern of the matrix is known from one call.
class Stamps {
public:
    virtual ~Stamps() = default;
    virtual void add(int row, int column, double value) = 0;
};

inline constexpr double never = std::numeric_limits<double>::infinity();

class Equations {
public:
    virtual ~Equations() = default;

    virtual int size() const = 0;
    // Starting values of the unknowns and, for each, a size that matters: the absolute tolerance
    // is the relative one times this.
    virtual void start(std::span<double> y, std::span<double> scale) const = 0;
    // Which unknowns appear with their derivative.
    virtual std::vector<bool> differential() const = 0;
    virtual void residual(double t,
                          std::span<const double> y,
                          std::span<const double> yp,
                          std::span<double> r) const = 0;
    virtual void jacobian(double t, std::span<const double> y, double cj, Stamps& j) const = 0;

    // The controller: what is watched for a change of sign, and the next instant by the clock.
    virtual int guards() const { return 0; }
    virtual void guard_values(double, std::span<const double>, std::span<double>) const {}
    virtual void crossed(int /*guard*/, bool /*rising*/, double /*t*/) {}
    virtual double next_alarm() const { return never; }
    virtual void alarm(double /*t*/) {}
};

}  // namespace etchback::ida
