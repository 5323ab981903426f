// What formulas of patterns may call besides the usual functions.
#pragma once

namespace etchback::blocks::detail {

// (1/pi) times the integral of sin^2/(1 + K sin) over half a turn: the mean over the mains of a
// converter that draws constant on-time pulses at the boundary; K is the crest of the mains over
// the reflected voltage (Adragna, application note AN1059, from memory). K >= 0.
double mean_of_square_over(double k);

// Power factor of the current of such a converter, which is as sin/(1 + K sin) (likewise).
double boundary_power_factor(double k);

// Power factor of a bridge rectifier that charges a capacitor C beside a load R from a sine behind
// a resistance Rs, diodes without drop, in its periodic steady state. `x` is omega R C, `r` is Rs
// over R; both positive. The circuit of O. H. Schade's curves (Proceedings of the IRE 31 (1943)
// 341), solved exactly. NaN outside.
double capacitor_input_power_factor(double x, double r);

}  // namespace etchback::blocks::detail
