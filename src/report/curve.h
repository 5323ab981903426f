// Curves of a simulation made small enough to draw, without losing a peak.
#pragma once

#include <optional>
#include <vector>

#include "behaviour/scenario.h"

namespace etchback::report {

struct CurvePoint {
    double t_s = 0.0;
    double value = 0.0;
    bool operator==(const CurvePoint&) const = default;
};

// The samples of a window between `from_s` and `to_s`, with one neighbour on either side. Where
// more than four fall into one of `columns` equal stretches of time, only its first, its least, its
// largest and its last are kept, in their order: the drawn line covers the same pixels. What is not
// finite is left out.
std::vector<CurvePoint> samples_of(const behaviour::PlotCurve& curve,
                                   double from_s,
                                   double to_s,
                                   int columns);

// The cells of an envelope, at most `most` of them: neighbours are merged into one that has the
// least of their lows, the largest of their highs and the mean of their means. Cells that hold no
// finite numbers are cut off at both ends; in between they are as the cell before.
struct CurveCells {
    double start_s = 0.0;
    double cell_s = 0.0;
    std::vector<double> low, high, mean;
    double middle_s(std::size_t i) const {
        return start_s + (static_cast<double>(i) + 0.5) * cell_s;
    }
};
CurveCells cells_of(const behaviour::PlotCurve& curve, int most);

// Least, largest and mean over time; nothing where the curve is empty.
struct CurveRange {
    double low = 0.0;
    double high = 0.0;
    double mean = 0.0;
};
std::optional<CurveRange> range_of(const behaviour::PlotCurve& curve);

// What the height of a panel shows: the curve's range with some air, and zero where that costs
// little. A ripple on a large mean fills the panel by itself.
struct Extent {
    double low = 0.0;
    double high = 1.0;
};
Extent extent_of(const CurveRange& range);

}  // namespace etchback::report
