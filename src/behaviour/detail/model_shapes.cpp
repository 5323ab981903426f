#include <cassert>

#include "behaviour/detail/model_builder.h"

namespace etchback::behaviour::detail {

PiecewiseLinear through(const std::vector<CurvePoint>& points, double first_slope) {
    assert(points.size() >= 2);
    PiecewiseLinear out;
    out.anchor = points.front().ampere;
    out.slopes.push_back(first_slope);
    for (std::size_t k = 0; k + 1 < points.size(); ++k) {
        out.corners.push_back(points[k].volt);
        out.slopes.push_back((points[k + 1].ampere - points[k].ampere) /
                             (points[k + 1].volt - points[k].volt));
    }
    return out;
}

PiecewiseLinear knee(double knee_v, double ohm) {
    return {{knee_v}, {off_siemens, 1.0 / ohm}, off_siemens * knee_v};
}

PiecewiseLinear knee_and_breakdown(double knee_v,
                                   double ohm,
                                   double breakdown_v,
                                   double breakdown_ohm) {
    return {{-breakdown_v, knee_v},
            {1.0 / breakdown_ohm, off_siemens, 1.0 / ohm},
            -off_siemens * breakdown_v};
}

PiecewiseLinear odd(const std::vector<CurvePoint>& points) {
    std::vector<CurvePoint> both;
    for (auto it = points.rbegin(); it != points.rend(); ++it) {
        both.push_back({-it->volt, -it->ampere});
    }
    both.insert(both.end(), points.begin(), points.end());
    PiecewiseLinear out = through(both, 0.0);
    // The first point of `both` and the last carry no corner: the outermost slopes go on.
    out.slopes.erase(out.slopes.begin());
    out.corners.erase(out.corners.begin());
    out.anchor = both[1].ampere;
    return out;
}

PiecewiseLinear ramp(double from, double siemens) {
    return {{from}, {0.0, siemens}, 0.0};
}

Expression sum(std::vector<Expression::Volt> volts, double constant) {
    Expression out;
    for (const Expression::Volt& each : volts) {
        if (each.node != reference) {
            out.volts.push_back(each);
        }
    }
    out.constant = constant;
    return out;
}

}  // namespace etchback::behaviour::detail
