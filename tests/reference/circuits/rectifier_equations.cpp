#include "reference/circuits/rectifier.h"
#include "reference/ida/currents.h"

namespace etchback::ida {

template <typename P>
void RectifierEquations<P>::start(std::span<double> y, std::span<double> scale) const {
    std::ranges::fill(y, 0.0);
    y[bulk] = p_.bulk_start_v;
    const double sizes[all] = {0.1, 1.0, 1.0, 1.0, 1e-3, 0.1, 1e-3, 1e-3};
    std::ranges::copy(sizes, scale.begin());
}

template <typename P>
void RectifierEquations<P>::residual(double t,
                                     std::span<const double> y,
                                     std::span<const double> yp,
                                     std::span<double> r) const {
    std::ranges::fill(r, 0.0);
    const double e = supply(t);
    const double i = y[current];
    r[current] = e - p_.source_ohm * i - (y[a] - y[n]) - p_.source_henry * yp[current];
    flow(r, n, a, i);
    bridge(y, yp, r, a, n, bulk, law(), p_.diode_farad);
    flow(r, bulk, earth, y[bulk] / p_.load_ohm + p_.bulk_farad * yp[bulk]);
    r[integrals] = i - yp[integrals];
    r[integrals + 1] = e * i - yp[integrals + 1];
    r[integrals + 2] = i * i - yp[integrals + 2];
    r[integrals + 3] = y[bulk] / p_.load_ohm - yp[integrals + 3];
}

template <typename P>
void RectifierEquations<P>::jacobian(double t,
                                     std::span<const double> y,
                                     double cj,
                                     Stamps& j) const {
    j.add(current, current, -p_.source_ohm - cj * p_.source_henry);
    j.add(current, a, -1.0);
    j.add(current, n, 1.0);
    j.add(a, current, 1.0);
    j.add(n, current, -1.0);
    bridge(y, j, a, n, bulk, law(), p_.diode_farad, cj);
    flow(j, bulk, earth, 1.0 / p_.load_ohm + cj * p_.bulk_farad);
    j.add(integrals, current, 1.0);
    j.add(integrals + 1, current, supply(t));
    j.add(integrals + 2, current, 2.0 * y[current]);
    j.add(integrals + 3, bulk, 1.0 / p_.load_ohm);
    for (int k = 0; k < 4; ++k) {
        j.add(integrals + k, integrals + k, -cj);
    }
}

template class RectifierEquations<Rectifier>;
template class RectifierEquations<JunctionRectifier>;

}  // namespace etchback::ida
