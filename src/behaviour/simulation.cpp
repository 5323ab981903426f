#include "behaviour/simulation.h"

#include <cmath>

#include "behaviour/detail/body.h"

namespace etchback::behaviour {

base::Result<Simulation> Simulation::make(Network network,
                                          std::vector<std::unique_ptr<Machine>> machines,
                                          SimulationOptions options) {
    if (auto errors = faults_of(network); !errors.empty()) {
        return errors;
    }
    auto space = detail::StateSpace::make(network);
    if (!space) {
        return space.errors();
    }
    return Simulation(
        std::make_unique<detail::Body>(std::move(*space), std::move(machines), std::move(options)));
}

Simulation::Simulation(std::unique_ptr<detail::Body> body) : body_(std::move(body)) {}
Simulation::Simulation(Simulation&&) noexcept = default;
Simulation& Simulation::operator=(Simulation&&) noexcept = default;
Simulation::~Simulation() = default;

const Network& Simulation::network() const {
    return body_->network();
}
double Simulation::now_s() const {
    return body_->now_s();
}
double Simulation::value(ProbeId probe) const {
    return body_->value(probe);
}
Ending Simulation::run_to(double t_s) {
    return body_->run_to(t_s);
}
const std::vector<base::Error>& Simulation::trouble() const {
    return body_->trouble();
}

void Simulation::record(std::vector<ProbeId> probes, double start_s, double end_s) {
    body_->record(std::move(probes), start_s, end_s);
}
void Simulation::envelope(std::vector<ProbeId> probes, double start_s, double end_s, int cells) {
    body_->envelope(std::move(probes), start_s, end_s, cells);
}
const std::vector<Trace>& Simulation::traces() const {
    return body_->recorder().traces();
}
const std::vector<Envelope>& Simulation::envelopes() const {
    return body_->recorder().envelopes();
}

void Simulation::measure(std::vector<ProbeId> probes) {
    body_->measure(std::move(probes));
}
Measured Simulation::measured() const {
    return body_->measured();
}
Ledger Simulation::ledger() const {
    return body_->ledger();
}
void Simulation::harmonics(ProbeId probe, double base_hz, int orders) {
    body_->harmonics(probe, base_hz, orders);
}
std::vector<Simulation::Harmonic> Simulation::harmonics() const {
    return body_->harmonics();
}

const std::vector<StoryLine>& Simulation::story() const {
    return body_->story();
}
std::vector<Simulation::Count> Simulation::counts() const {
    return body_->logbook().counts();
}

std::vector<double> Simulation::stored() const {
    return body_->stored();
}
void Simulation::set_stored(const std::vector<double>& values) {
    body_->set_stored(values);
}
std::shared_ptr<const Snapshot> Simulation::snapshot() const {
    return body_->snapshot();
}
void Simulation::restore(const Snapshot& snapshot) {
    body_->restore(snapshot);
}
Effort Simulation::effort() const {
    return body_->effort();
}

}  // namespace etchback::behaviour
