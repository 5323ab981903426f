#include "reference/circuits/networks.h"

#include <algorithm>
#include <numbers>
#include <utility>

#include "reference/machines.h"

namespace etchback::ida {

using namespace behaviour;

namespace {

constexpr NodeId ground = behaviour::reference;

// A diode with its junction capacitance.
void add_diode(Network& network,
               const std::string& name,
               NodeId anode,
               NodeId cathode,
               const Bends& law,
               double farad) {
    network.add(name, anode, cathode, curve_of(law, anode, cathode));
    if (farad > 0.0) {
        network.add(name + " junction", anode, cathode, Capacitance{.farad = farad});
    }
}

void add_bridge(Network& network, NodeId a, NodeId n, NodeId plus, const Bends& law, double farad) {
    add_diode(network, "D1", a, plus, law, farad);
    add_diode(network, "D2", n, plus, law, farad);
    add_diode(network, "D3", ground, a, law, farad);
    add_diode(network, "D4", ground, n, law, farad);
}

BranchId add_mains(Network& network, NodeId live, NodeId neutral, double v_rms, double hz) {
    Sine sine;
    sine.amplitude = std::numbers::sqrt2 * v_rms;
    sine.frequency_hz = hz;
    return network.add("mains", live, neutral, VoltageSource{sine});
}

// The mains flyback up to its bus.
struct Front {
    NodeId bus;
    BranchId line;
};
Front add_front(Network& network, Built& built, const MainsFlyback& p) {
    const NodeId live = network.node("L"), neutral = network.node("N");
    const NodeId filtered = network.node("filtered"), bus = network.node("bus");
    built.supply = add_mains(network, live, neutral, p.supply_v_rms, p.supply_hz);
    const BranchId line =
        network.add("L1", live, filtered, Winding{.henry = p.filter_henry, .ohm = p.filter_ohm});
    network.add("C1", filtered, neutral, Capacitance{.farad = p.filter_farad});
    add_bridge(network, filtered, neutral, bus, p.diode, p.diode_farad);
    network.add("C2", bus, ground, Capacitance{.farad = p.bus_farad});
    return {bus, line};
}

// Everything behind the bus: transformer, switch, clamp, output, controller.
void add_stage(Network& network, Built& built, const MainsFlyback& p, NodeId bus) {
    const NodeId head = network.node("head"), drain = network.node("drain");
    const NodeId clamp = network.node("clamp"), back = network.node("return");
    const NodeId far = network.node("secondary"), out = network.node("out");
    const NodeId inner = network.node("inner");
    network.add("T1 leakage", bus, head, Winding{.henry = p.leakage_henry});
    network.add("T1 damping", bus, head, Conductance{.siemens = 1.0 / p.leakage_damping_ohm});
    network.add("T1 primary", head, drain, Winding{.henry = p.primary_henry});
    network.transformer({.name = "T1",
                         .first_plus = head,
                         .first_minus = drain,
                         .second_plus = back,
                         .second_minus = far,
                         .ratio = p.turns});
    const SwitchId gate = network.add_switch(
        "Q1", drain, ground, Switch{.on_siemens = p.on_siemens, .off_siemens = p.off_siemens});
    network.add("Q1 body", ground, drain, curve_of(p.body, ground, drain));
    network.add("Q1 output", drain, ground, Capacitance{.farad = p.drain_farad});
    add_diode(network, "D5", drain, clamp, p.clamp, 0.0);
    network.add("D5 junction",
                drain,
                clamp,
                Capacitance{.farad = p.clamp_diode_farad, .initial_v = -p.clamp_start_v});
    network.add(
        "C3", clamp, bus, Capacitance{.farad = p.clamp_farad, .initial_v = p.clamp_start_v});
    network.add("R3", clamp, bus, Conductance{.siemens = 1.0 / p.clamp_ohm});
    add_diode(network, "D6", far, out, p.output, 0.0);
    network.add("D6 junction",
                far,
                out,
                Capacitance{.farad = p.output_diode_farad, .initial_v = -p.output_start_v});
    network.add("C4 series", out, inner, Conductance{.siemens = 1.0 / p.output_series_ohm});
    network.add(
        "C4", inner, back, Capacitance{.farad = p.output_farad, .initial_v = p.output_start_v});
    const BranchId load = network.add("LED1", out, back, curve_of(p.leds, out, back));
    network.add("tie", back, ground, Conductance{.siemens = 1e-6});
    built.load = network.probe_current("load", load);
    built.peak = network.probe_voltage("drain", drain);
    const ProbeId winding = network.probe_voltage("winding", drain, bus);
    built.machines.push_back(
        std::make_unique<ConstantOnTime>(gate,
                                         winding,
                                         ConstantOnTime::Numbers{.on_s = p.on_s,
                                                                 .blanking_s = p.blanking_s,
                                                                 .delay_s = p.delay_s,
                                                                 .restart_s = p.restart_s}));
}

}  // namespace

Curve curve_of(const Bends& bends, NodeId from, NodeId to) {
    Curve curve;
    curve.control = Expression::voltage(from, to);
    double slope = bends.leak;
    curve.current.slopes.push_back(slope);
    curve.current.anchor = bends.leak * bends.at[0];
    for (std::size_t k = 0; k < bends.at.size(); ++k) {
        if (bends.added[k] > 0.0) {
            slope += bends.added[k];
            curve.current.corners.push_back(bends.at[k]);
            curve.current.slopes.push_back(slope);
        }
    }
    return curve;
}

Built network_of(const Rectifier& p) {
    Built built{.supply_v_rms = p.supply_v_rms, .supply_hz = p.supply_hz};
    Network& network = built.network;
    const NodeId live = network.node("L"), neutral = network.node("N");
    const NodeId a = network.node("A"), bulk = network.node("bulk");
    built.supply = add_mains(network, live, neutral, p.supply_v_rms, p.supply_hz);
    const BranchId line =
        network.add("source", live, a, Winding{.henry = p.source_henry, .ohm = p.source_ohm});
    add_bridge(network, a, neutral, bulk, p.diode, p.diode_farad);
    network.add(
        "C1", bulk, ground, Capacitance{.farad = p.bulk_farad, .initial_v = p.bulk_start_v});
    const BranchId load = network.add("R1", bulk, ground, Conductance{.siemens = 1.0 / p.load_ohm});
    built.input = network.probe_current("input", line);
    built.load = network.probe_current("load", load);
    built.peak = network.probe_voltage("bulk", bulk);
    return built;
}

Built network_of(const Dropper& p) {
    Built built{.supply_v_rms = p.supply_v_rms, .supply_hz = p.supply_hz};
    Network& network = built.network;
    const NodeId live = network.node("L"), neutral = network.node("N"), x = network.node("X");
    const NodeId a = network.node("A"), bulk = network.node("bulk");
    built.supply = add_mains(network, live, neutral, p.supply_v_rms, p.supply_hz);
    const BranchId line = network.add("R1", live, x, Conductance{.siemens = 1.0 / p.series_ohm});
    network.add("C1", x, a, Capacitance{.farad = p.dropper_farad, .initial_v = p.dropper_start_v});
    network.add("R2", x, a, Conductance{.siemens = 1.0 / p.bleeder_ohm});
    add_bridge(network, a, neutral, bulk, p.diode, p.diode_farad);
    network.add(
        "C2", bulk, ground, Capacitance{.farad = p.bulk_farad, .initial_v = p.bulk_start_v});
    const BranchId load = network.add("LED1", bulk, ground, curve_of(p.leds, bulk, ground));
    built.input = network.probe_current("input", line, 0.01);
    built.load = network.probe_current("load", load, 0.01);
    built.peak = network.probe_voltage("bulk", bulk);
    return built;
}

Built network_of(const FixedFlyback& p) {
    Built built{.supply_v_rms = p.supply_v};
    Network& network = built.network;
    const NodeId supply = network.node("supply"), bus = network.node("bus");
    const NodeId drain = network.node("drain"), clamp = network.node("clamp");
    const NodeId back = network.node("return"), far = network.node("secondary");
    const NodeId out = network.node("out"), inner = network.node("inner");
    built.supply = network.add("supply", supply, ground, VoltageSource{Constant{p.supply_v}});
    const BranchId feed =
        network.add("feed", supply, bus, Conductance{.siemens = 1.0 / p.supply_ohm});
    network.add("C1", bus, ground, Capacitance{.farad = p.bus_farad, .initial_v = p.supply_v});
    const BranchId primary = network.add(
        "T1 primary", bus, drain, Winding{.henry = p.primary_henry, .ohm = p.primary_ohm});
    const BranchId secondary = network.add(
        "T1 secondary",
        back,
        far,
        Winding{.henry = p.primary_henry / (p.turns * p.turns), .ohm = p.secondary_ohm});
    network.couple(primary, secondary, p.coupling * p.primary_henry / p.turns);
    network.add("core", bus, drain, Conductance{.siemens = 1.0 / p.damping_ohm});
    const SwitchId gate = network.add_switch(
        "Q1", drain, ground, Switch{.on_siemens = p.on_siemens, .off_siemens = p.off_siemens});
    network.add("Q1 body", ground, drain, curve_of(p.body, ground, drain));
    network.add(
        "Q1 output", drain, ground, Capacitance{.farad = p.drain_farad, .initial_v = p.supply_v});
    add_diode(network, "D1", drain, clamp, p.clamp, 0.0);
    network.add("D1 junction",
                drain,
                clamp,
                Capacitance{.farad = p.clamp_diode_farad, .initial_v = -p.clamp_start_v});
    network.add(
        "C2", clamp, bus, Capacitance{.farad = p.clamp_farad, .initial_v = p.clamp_start_v});
    network.add("R2", clamp, bus, Conductance{.siemens = 1.0 / p.clamp_ohm});
    add_diode(network, "D2", far, out, p.output, 0.0);
    network.add("D2 junction",
                far,
                out,
                Capacitance{.farad = p.output_diode_farad, .initial_v = -p.output_start_v});
    const NodeId snub = network.node("snub");
    network.add("R4", far, snub, Conductance{.siemens = 1.0 / p.snubber_ohm});
    network.add(
        "C4", snub, out, Capacitance{.farad = p.snubber_farad, .initial_v = -p.output_start_v});
    network.add("C3 series", out, inner, Conductance{.siemens = 1.0 / p.output_series_ohm});
    network.add(
        "C3", inner, back, Capacitance{.farad = p.output_farad, .initial_v = p.output_start_v});
    const BranchId load = network.add("R3", out, back, Conductance{.siemens = 1.0 / p.load_ohm});
    // The secondary floats; this holds it without carrying current.
    network.add("tie", back, ground, Conductance{.siemens = 1e-6});
    built.input = network.probe_current("input", feed);
    built.load = network.probe_current("load", load);
    built.peak = network.probe_voltage("drain", drain);
    const ProbeId amps = network.probe_current("primary", primary, 0.1);
    built.machines.push_back(
        std::make_unique<PeakCurrent>(gate,
                                      amps,
                                      PeakCurrent::Numbers{.period_s = p.period_s,
                                                           .blanking_s = p.blanking_s,
                                                           .limit_a = p.limit_a,
                                                           .longest_on_s = p.longest_on_s}));
    return built;
}

Built network_of(const MainsFlyback& p) {
    Built built{.supply_v_rms = p.supply_v_rms, .supply_hz = p.supply_hz};
    const auto [bus, line] = add_front(built.network, built, p);
    add_stage(built.network, built, p, bus);
    built.input = built.network.probe_current("input", line);
    return built;
}

// Ten parts: the same behind a direct supply of the mains' peak.
Built bare(const MainsFlyback& p) {
    const double volt = std::numbers::sqrt2 * p.supply_v_rms;
    Built built{.supply_v_rms = volt};
    Network& network = built.network;
    const NodeId bus = network.node("bus"), supply = network.node("supply");
    built.supply = network.add("supply", supply, ground, VoltageSource{Constant{volt}});
    const BranchId feed = network.add("feed", supply, bus, Conductance{.siemens = 1.0});
    network.add("C2", bus, ground, Capacitance{.farad = p.bus_farad, .initial_v = volt});
    add_stage(network, built, p, bus);
    built.input = network.probe_current("input", feed);
    return built;
}

// Cells of four parts on the bus, each a filtered tap of it: resistor, capacitor, a diode against
// going below zero, and a coil to the tap before.
Built enlarged(const MainsFlyback& p, int cells) {
    Built built = network_of(p);
    Network& network = built.network;
    const auto at = std::ranges::find(network.nodes(), "bus") - network.nodes().begin();
    const NodeId bus{static_cast<int>(at)};
    NodeId before = ground;
    for (int k = 0; k < cells; ++k) {
        const std::string tail = std::to_string(k);
        const NodeId tap = network.node("tap" + tail);
        network.add("RC" + tail, bus, tap, Conductance{.siemens = 1.0 / 1e6});
        network.add("CC" + tail, tap, ground, Capacitance{.farad = 1e-9});
        add_diode(network,
                  "DC" + tail,
                  ground,
                  tap,
                  {.leak = 1e-8, .at = {0.7, 1e9}, .added = {0.1, 0.0}},
                  0.0);
        network.add("LC" + tail, tap, before, Winding{.henry = 10e-3, .ohm = 10e3});
        before = tap;
    }
    return built;
}

}  // namespace etchback::ida
