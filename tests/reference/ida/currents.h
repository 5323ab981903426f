// Currents into nodes, for residuals and Jacobians written by hand. A node is the index of the
// unknown that holds its voltage; `earth` is the reference.
#pragma once

#include <cstddef>
#include <span>

#include "reference/ida/equations.h"

namespace etchback::ida {

inline constexpr int earth = -1;

inline double at(std::span<const double> y, int node) {
    return node == earth ? 0.0 : y[static_cast<std::size_t>(node)];
}

// `ampere` flows from one node to another.
inline void flow(std::span<double> r, int from, int to, double ampere) {
    if (from != earth) {
        r[static_cast<std::size_t>(from)] -= ampere;
    }
    if (to != earth) {
        r[static_cast<std::size_t>(to)] += ampere;
    }
}

// The same flow's entries, for a current of `siemens` times the voltage from one to the other.
inline void flow(Stamps& j, int from, int to, double siemens) {
    if (from != earth) {
        j.add(from, from, -siemens);
        if (to != earth) {
            j.add(from, to, siemens);
            j.add(to, from, siemens);
        }
    }
    if (to != earth) {
        j.add(to, to, -siemens);
    }
}

// A diode with a constant junction capacitance.
template <typename Law>
void diode(std::span<const double> y,
           std::span<const double> yp,
           std::span<double> r,
           int anode,
           int cathode,
           const Law& law,
           double farad) {
    flow(r,
         anode,
         cathode,
         law.current(at(y, anode) - at(y, cathode)) + farad * (at(yp, anode) - at(yp, cathode)));
}

template <typename Law>
void diode(std::span<const double> y,
           Stamps& j,
           int anode,
           int cathode,
           const Law& law,
           double farad,
           double cj) {
    flow(j, anode, cathode, law.slope(at(y, anode) - at(y, cathode)) + cj * farad);
}

// Four diodes from the nodes `a` and `n` to `plus`, and from the reference back.
template <typename Law>
void bridge(std::span<const double> y,
            std::span<const double> yp,
            std::span<double> r,
            int a,
            int n,
            int plus,
            const Law& law,
            double farad) {
    diode(y, yp, r, a, plus, law, farad);
    diode(y, yp, r, n, plus, law, farad);
    diode(y, yp, r, earth, a, law, farad);
    diode(y, yp, r, earth, n, law, farad);
}

template <typename Law>
void bridge(std::span<const double> y,
            Stamps& j,
            int a,
            int n,
            int plus,
            const Law& law,
            double farad,
            double cj) {
    diode(y, j, a, plus, law, farad, cj);
    diode(y, j, n, plus, law, farad, cj);
    diode(y, j, earth, a, law, farad, cj);
    diode(y, j, earth, n, law, farad, cj);
}

}  // namespace etchback::ida
