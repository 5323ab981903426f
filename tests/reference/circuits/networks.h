// The four circuits of this folder described once more, for the engine: as networks of elements
// and machines, with the same parameters and none of the equations.
#pragma once

#include <memory>
#include <optional>
#include <vector>

#include "behaviour/network.h"
#include "behaviour/simulation.h"
#include "reference/circuits/dropper.h"
#include "reference/circuits/fixed_flyback.h"
#include "reference/circuits/mains_flyback.h"
#include "reference/circuits/rectifier.h"
#include "reference/ida/figures.h"

namespace etchback::ida {

struct Built {
    behaviour::Network network{};
    std::vector<std::unique_ptr<behaviour::Machine>> machines{};
    behaviour::BranchId supply{};
    behaviour::ProbeId input{}, load{}, peak{};
    double supply_v_rms = 0.0, supply_hz = 0.0;  // hz 0: direct
};

behaviour::Curve curve_of(const Bends& bends, behaviour::NodeId from, behaviour::NodeId to);

Built network_of(const Rectifier& p);
Built network_of(const Dropper& p);
Built network_of(const FixedFlyback& p);
Built network_of(const MainsFlyback& p);

// For seeing how the cost grows: the mains flyback behind a direct supply (ten parts), and with
// `cells` cells of four parts added (16 + 4 cells parts). A diode with its junction and a
// transformer with its leakage count as one part.
Built bare(const MainsFlyback& p);
Built enlarged(const MainsFlyback& p, int cells);

struct EngineRun {
    std::vector<base::Error> trouble;
    Figures figures;
    behaviour::Ledger ledger;
    behaviour::Effort effort;
    std::int64_t cycles = 0;
    double cpu_s = 0.0;
};

// Runs from 0 to `end_s` and measures from `begin_s` on (peaks from 0 on, as the equations do).
// `bare_run`: only energies and means, no extremes and no harmonics, for timing the rest.
EngineRun run(Built built, double begin_s, double end_s, bool bare_run = false);

}  // namespace etchback::ida
