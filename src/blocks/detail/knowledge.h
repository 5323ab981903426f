// What is known about potentials while the sources of knowledge are asked one after another.
//
// A Frame is a set of nets whose potentials are known against one common reference; each Level in
// it is a group of nets that lie at one potential. The largest voltage between two nets of a frame
// is the largest difference of their levels. Where two potentials move together (the ends of a
// dropper capacitor), a direct claim is more exact than the difference and goes first.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "blocks/chains.h"
#include "blocks/mains.h"
#include "blocks/voltages.h"
#include "circuit/circuit.h"
#include "circuit/domains.h"

namespace etchback::blocks::detail {

// The shape in time, as far as an RMS value follows from it.
enum class Form { dc, full_wave, half_wave, sine, switching };

struct Level {
    std::vector<circuit::NetId> nets;  // sorted
    double low_v = 0.0;                // in normal use, start-up included
    double high_v = 0.0;
    double steady_v = 0.0;  // dc: the mean while running; else: the RMS value
    Form form = Form::dc;
    std::optional<double> fault_high_v;
    bool bound_only = false;
    bool unlimited_on_open_load = false;
    std::string because;        // "bridge BR1 charges C2 to the mains peak"
    std::string fault_because;  // "with the feedback open, U1 stops at ..."
    std::string formula, worked, source;
    bool assumed = false;
    std::vector<base::Evidence> evidence;
    std::vector<std::string> parts;
};

struct Frame {
    std::vector<Level> levels;  // the first is the reference, at 0 V

    const Level* of(circuit::NetId net) const;
};

struct Knowledge {
    const circuit::Circuit& circuit;
    const circuit::Domains& domains;
    const dossier::Dossier& dossier;
    MainsLines mains;
    std::vector<Chain> bridges;  // resistors across the insulation; `domains` are without them
    std::vector<Frame> frames;
    std::vector<VoltageBetween> direct;

    // The first frame that has `net` among its levels.
    Frame* frame_of(circuit::NetId net);
    const Frame* frame_of(circuit::NetId net) const;
    std::optional<VoltageBetween> between(circuit::NetId a, circuit::NetId b) const;
    bool has_direct(circuit::NetId a, circuit::NetId b) const;
    // Adds a level, or raises one that is known to hold these nets already.
    void add_level(Frame& frame, Level level);
};

// The net of a group that a person would name: the one with a declared role, else with most pins.
circuit::NetId principal(const circuit::Circuit& circuit, const std::vector<circuit::NetId>& nets);

base::Evidence evidence_of(const circuit::Part& part, std::string detail = {});
// Any of the fields of the part's evidence that a number rests on is assumed or has another
// reading.
bool is_doubtful(const circuit::Part& part, std::initializer_list<std::string_view> fields);
// The same of a controller's thresholds: where its type is a guess, the data sheet may be of
// another chip.
bool thresholds_doubtful(const circuit::Part& chip);
std::string volts(double v);
// Where a figure rests on something assumed, its evidence says on what: fields of its parts that
// are assumed or have another reading.
void name_doubts(base::Figure& figure, const circuit::Circuit& circuit);

// The sources, in the order in which they are asked.
void learn_supply(Knowledge& known);       // mains, DC supply
void learn_rectifiers(Knowledge& known);   // bridges, diodes, line-frequency transformers
void learn_droppers(Knowledge& known);     // capacitive droppers
void learn_outputs(Knowledge& known);      // windings with a rectifier: isolated and auxiliary
void learn_controllers(Knowledge& known);  // VCC
void learn_drains(Knowledge& known);       // drain, clamp
void learn_diodes(Knowledge& known);       // Zener diodes, LED strings, linear regulators
void learn_bases(Knowledge& known);        // bases of bipolar transistors
void learn_notes(Knowledge& known);        // voltages that the dossier states for nets
void learn_barriers(Knowledge& known);     // parts between mains and isolated side
void learn_chains(Knowledge& known);       // resistor chains between two known ends

}  // namespace etchback::blocks::detail
