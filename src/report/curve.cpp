#include "report/curve.h"

#include <algorithm>
#include <cmath>

namespace etchback::report {
namespace {

using behaviour::PlotCurve;

std::vector<CurvePoint> finite_samples(const PlotCurve& curve) {
    std::vector<CurvePoint> points;
    const std::size_t count = std::min(curve.t_s.size(), curve.value.size());
    points.reserve(count);
    for (std::size_t i = 0; i < count; ++i) {
        if (std::isfinite(curve.t_s[i]) && std::isfinite(curve.value[i])) {
            points.push_back({curve.t_s[i], curve.value[i]});
        }
    }
    return points;
}

std::size_t cell_count(const PlotCurve& curve) {
    return std::min({curve.low.size(), curve.high.size(), curve.mean.size()});
}

// First, least, largest and last of points[from, to), in their order and each once.
void keep_corners(const std::vector<CurvePoint>& points,
                  std::size_t from,
                  std::size_t to,
                  std::vector<CurvePoint>& kept) {
    if (to - from <= 4) {
        kept.insert(kept.end(),
                    points.begin() + static_cast<std::ptrdiff_t>(from),
                    points.begin() + static_cast<std::ptrdiff_t>(to));
        return;
    }
    std::size_t least = from, largest = from;
    for (std::size_t i = from; i < to; ++i) {
        least = points[i].value < points[least].value ? i : least;
        largest = points[i].value > points[largest].value ? i : largest;
    }
    std::size_t last = to;  // of no point
    for (const std::size_t i : {from, std::min(least, largest), std::max(least, largest), to - 1}) {
        if (i != last) {
            kept.push_back(points[i]);
        }
        last = i;
    }
}

// Of the cells [from, to) that hold anything: a run that ended early leaves infinities behind.
std::optional<CurveRange> range_of_cells(const PlotCurve& curve, std::size_t from, std::size_t to) {
    std::optional<CurveRange> range;
    int met = 0;
    for (std::size_t i = from; i < to; ++i) {
        if (!std::isfinite(curve.low[i]) || !std::isfinite(curve.high[i]) ||
            !std::isfinite(curve.mean[i])) {
            continue;
        }
        if (!range) {
            range = CurveRange{curve.low[i], curve.high[i], 0.0};
        }
        range->low = std::min(range->low, curve.low[i]);
        range->high = std::max(range->high, curve.high[i]);
        range->mean += curve.mean[i];
        ++met;
    }
    if (range) {
        range->mean /= met;
    }
    return range;
}

CurveRange range_of_samples(const std::vector<CurvePoint>& points) {
    CurveRange range{points[0].value, points[0].value, points[0].value};
    double area = 0.0;
    for (std::size_t i = 0; i < points.size(); ++i) {
        range.low = std::min(range.low, points[i].value);
        range.high = std::max(range.high, points[i].value);
        if (i > 0) {
            area +=
                (points[i].t_s - points[i - 1].t_s) * (points[i].value + points[i - 1].value) / 2.0;
        }
    }
    const double span = points.back().t_s - points.front().t_s;
    range.mean = span > 0.0 ? area / span : range.mean;
    return range;
}

}  // namespace

std::vector<CurvePoint> samples_of(const PlotCurve& curve,
                                   double from_s,
                                   double to_s,
                                   int columns) {
    const std::vector<CurvePoint> points = finite_samples(curve);
    const auto before = [](const CurvePoint& point, double t_s) { return point.t_s < t_s; };
    const auto after = [](double t_s, const CurvePoint& point) { return t_s < point.t_s; };
    auto begin = std::lower_bound(points.begin(), points.end(), from_s, before);
    auto end = std::upper_bound(begin, points.end(), to_s, after);
    begin -= begin != points.begin() ? 1 : 0;
    end += end != points.end() ? 1 : 0;
    const double column_s = (to_s - from_s) / std::max(columns, 1);
    const auto column_of = [&](std::size_t i) {
        return column_s > 0.0 ? std::floor((points[i].t_s - from_s) / column_s) : 0.0;
    };
    std::vector<CurvePoint> kept;
    std::size_t i = static_cast<std::size_t>(begin - points.begin());
    const std::size_t stop = static_cast<std::size_t>(end - points.begin());
    while (i < stop) {
        std::size_t next = i + 1;
        while (next < stop && column_of(next) == column_of(i)) {
            ++next;
        }
        keep_corners(points, i, next, kept);
        i = next;
    }
    return kept;
}

CurveCells cells_of(const PlotCurve& curve, int most) {
    const std::size_t count = cell_count(curve);
    const std::size_t limit = static_cast<std::size_t>(std::max(most, 1));
    const std::size_t group = std::max<std::size_t>(1, (count + limit - 1) / limit);
    CurveCells cells;
    cells.start_s = curve.start_s;
    cells.cell_s = curve.cell_s * static_cast<double>(group);
    std::size_t met = 0;  // cells up to the last that holds anything
    for (std::size_t from = 0; from < count; from += group) {
        if (const auto range = range_of_cells(curve, from, std::min(from + group, count))) {
            cells.low.push_back(range->low);
            cells.high.push_back(range->high);
            cells.mean.push_back(range->mean);
            met = cells.mean.size();
        } else if (met == 0) {
            cells.start_s += cells.cell_s;
        } else {  // a gap: as before it
            cells.low.push_back(cells.low.back());
            cells.high.push_back(cells.high.back());
            cells.mean.push_back(cells.mean.back());
        }
    }
    for (auto* values : {&cells.low, &cells.high, &cells.mean}) {
        values->resize(met);
    }
    return cells;
}

std::optional<CurveRange> range_of(const PlotCurve& curve) {
    if (const std::size_t cells = cell_count(curve); cells > 0) {
        return range_of_cells(curve, 0, cells);
    }
    const std::vector<CurvePoint> points = finite_samples(curve);
    return points.empty() ? std::nullopt : std::optional(range_of_samples(points));
}

Extent extent_of(const CurveRange& range) {
    constexpr double worth_showing_zero = 0.25;  // of the way to zero, that the curve moves
    constexpr double air = 0.06;
    double low = range.low, high = range.high;
    const double farthest = std::max(std::abs(low), std::abs(high));
    if (high - low >= worth_showing_zero * farthest) {
        low = std::min(low, 0.0);
        high = std::max(high, 0.0);
    }
    double span = high - low;
    const double least_span = farthest > 0.0 ? 1e-3 * farthest : 1.0;  // a constant is a level line
    if (span < least_span) {
        const double middle = (low + high) / 2.0;
        low = middle - least_span / 2.0;
        high = middle + least_span / 2.0;
        span = least_span;
    }
    return {low - air * span, high + air * span};
}

}  // namespace etchback::report
