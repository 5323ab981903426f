#include "reference/circuits/fixed_flyback.h"
#include "reference/ida/currents.h"

namespace etchback::ida {

FixedFlybackEquations::FixedFlybackEquations(const FixedFlyback& p)
    : p_(p),
      secondary_henry_(p.primary_henry / (p.turns * p.turns)),
      mutual_henry_(p.coupling * p.primary_henry / p.turns) {}

void FixedFlybackEquations::start(std::span<double> y, std::span<double> scale) const {
    std::ranges::fill(y, 0.0);
    y[bus] = p_.supply_v;
    y[drain] = p_.supply_v;
    y[clamp] = p_.supply_v + p_.clamp_start_v;
    y[output] = y[stored] = p_.output_start_v;
    y[rectifier] = y[snubber] = -p_.output_start_v;
    const double sizes[all] = {1.0, 0.1, 1.0, 1.0, 1.0, 1.0, 1.0, 1.0, 1.0, 1e-5, 1e-3, 1e-5, 1e-3};
    std::ranges::copy(sizes, scale.begin());
}

std::vector<bool> FixedFlybackEquations::differential() const {
    std::vector<bool> kind(all, true);
    kind[output] = false;
    return kind;
}

// The windings' first ends are the bus and the secondary return: while the switch conducts, the
// bus is above the drain and the far end of the secondary below its return.
void FixedFlybackEquations::residual(double,
                                     std::span<const double> y,
                                     std::span<const double> yp,
                                     std::span<double> r) const {
    std::ranges::fill(r, 0.0);
    const double in = (p_.supply_v - y[bus]) / p_.supply_ohm;
    const double ip = y[primary], is = y[secondary];
    flow(r, earth, bus, in - p_.bus_farad * yp[bus]);
    flow(r, bus, drain, ip + (y[bus] - y[drain]) / p_.damping_ohm);
    r[primary] = y[bus] - y[drain] - p_.primary_ohm * ip - p_.primary_henry * yp[primary] -
                 mutual_henry_ * yp[secondary];
    r[secondary] = -(y[rectifier] + y[output]) - p_.secondary_ohm * is -
                   mutual_henry_ * yp[primary] - secondary_henry_ * yp[secondary];
    const double open = on_ ? p_.on_siemens : p_.off_siemens;
    flow(r, drain, earth, open * y[drain] + p_.drain_farad * yp[drain]);
    flow(r, earth, drain, p_.body.current(-y[drain]));
    diode(y, yp, r, drain, clamp, p_.clamp, p_.clamp_diode_farad);
    flow(
        r, clamp, bus, (y[clamp] - y[bus]) / p_.clamp_ohm + p_.clamp_farad * (yp[clamp] - yp[bus]));
    const double soaked = (y[rectifier] - y[snubber]) / p_.snubber_ohm;
    r[snubber] = soaked - p_.snubber_farad * yp[snubber];
    r[rectifier] =
        is - soaked - p_.output.current(y[rectifier]) - p_.output_diode_farad * yp[rectifier];
    const double load = y[output] / p_.load_ohm;
    const double charging = (y[output] - y[stored]) / p_.output_series_ohm;
    r[output] = is - charging - load;
    r[stored] = charging - p_.output_farad * yp[stored];
    r[integrals] = in - yp[integrals];
    r[integrals + 1] = p_.supply_v * in - yp[integrals + 1];
    r[integrals + 2] = in * in - yp[integrals + 2];
    r[integrals + 3] = load - yp[integrals + 3];
}

void FixedFlybackEquations::jacobian(double,
                                     std::span<const double> y,
                                     double cj,
                                     Stamps& j) const {
    const double in = (p_.supply_v - y[bus]) / p_.supply_ohm;
    const double g = 1.0 / p_.supply_ohm;
    flow(j, bus, earth, g + cj * p_.bus_farad);
    flow(j, bus, drain, 1.0 / p_.damping_ohm);
    j.add(bus, primary, -1.0);
    j.add(drain, primary, 1.0);
    j.add(primary, bus, 1.0);
    j.add(primary, drain, -1.0);
    j.add(primary, primary, -p_.primary_ohm - cj * p_.primary_henry);
    j.add(primary, secondary, -cj * mutual_henry_);
    j.add(secondary, rectifier, -1.0);
    j.add(secondary, output, -1.0);
    j.add(secondary, secondary, -p_.secondary_ohm - cj * secondary_henry_);
    j.add(secondary, primary, -cj * mutual_henry_);
    const double open = on_ ? p_.on_siemens : p_.off_siemens;
    flow(j, drain, earth, open + p_.body.slope(-y[drain]) + cj * p_.drain_farad);
    diode(y, j, drain, clamp, p_.clamp, p_.clamp_diode_farad, cj);
    flow(j, clamp, bus, 1.0 / p_.clamp_ohm + cj * p_.clamp_farad);
    j.add(rectifier, secondary, 1.0);
    const double q = 1.0 / p_.snubber_ohm;
    j.add(rectifier, rectifier, -q);
    j.add(rectifier, snubber, q);
    j.add(snubber, rectifier, q);
    j.add(snubber, snubber, -q - cj * p_.snubber_farad);
    j.add(rectifier, rectifier, -p_.output.slope(y[rectifier]) - cj * p_.output_diode_farad);
    const double s = 1.0 / p_.output_series_ohm;
    j.add(output, secondary, 1.0);
    j.add(output, output, -s - 1.0 / p_.load_ohm);
    j.add(output, stored, s);
    j.add(stored, output, s);
    j.add(stored, stored, -s - cj * p_.output_farad);
    j.add(integrals, bus, -g);
    j.add(integrals + 1, bus, -g * p_.supply_v);
    j.add(integrals + 2, bus, -2.0 * g * in);
    j.add(integrals + 3, output, 1.0 / p_.load_ohm);
    for (int k = 0; k < 4; ++k) {
        j.add(integrals + k, integrals + k, -cj);
    }
}

void FixedFlybackEquations::guard_values(double,
                                         std::span<const double> y,
                                         std::span<double> g) const {
    // While the switch is closed and the blanking is over: the primary's current.
    g[0] = on_ && comparing_ ? y[primary] - p_.limit_a : -1.0;
}

void FixedFlybackEquations::crossed(int, bool rising, double) {
    if (rising && on_) {
        on_ = comparing_ = false;
        off_at_ = compare_at_ = never;
    }
}

double FixedFlybackEquations::next_alarm() const {
    return std::min({static_cast<double>(cycle_) * p_.period_s, off_at_, compare_at_});
}

void FixedFlybackEquations::alarm(double t) {
    if (compare_at_ <= t) {
        comparing_ = true;
        compare_at_ = never;
    } else if (off_at_ <= t) {
        on_ = comparing_ = false;
        off_at_ = never;
    } else {
        on_ = true;
        ++cycle_;
        compare_at_ = t + p_.blanking_s;
        off_at_ = t + p_.longest_on_s;
    }
}

}  // namespace etchback::ida
