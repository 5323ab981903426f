// One function for each sort of part: it puts the part's elements into the builder's network.
#pragma once

#include "behaviour/detail/model_builder.h"

namespace etchback::behaviour::detail {

using Modeller = void (*)(Builder& b, PartId id);

// The modeller of a kind; none for kinds that are not simulated.
Modeller modeller_of(std::string_view kind);

// passive
void model_resistor(Builder& b, PartId id);
void model_fusible_resistor(Builder& b, PartId id);
void model_potentiometer(Builder& b, PartId id);
void model_capacitor(Builder& b, PartId id);
void model_inductor(Builder& b, PartId id);
void model_ferrite_bead(Builder& b, PartId id);
void model_common_mode_choke(Builder& b, PartId id);
void model_transformer(Builder& b, PartId id);
// sources; model_mains_at() for a connector on the nets of live and neutral
void model_mains(Builder& b, PartId id);
void model_mains_at(Builder& b, PartId id, NodeId live, NodeId neutral);
void model_dc_supply(Builder& b, PartId id);
// diodes
void model_diode(Builder& b, PartId id);
void model_zener(Builder& b, PartId id);
void model_tvs(Builder& b, PartId id);
void model_bidirectional_tvs(Builder& b, PartId id);
void model_led(Builder& b, PartId id);
void model_led_string(Builder& b, PartId id);
void model_bridge(Builder& b, PartId id);
// transistors
void model_bjt(Builder& b, PartId id);
void model_mosfet(Builder& b, PartId id);
void model_jfet(Builder& b, PartId id);
void model_igbt(Builder& b, PartId id);
// thyristors
void model_triac(Builder& b, PartId id);
void model_thyristor(Builder& b, PartId id);
void model_diac(Builder& b, PartId id);
// optocouplers
void model_optocoupler(Builder& b, PartId id);
void model_opto_triac(Builder& b, PartId id);
// regulators, amplifiers
void model_shunt_regulator(Builder& b, PartId id);
void model_linear_regulator(Builder& b, PartId id);
void model_op_amp(Builder& b, PartId id);
void model_comparator(Builder& b, PartId id);
// protection
void model_fuse(Builder& b, PartId id);
void model_ntc(Builder& b, PartId id);
void model_ptc(Builder& b, PartId id);
void model_varistor(Builder& b, PartId id);
void model_spark_gap(Builder& b, PartId id);
// contacts and loads
void model_switch(Builder& b, PartId id);
void model_relay(Builder& b, PartId id);
void model_load(Builder& b, PartId id);
void model_motor(Builder& b, PartId id);
void model_lamp(Builder& b, PartId id);
// chips
void model_controller(Builder& b, PartId id);
void model_integrated_circuit(Builder& b, PartId id);
void model_nothing(Builder& b, PartId id);  // connectors, test points: they only join nets
void model_left_out(Builder& b, PartId id);

// A diode's junction between two nodes: curve, breakdown and capacitance. Gives the curve.
struct Junction {
    double forward_v = 0.9;  // at `forward_a`
    double forward_a = 1.0;
    double knee_share = 0.75;             // of forward_v where conduction begins
    std::optional<double> breakdown_v;    // none: it never breaks down
    std::optional<double> capacitance_f;  // none: something else holds the voltage
    bool three = false;                   // three segments forwards, for the shape of mains current
};
BranchId junction(
    Builder& b, PartId id, std::string_view what, NodeId anode, NodeId cathode, const Junction& j);

// An amplifier or comparator between given nodes; chips have several.
struct AmplifierNodes {
    NodeId plus, minus, out, supply, ground;
};
void put_op_amp(Builder& b, PartId id, std::string_view unit, const AmplifierNodes& nodes);
void put_comparator(Builder& b, PartId id, std::string_view unit, const AmplifierNodes& nodes);

// Finds the transistors that controllers work, before any part is modelled.
void find_driven_transistors(Builder& b);
// Makes the channel a switch that the controller works, with body diode and output capacitance.
// `lost`: dormant faults that take the drive away.
void make_driven(Builder& b,
                 PartId controller,
                 PartId transistor,
                 const std::vector<std::size_t>& lost);
std::pair<NodeId, NodeId> power_ends(Builder& b, PartId transistor);  // drain and source

// What parts can stand, and the probes that are held against it.
void find_limits(Builder& b);
// The output connector as a load, where the circuit names no load.
void load_of_connectors(Builder& b);

}  // namespace etchback::behaviour::detail
