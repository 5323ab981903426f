#include "behaviour/scenario.h"

#include <algorithm>
#include <numbers>

#include "base/file.h"
#include "behaviour/detail/scenario_limits.h"
#include "behaviour/detail/scenario_run.h"
#include "behaviour/detail/scenario_supply.h"
#include "dossier/read.h"

namespace etchback::behaviour {

namespace {

Deed deed_of(const dossier::Deed& said) {
    const std::string& what = said.what.value;
    return {.kind = what == "open load"      ? Deed::Kind::open_load
                    : what == "short load"   ? Deed::Kind::short_load
                    : what == "restore load" ? Deed::Kind::restore_load
                                             : Deed::Kind::supply_factor,
            .at_s = said.at.value.value,
            .factor = said.factor ? said.factor->value : 1.0,
            .load = said.load.value};
}

// Nominal, low and high where the dossier does not say: from the model's own supply.
double supply_of_model(const Model& model, Scenario::Supply which) {
    const Terminals& ends = model.terminals;
    if (!ends.mains_peak) {
        return 0.0;
    }
    const double peak =
        model.network.knobs()[static_cast<std::size_t>(ends.mains_peak->index)].initial;
    const double volts = ends.mains_hz > 0.0 ? peak / std::numbers::sqrt2 : peak;
    return which == Scenario::Supply::low    ? volts * (1.0 - detail::usual_tolerance)
           : which == Scenario::Supply::high ? volts * (1.0 + detail::usual_tolerance)
                                             : volts;
}

}  // namespace

Scenario scenario_of(const dossier::Scenario& said) {
    Scenario scenario;
    scenario.id = said.id.value;
    scenario.title = said.title.value.empty() ? said.id.value : said.title.value;
    scenario.words = said.words.value;
    scenario.supply = said.supply.value == "low"    ? Scenario::Supply::low
                      : said.supply.value == "high" ? Scenario::Supply::high
                                                    : Scenario::Supply::nominal;
    if (said.supply_voltage) {
        scenario.supply_v_rms = said.supply_voltage->value.value;
    }
    scenario.supply_phase_deg = said.supply_phase ? said.supply_phase->value.value : 0.0;
    scenario.from = said.from.value == "steady" ? Scenario::From::steady : Scenario::From::cold;
    scenario.span_s = said.span.value.value;
    scenario.measure_s = said.measure ? said.measure->value.value : 0.0;
    scenario.steady_at_end = said.steady_at_end;
    std::ranges::transform(said.deeds, std::back_inserter(scenario.deeds), deed_of);
    return scenario;
}

base::Result<std::vector<Scenario>> load_scenarios(const std::filesystem::path& file) {
    const auto read = dossier::read_scenarios(base::read_file(file), file.string());
    if (!read) {
        return read.errors();
    }
    std::vector<Scenario> scenarios;
    std::ranges::transform(*read, std::back_inserter(scenarios), scenario_of);
    return scenarios;
}

std::vector<Scenario> scenarios_for(const std::vector<Scenario>& usual,
                                    const dossier::Dossier& dossier) {
    std::vector<Scenario> all = usual;
    for (const dossier::Scenario& said : dossier.scenarios) {
        const auto same = std::ranges::find(all, said.id.value, &Scenario::id);
        if (same != all.end()) {
            *same = scenario_of(said);
        } else {
            all.push_back(scenario_of(said));
        }
    }
    return all;
}

std::optional<double> Outcome::figure(std::string_view id) const {
    const auto found = std::ranges::find(figures, id, &FigureRow::id);
    return found == figures.end() ? std::nullopt : std::optional(found->value);
}

base::Result<Outcome> run_scenario(const circuit::Circuit& circuit,
                                   const dossier::Dossier& dossier,
                                   const std::vector<parts::RegisteredType>& types,
                                   const Tables& tables,
                                   const Scenario& scenario,
                                   const ModelOptions& model_options,
                                   const OutcomeOptions& options) {
    ModelOptions how = model_options;
    how.supply_phase_rad += scenario.supply_phase_deg * std::numbers::pi / 180.0;
    if (scenario.supply_v_rms) {
        how.supply_v_rms = scenario.supply_v_rms;
    } else if (!how.supply_v_rms) {
        how.supply_v_rms = detail::supply_v(dossier, scenario.supply);
    }
    auto model = model_of(circuit, dossier, types, tables, how);
    if (model && !how.supply_v_rms && scenario.supply != Scenario::Supply::nominal) {
        how.supply_v_rms = supply_of_model(*model, scenario.supply);
        model = model_of(circuit, dossier, types, tables, how);
    }
    if (!model) {
        return model.errors();
    }
    return detail::run_on(std::move(*model), scenario, options);
}

}  // namespace etchback::behaviour
