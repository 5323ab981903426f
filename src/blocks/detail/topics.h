// The topics of the first figures; each appends what it finds.
#pragma once

#include <vector>

#include "base/figure.h"
#include "blocks/mains.h"
#include "blocks/voltages.h"
#include "circuit/circuit.h"
#include "circuit/domains.h"

namespace etchback::blocks::detail {

struct Topic {
    const circuit::Circuit& circuit;
    const circuit::Domains& domains;
    const Voltages& voltages;
    const dossier::Dossier& dossier;
    MainsLines mains;
    std::vector<base::Figure>& out;
};

void mains_figures(Topic& topic);     // peak of the range, discharge, stored energy
void dropper_figures(Topic& topic);   // current, power of the LEDs
void led_figures(Topic& topic);       // knee
void divider_figures(Topic& topic);   // dividers with their tap
void time_figures(Topic& topic);      // RC time constants
void resistor_figures(Topic& topic);  // voltage and dissipation
void voltage_figures(Topic& topic);   // what the others rest on, and single faults
void fuse_figures(Topic& topic);      // rated current against the current read

std::string text_of(double value, base::Unit unit);
std::string in_ohms(double r);
// The parts' names with `joint` between them.
std::string joined(const circuit::Circuit& circuit,
                   const std::vector<circuit::PartId>& parts,
                   std::string_view joint);
// Adds the parts to a figure that rests on their values.
void rest_on(base::Figure& figure,
             const circuit::Circuit& circuit,
             const std::vector<circuit::PartId>& parts);
// The tap of a divider or a filter: a chip's sense input looks at it.
bool is_tap(const circuit::Circuit& circuit, circuit::NetId net);
// A figure with the fields that all of them have.
base::Figure figure(
    std::string id, std::string title, std::string symbol, double value, base::Unit unit);

}  // namespace etchback::blocks::detail
