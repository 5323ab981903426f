// A circuit on which faults are tried one after the other: it settles once, and every fault is put
// into the settled circuit and taken out again.
#pragma once

#include <memory>
#include <vector>

#include "behaviour/campaign.h"
#include "behaviour/detail/campaign_verdict.h"
#include "behaviour/detail/scenario_deeds.h"
#include "behaviour/detail/scenario_stretch.h"

namespace etchback::behaviour::detail {

struct Corner {
    std::string name;  // "198 V"
    double supply_v = 0.0;
    bool operator==(const Corner&) const = default;
};

// All that a run is made from; it outlives the bench.
struct Subject {
    const circuit::Circuit& circuit;
    const dossier::Dossier& dossier;
    const std::vector<parts::RegisteredType>& types;
    const Tables& tables;
};

class FaultBench {
public:
    // Settles the healthy circuit. Where that is not possible, every run says why. `starts`: faults
    // that change nothing are tried from switching on, too.
    FaultBench(const Subject& subject,
               const Corner& corner,
               const std::vector<Fault>& faults,
               bool starts,
               const std::function<bool()>& interrupted);

    // The run of the fault of that number; nothing where it was interrupted.
    std::optional<FaultRun> run(std::size_t fault);

private:
    bool prepare(const std::function<bool()>& interrupted);
    void settle_healthy();
    Look look(double since_s, Ending ending) const;
    bool is_certain(const Look& now, const Look& before) const;
    void put_in(std::size_t fault, double begin_s, double at_s);
    std::optional<double> start_s(double limit_s);
    std::optional<double> stop_s(double limit_s);
    bool judge_start(std::size_t fault, FaultRun& result);

    const Subject& subject_;
    Corner corner_;
    const std::vector<Fault>& faults_;
    std::function<bool()> interrupted_;
    std::string why_not_;  // the healthy circuit cannot be simulated
    bool was_interrupted_ = false;
    std::optional<Model> model_;
    std::shared_ptr<DeedPlan> plan_ = std::make_shared<DeedPlan>();
    std::optional<Simulation> simulation_;
    std::optional<StretchedRun> run_;
    std::shared_ptr<const Snapshot> cold_, settled_;
    double period_s_ = 0.0, settled_s_ = 0.0;
    bool starts_ = false;
    std::optional<double> healthy_start_s_;  // not there where starts are not looked at
    Look healthy_;
};

}  // namespace etchback::behaviour::detail
