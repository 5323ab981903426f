#include <numbers>

#include "reference/circuits/mains_flyback.h"
#include "reference/ida/currents.h"

namespace etchback::ida {

double MainsFlybackEquations::supply(double t) const {
    return std::numbers::sqrt2 * p_.supply_v_rms *
           std::sin(2.0 * std::numbers::pi * p_.supply_hz * t);
}

void MainsFlybackEquations::start(std::span<double> y, std::span<double> scale) const {
    std::ranges::fill(y, 0.0);
    y[clamp] = p_.clamp_start_v;
    y[output] = y[stored] = p_.output_start_v;
    y[rectifier] = -p_.output_start_v;
    const double sizes[all] = {
        0.1, 1.0, 1.0, 1.0, 0.1, 0.1, 1.0, 1.0, 1.0, 1.0, 1.0, 1e-4, 1e-2, 1e-5, 1e-3};
    std::ranges::copy(sizes, scale.begin());
}

std::vector<bool> MainsFlybackEquations::differential() const {
    std::vector<bool> kind(all, true);
    kind[output] = false;
    return kind;
}

// The leakage inductance with its damping leads from the bus to the head of an ideal transformer,
// whose foot is the drain and which the magnetising inductance bridges. The head's voltage follows
// from the secondary; the secondary's current from what the head takes and does not magnetise.
void MainsFlybackEquations::residual(double t,
                                     std::span<const double> y,
                                     std::span<const double> yp,
                                     std::span<double> r) const {
    std::ranges::fill(r, 0.0);
    const double e = supply(t);
    const double i = y[line];
    r[line] = e - p_.filter_ohm * i - (y[a] - y[n]) - p_.filter_henry * yp[line];
    flow(r, n, a, i);
    flow(r, a, n, p_.filter_farad * (yp[a] - yp[n]));
    bridge(y, yp, r, a, n, bus, p_.diode, p_.diode_farad);
    flow(r, bus, earth, p_.bus_farad * yp[bus]);

    const double winding = -p_.turns * (y[rectifier] + y[output]);  // head against drain
    const double drop = y[bus] - y[drain] - winding;                // across the leakage
    const double taken = y[leakage] + drop / p_.leakage_damping_ohm;
    flow(r, bus, drain, taken);
    r[leakage] = drop - p_.leakage_henry * yp[leakage];
    r[magnetising] = winding - p_.primary_henry * yp[magnetising];
    const double delivered = p_.turns * (y[magnetising] - taken);

    const double open = on_ ? p_.on_siemens : p_.off_siemens;
    flow(r, drain, earth, open * y[drain] + p_.drain_farad * yp[drain]);
    flow(r, earth, drain, p_.body.current(-y[drain]));
    diode(y, yp, r, drain, clamp, p_.clamp, p_.clamp_diode_farad);
    flow(
        r, clamp, bus, (y[clamp] - y[bus]) / p_.clamp_ohm + p_.clamp_farad * (yp[clamp] - yp[bus]));

    r[rectifier] =
        delivered - p_.output.current(y[rectifier]) - p_.output_diode_farad * yp[rectifier];
    const double load = p_.leds.current(y[output]);
    const double charging = (y[output] - y[stored]) / p_.output_series_ohm;
    r[output] = delivered - charging - load;
    r[stored] = charging - p_.output_farad * yp[stored];

    r[integrals] = i - yp[integrals];
    r[integrals + 1] = e * i - yp[integrals + 1];
    r[integrals + 2] = i * i - yp[integrals + 2];
    r[integrals + 3] = load - yp[integrals + 3];
}

void MainsFlybackEquations::jacobian(double t,
                                     std::span<const double> y,
                                     double cj,
                                     Stamps& j) const {
    j.add(line, line, -p_.filter_ohm - cj * p_.filter_henry);
    j.add(line, a, -1.0);
    j.add(line, n, 1.0);
    j.add(a, line, 1.0);
    j.add(n, line, -1.0);
    flow(j, a, n, cj * p_.filter_farad);
    bridge(y, j, a, n, bus, p_.diode, p_.diode_farad, cj);
    flow(j, bus, earth, cj * p_.bus_farad);

    const double k = p_.turns;
    const double d = 1.0 / p_.leakage_damping_ohm;
    // d(drop): bus 1, drain -1, rectifier and output turns.
    j.add(leakage, bus, 1.0);
    j.add(leakage, drain, -1.0);
    j.add(leakage, rectifier, k);
    j.add(leakage, output, k);
    j.add(leakage, leakage, -cj * p_.leakage_henry);
    j.add(magnetising, rectifier, -k);
    j.add(magnetising, output, -k);
    j.add(magnetising, magnetising, -cj * p_.primary_henry);
    // Every row that the taken current enters, with its factor there.
    const std::pair<int, double> rows[] = {
        {bus, -1.0}, {drain, 1.0}, {rectifier, -k}, {output, -k}};
    for (const auto& [row, factor] : rows) {
        j.add(row, leakage, factor);
        j.add(row, bus, factor * d);
        j.add(row, drain, -factor * d);
        j.add(row, rectifier, factor * d * k);
        j.add(row, output, factor * d * k);
    }
    j.add(rectifier, magnetising, k);
    j.add(output, magnetising, k);

    const double open = on_ ? p_.on_siemens : p_.off_siemens;
    flow(j, drain, earth, open + p_.body.slope(-y[drain]) + cj * p_.drain_farad);
    diode(y, j, drain, clamp, p_.clamp, p_.clamp_diode_farad, cj);
    flow(j, clamp, bus, 1.0 / p_.clamp_ohm + cj * p_.clamp_farad);

    j.add(rectifier, rectifier, -p_.output.slope(y[rectifier]) - cj * p_.output_diode_farad);
    const double s = 1.0 / p_.output_series_ohm;
    const double slope = p_.leds.slope(y[output]);
    j.add(output, output, -s - slope);
    j.add(output, stored, s);
    j.add(stored, output, s);
    j.add(stored, stored, -s - cj * p_.output_farad);

    j.add(integrals, line, 1.0);
    j.add(integrals + 1, line, supply(t));
    j.add(integrals + 2, line, 2.0 * y[line]);
    j.add(integrals + 3, output, slope);
    for (int q = 0; q < 4; ++q) {
        j.add(integrals + q, integrals + q, -cj);
    }
}

void MainsFlybackEquations::guard_values(double,
                                         std::span<const double> y,
                                         std::span<double> g) const {
    below_ = y[drain] < y[bus];
    g[0] = looking_ ? y[drain] - y[bus] : 1.0;
}

void MainsFlybackEquations::turn_on(double t) {
    on_ = true;
    looking_ = false;
    ++cycles_;
    turn_at_ = t + p_.on_s;
    look_at_ = restart_at_ = never;
}

// The winding fell through zero: the core is empty.
void MainsFlybackEquations::crossed(int, bool rising, double t) {
    if (!rising && looking_) {
        looking_ = false;
        turn_at_ = t + p_.delay_s;
        restart_at_ = never;
    }
}

void MainsFlybackEquations::alarm(double t) {
    if (turn_at_ <= t && on_) {
        on_ = false;
        turn_at_ = never;
        look_at_ = t + p_.blanking_s;
        restart_at_ = t + p_.restart_s;
    } else if (turn_at_ <= t || restart_at_ <= t) {
        turn_on(t);
    } else if (look_at_ <= t) {
        look_at_ = never;
        looking_ = true;
        if (below_) {  // a comparator: already low counts
            crossed(0, false, t);
        }
    }
}

}  // namespace etchback::ida
