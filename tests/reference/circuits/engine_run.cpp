#include <algorithm>
#include <cmath>
#include <ctime>
#include <utility>

#include "reference/circuits/networks.h"

namespace etchback::ida {

using namespace behaviour;

namespace {

double cpu_seconds() {
    timespec now{};
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
    return static_cast<double>(now.tv_sec) + 1e-9 * static_cast<double>(now.tv_nsec);
}

}  // namespace

EngineRun run(Built built, double begin_s, double end_s, bool bare_run) {
    EngineRun result;
    const double cpu = cpu_seconds();
    base::Result<Simulation> made =
        Simulation::make(std::move(built.network), std::move(built.machines));
    if (!made) {
        result.trouble = made.errors();
        return result;
    }
    Simulation& simulation = *made;
    const std::vector<ProbeId> probes =
        bare_run ? std::vector<ProbeId>{} : std::vector{built.input, built.load, built.peak};
    double peak = 0.0;
    if (built.supply_hz > 0.0 && !bare_run) {
        simulation.harmonics(built.input, built.supply_hz, 40);
    }
    simulation.measure(probes);
    if (begin_s > 0.0) {
        if (simulation.run_to(begin_s) != Ending::reached) {
            result.trouble = simulation.trouble();
            return result;
        }
        peak = simulation.measured().largest.at(2);
        simulation.measure(probes);
    }
    if (simulation.run_to(end_s) != Ending::reached) {
        result.trouble = simulation.trouble();
        return result;
    }
    const Measured measured = simulation.measured();
    result.cpu_s = cpu_seconds() - cpu;
    result.ledger = simulation.ledger();
    result.effort = simulation.effort();
    for (const Simulation::Count& count : simulation.counts()) {
        result.cycles += count.what == "cycle" ? count.number : 0;
    }
    Figures& f = result.figures;
    f.input_w =
        -measured.branch_joule.at(static_cast<std::size_t>(built.supply.index)) / measured.span_s();
    if (bare_run) {
        return result;
    }
    f.load_a = measured.mean.at(1);
    f.input_a_rms = measured.rms.at(0);
    f.peak_v = std::max(peak, measured.largest.at(2));
    if (built.supply_hz > 0.0) {
        f.power_factor = f.input_w / (built.supply_v_rms * f.input_a_rms);
        double square = 0.0;
        const std::vector<Simulation::Harmonic> harmonics = simulation.harmonics();
        for (std::size_t k = 0; k < harmonics.size(); ++k) {
            square += harmonics[k].amplitude * harmonics[k].amplitude / (k == 0 ? 1.0 : 2.0);
        }
        f.power_factor_40 = f.input_w / (built.supply_v_rms * std::sqrt(square));
    }
    return result;
}

}  // namespace etchback::ida
