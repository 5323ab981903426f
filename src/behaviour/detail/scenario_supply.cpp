#include "behaviour/detail/scenario_supply.h"

#include <array>

namespace etchback::behaviour::detail {

namespace {

// Public supplies of the world (IEC 60038 and common practice): a range around one of them means
// it.
constexpr std::array<double, 3> public_v_rms = {230.0, 120.0, 100.0};

bool holds(const base::Quantity& range, double volts) {
    return range.low <= volts && volts <= range.high;
}

// What the bench had, if that is a supply the item is made for.
std::optional<double> measured_v(const dossier::Dossier& dossier, const base::Quantity& said) {
    for (const dossier::Reading& reading : dossier.readings) {
        const double volts = reading.value.value.value;
        if (reading.quantity.value == "supply voltage" && (said.exact() || holds(said, volts))) {
            return volts;
        }
    }
    return std::nullopt;
}

double nominal_v(const dossier::Dossier& dossier, const base::Quantity& said) {
    if (const auto measured = measured_v(dossier, said)) {
        return *measured;
    }
    if (said.exact() || said.nominal || dossier.supply.kind == dossier::Supply::Kind::dc) {
        return said.value;
    }
    for (const double volts : public_v_rms) {
        if (holds(said, volts)) {
            return volts;
        }
    }
    return said.value;
}

}  // namespace

std::optional<double> supply_v(const dossier::Dossier& dossier, Scenario::Supply which) {
    if (!dossier.supply.voltage) {
        return std::nullopt;
    }
    const base::Quantity& said = dossier.supply.voltage->value;
    switch (which) {
        case Scenario::Supply::low:
            return said.exact() ? said.value * (1.0 - usual_tolerance) : said.low;
        case Scenario::Supply::high:
            return said.exact() ? said.value * (1.0 + usual_tolerance) : said.high;
        case Scenario::Supply::nominal:
            return nominal_v(dossier, said);
    }
    return std::nullopt;
}

}  // namespace etchback::behaviour::detail
