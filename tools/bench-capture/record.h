// Samples of the simulated circuit as an instrument takes them.
//
// The circuit is the dossier's, with the values that captures.toml puts in the place of those on
// its parts. Every sample is the engine's exact value at its instant (docs/engine.md); what comes
// after that, gain, offset, noise, the edges of the screen and the steps of the converter, is the
// instrument's.
#pragma once

#include "bench-capture/captures.h"
#include "circuit/circuit.h"
#include "report/behaviour_run.h"

namespace etchback::capture {

// Samples in the file's unit (after the probe), channel by channel.
struct Taken {
    std::vector<std::vector<double>> samples;
    std::vector<double> step;  // of the converter, by channel
};

struct Item {
    const dossier::Dossier& dossier;
    const circuit::Circuit& circuit;
    const report::SimulationData& data;
};

// Fails where the circuit cannot be simulated or a channel's net or part is not in it.
base::Result<Taken> take(const Item& item, const Captures& all, const Capture& capture);

// What the meters show in the steady state, as [[readings]] of a dossier.
base::Result<std::string> read_meters(const Item& item, const Captures& all);

// What the instrument makes of true values, one channel: exposed for tests.
std::vector<double> through_instrument(
    std::vector<double> truth, const Channel& channel, int bits, std::uint64_t seed, double& step);

}  // namespace etchback::capture
