// The engine: a switched piecewise-linear network in time.
//
// Between events the network is linear, so its solution is a sum of exponentials; the engine finds
// those of each pattern of segments and switches once, keeps them, and moves from event to event
// with them. Nothing is integrated numerically: means, RMS values and energies are exact integrals
// of products of exponentials. docs/engine.md has the method and its sources.
#pragma once

#include <cmath>
#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "base/error.h"
#include "behaviour/machine.h"
#include "behaviour/network.h"

namespace etchback::behaviour {

struct SimulationOptions {
    // Largest error of a crossing or a recorded sample between two steps, in units of the
    // probe's or curve's scale.
    double tolerance = 1e-2;
    // Events at one instant before the engine gives up (chatter).
    int most_events_at_once = 400;
    // Patterns kept before the engine gives up; a circuit visits tens.
    int most_patterns = 20000;
    // Asked now and then; true ends the run early with Ending::interrupted.
    std::function<bool()> interrupted;
    // Told now and then: simulated time.
    std::function<void(double)> progress;
};

enum class Ending { reached, interrupted, gave_up };

// A recorded probe over a window.
struct Trace {
    ProbeId probe;
    std::vector<double> t_s;
    std::vector<double> value;
};

// Least, largest and mean in equal cells of a window: a long run without losing peaks.
struct Envelope {
    ProbeId probe;
    double start_s = 0.0;
    double cell_s = 0.0;
    std::vector<double> low, high, mean;
};

// Exact integrals over an interval of measuring. Indices are those of the probe list handed in.
struct Measured {
    double start_s = 0.0;
    double end_s = 0.0;
    std::vector<double> mean, rms;       // by probe
    std::vector<double> least, largest;  // by probe, met to the tolerance
    std::vector<double> branch_joule;    // by branch: energy absorbed, integral of v*i
    std::vector<double> branch_rms_a, branch_mean_a;
    double span_s() const { return end_s - start_s; }
};

// Energy over an interval: delivered by sources, absorbed by all that dissipates or is controlled,
// and the change of what capacitors and windings hold. The rest must be nothing.
struct Ledger {
    double delivered_j = 0.0;
    double absorbed_j = 0.0;
    double stored_change_j = 0.0;
    double throughput_j = 0.0;  // what the rest is a part of: the largest of the three
    // |delivered - absorbed - stored change| / throughput
    double residual() const {
        return throughput_j > 0.0
                   ? std::abs(delivered_j - absorbed_j - stored_change_j) / throughput_j
                   : 0.0;
    }
    double worst_kirchhoff_a = 0.0;  // largest sum of currents at a node, sampled at events
    std::string worst_node;
    bool in_order() const { return residual() <= 1e-3; }
};

struct Effort {
    std::int64_t events = 0;
    std::int64_t steps = 0;
    std::int64_t patterns = 0;
    int states = 0;
    double worst_condition = 0.0;  // of the exponentials' basis
    std::string note;              // what is less exact than usual, empty as a rule
};

namespace detail {
class Body;
}

// A point in time of a simulation that can be gone back to.
class Snapshot;

class Simulation {
public:
    // Fails with sentences where the network can't be simulated.
    static base::Result<Simulation> make(Network network,
                                         std::vector<std::unique_ptr<Machine>> machines,
                                         SimulationOptions options = {});
    Simulation(Simulation&&) noexcept;
    Simulation& operator=(Simulation&&) noexcept;
    ~Simulation();

    const Network& network() const;
    double now_s() const;
    double value(ProbeId probe) const;

    // Goes on to `t_s`. After gave_up, trouble() says where, when and why.
    Ending run_to(double t_s);
    const std::vector<base::Error>& trouble() const;

    // Recording: every step and event in the window, refined so that straight lines between
    // samples are within the tolerance; or cells of an envelope.
    void record(std::vector<ProbeId> probes, double start_s, double end_s);
    void envelope(std::vector<ProbeId> probes, double start_s, double end_s, int cells);
    const std::vector<Trace>& traces() const;
    const std::vector<Envelope>& envelopes() const;

    // Measuring starts at this instant and ends with measured(). Extremes are kept for `probes`.
    void measure(std::vector<ProbeId> probes);
    Measured measured() const;
    Ledger ledger() const;  // since the measuring started, or since the beginning

    // Fourier coefficients of a probe since measuring started, for orders of `base_hz`:
    // amplitude and phase of sines. Ask before measuring: harmonics() turns it on.
    void harmonics(ProbeId probe, double base_hz, int orders);
    struct Harmonic {
        double amplitude = 0.0;  // peak
        double phase_rad = 0.0;
    };
    std::vector<Harmonic> harmonics() const;  // [0] is the mean

    const std::vector<StoryLine>& story() const;
    // What machines counted since the measuring started, and times of the first and last.
    struct Count {
        std::string who, what;
        std::int64_t number = 0;
        double shortest_s = 0.0, longest_s = 0.0;  // between two in a row
    };
    std::vector<Count> counts() const;

    // Capacitor voltages and winding currents, in the order of the network's branches; for the
    // search of a steady state. set_stored() moves as near as loops of capacitors allow.
    std::vector<double> stored() const;
    void set_stored(const std::vector<double>& values);

    std::shared_ptr<const Snapshot> snapshot() const;
    void restore(const Snapshot& snapshot);  // patterns stay cached; recordings stay

    Effort effort() const;

private:
    explicit Simulation(std::unique_ptr<detail::Body> body);
    std::unique_ptr<detail::Body> body_;
};

}  // namespace etchback::behaviour
