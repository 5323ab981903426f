#include "behaviour/detail/stress_table.h"

#include <algorithm>
#include <cmath>

#include "base/text.h"

namespace etchback::behaviour::detail {

namespace {

double value_of(const Limit& limit, const StretchedRun& run) {
    if (limit.kind == Limit::Kind::power) {
        return limit.owner ? run.power(*limit.owner) : 0.0;
    }
    if (!limit.probe) {
        return 0.0;
    }
    switch (limit.kind) {
        case Limit::Kind::mean_current:
            return std::abs(run.mean(*limit.probe));
        case Limit::Kind::rms_current:
            return run.rms(*limit.probe);
        default:
            return std::max(std::abs(run.least(*limit.probe)), std::abs(run.largest(*limit.probe)));
    }
}

base::Unit unit_of(Limit::Kind kind) {
    switch (kind) {
        case Limit::Kind::peak_voltage:
            return base::Unit::volt;
        case Limit::Kind::power:
            return base::Unit::watt;
        default:
            return base::Unit::ampere;
    }
}

}  // namespace

std::vector<StressRow> stress_of(const StretchedRun& run, const Model& model) {
    std::vector<StressRow> rows;
    for (const Limit& limit : model.limits) {
        if (limit.probe && !run.measures(*limit.probe)) {
            continue;
        }
        const double value = value_of(limit, run);
        if (std::isfinite(value)) {
            rows.push_back({limit.part,
                            limit.kind,
                            value,
                            unit_of(limit.kind),
                            limit.rating,
                            limit.rating_assumed,
                            limit.basis});
        }
    }
    std::ranges::stable_sort(rows, [](const StressRow& a, const StressRow& b) {
        const double x = a.share().value_or(-1.0);
        const double y = b.share().value_or(-1.0);
        return x != y ? x > y : base::natural_less(a.part, b.part);
    });
    return rows;
}

}  // namespace etchback::behaviour::detail
