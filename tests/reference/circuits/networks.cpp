#include "reference/circuits/networks.h"

#include <cmath>
#include <ctime>
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

double cpu_seconds() {
    timespec now{};
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
    return static_cast<double>(now.tv_sec) + 1e-9 * static_cast<double>(now.tv_nsec);
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
    Network& network = built.network;
    const auto [bus, line] = add_front(network, built, p);
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
    built.input = network.probe_current("input", line);
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
    return built;
}

Built enlarged(const MainsFlyback& p, int cells) {
    Built built = network_of(p);
    Network& network = built.network;
    NodeId from;
    for (std::size_t k = 0; k < network.nodes().size(); ++k) {
        if (network.nodes()[k] == "bus") {
            from = NodeId{static_cast<int>(k)};
        }
    }
    for (int k = 0; k < cells; ++k) {
        // A sense filter on the bus: divider, smoothing, a coil to the next cell, a diode that
        // holds the peak.
        const std::string tail = std::to_string(k);
        const NodeId tap = network.node("tap" + tail), held = network.node("held" + tail);
        network.add("RC" + tail, from, tap, Conductance{.siemens = 1.0 / 1e6});
        network.add("CC" + tail, tap, ground, Capacitance{.farad = 1e-9});
        network.add("LC" + tail, tap, held, Winding{.henry = 1e-3, .ohm = 1e3});
        network.add("DC" + tail,
                    ground,
                    held,
                    curve_of({.leak = 1e-6, .at = {0.7, 1e9}, .added = {0.1, 0.0}}, ground, held));
        network.add("CD" + tail, held, ground, Capacitance{.farad = 100e-12});
    }
    return built;
}

EngineRun run(Built built, double begin_s, double end_s) {
    EngineRun result;
    const double cpu = cpu_seconds();
    base::Result<Simulation> made =
        Simulation::make(std::move(built.network), std::move(built.machines));
    if (!made) {
        result.trouble = made.errors();
        return result;
    }
    Simulation& simulation = *made;
    const std::vector<ProbeId> probes{built.input, built.load, built.peak};
    double peak = 0.0;
    if (built.supply_hz > 0.0) {
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
    Figures& f = result.figures;
    f.load_a = measured.mean.at(1);
    f.input_w =
        -measured.branch_joule.at(static_cast<std::size_t>(built.supply.index)) / measured.span_s();
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
    result.ledger = simulation.ledger();
    result.effort = simulation.effort();
    for (const Simulation::Count& count : simulation.counts()) {
        result.cycles += count.what == "cycle" ? count.number : 0;
    }
    return result;
}

}  // namespace etchback::ida
