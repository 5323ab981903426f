#include "behaviour/models.h"

#include <fmt/format.h>

#include <algorithm>

#include "behaviour/detail/model_parts.h"

namespace etchback::behaviour {
namespace detail {
namespace {

// Every kind that data/parts knows, and how it is modelled.
struct KindRow {
    std::string_view kind;
    Modeller modeller;
};
constexpr KindRow rows[] = {
    {"resistor", model_resistor},
    {"fusible_resistor", model_fusible_resistor},
    {"potentiometer", model_potentiometer},
    {"jumper", model_resistor},
    {"capacitor", model_capacitor},
    {"film_capacitor", model_capacitor},
    {"ceramic_capacitor", model_capacitor},
    {"electrolytic_capacitor", model_capacitor},
    {"tantalum_capacitor", model_capacitor},
    {"double_layer_capacitor", model_capacitor},
    {"x1_capacitor", model_capacitor},
    {"x2_capacitor", model_capacitor},
    {"y1_capacitor", model_capacitor},
    {"y2_capacitor", model_capacitor},
    {"inductor", model_inductor},
    {"ferrite_bead", model_ferrite_bead},
    {"common_mode_choke", model_common_mode_choke},
    {"transformer", model_transformer},
    {"coupled_inductor", model_transformer},
    {"diode", model_diode},
    {"schottky_diode", model_diode},
    {"zener_diode", model_zener},
    {"tvs_diode", model_tvs},
    {"bidirectional_tvs_diode", model_bidirectional_tvs},
    {"led", model_led},
    {"led_string", model_led_string},
    {"bridge_rectifier", model_bridge},
    {"npn_transistor", model_bjt},
    {"pnp_transistor", model_bjt},
    {"n_channel_mosfet", model_mosfet},
    {"p_channel_mosfet", model_mosfet},
    {"n_channel_jfet", model_jfet},
    {"igbt", model_igbt},
    {"optocoupler", model_optocoupler},
    {"opto_triac", model_opto_triac},
    {"triac", model_triac},
    {"thyristor", model_thyristor},
    {"diac", model_diac},
    {"shunt_regulator", model_shunt_regulator},
    {"voltage_reference", model_linear_regulator},
    {"linear_regulator", model_linear_regulator},
    {"op_amp", model_op_amp},
    {"comparator", model_comparator},
    {"controller", model_nothing},  // after all others, see controllers() below
    {"integrated_circuit", model_integrated_circuit},
    {"fuse", model_fuse},
    {"ntc_thermistor", model_ntc},
    {"ptc_thermistor", model_ptc},
    {"varistor", model_varistor},
    {"spark_gap", model_spark_gap},
    {"switch", model_switch},
    {"relay", model_relay},
    {"load", model_load},
    {"motor", model_motor},
    {"lamp", model_lamp},
    {"mains", model_nothing},  // before all others, see supplies() below
    {"dc_supply", model_nothing},
    {"battery", model_nothing},
    {"connector", model_nothing},
    {"test_point", model_nothing},
    {"earth", model_nothing},
};

template <typename Action>
void each(Builder& b, Action action) {
    for (std::size_t p = 0; p < b.circuit.parts.size(); ++p) {
        action(PartId{static_cast<int>(p)});
    }
}

// A connector on both mains nets feeds a circuit that has no part of kind mains.
bool mains_by_connector(Builder& b) {
    NetId live, neutral;
    for (std::size_t n = 0; n < b.circuit.nets.size(); ++n) {
        const std::string& role = b.circuit.nets[n].role;
        if (role == "live") {
            live = NetId{static_cast<int>(n)};
        } else if (role == "neutral") {
            neutral = NetId{static_cast<int>(n)};
        }
    }
    if (!live.known() || !neutral.known()) {
        return false;
    }
    for (const PartId id : b.circuit.parts_on(live)) {
        const auto& pins = b.part(id).pins;
        const bool on_both = std::any_of(
            pins.begin(), pins.end(), [&](const auto& pin) { return pin.net == neutral; });
        if (on_both && b.part(id).kind.family == "connector") {
            model_mains_at(b, id, b.net(live), b.net(neutral));
            return true;
        }
    }
    return false;
}

void supplies(Builder& b) {
    bool any = false;
    each(b, [&](PartId id) {
        const std::string& kind = b.part(id).kind.id;
        if (kind == "mains") {
            model_mains(b, id);
            any = true;
        }
    });
    each(b, [&](PartId id) {
        const std::string& kind = b.part(id).kind.id;
        if (kind == "dc_supply" || kind == "battery") {
            model_dc_supply(b, id);
            any = true;
        }
    });
    if (!any && !mains_by_connector(b)) {
        b.errors.push_back({{},
                            "nothing feeds the circuit",
                            "add a part of kind mains, DC supply or battery and its nets"});
    }
}

void parts_of_all_kinds(Builder& b) {
    each(b, [&](PartId id) {
        const Modeller modeller = modeller_of(b.part(id).kind.id);
        (modeller == nullptr ? model_left_out : modeller)(b, id);
    });
}

void controllers(Builder& b) {
    each(b, [&](PartId id) {
        if (b.part(id).kind.id == "controller") {
            model_controller(b, id);
        }
    });
}

void net_probes(Builder& b) {
    for (std::size_t n = 0; n < b.circuit.nets.size(); ++n) {
        const NetId id{static_cast<int>(n)};
        b.model.net_volts[b.circuit[id].name] =
            b.network().probe_voltage(b.circuit[id].name, b.net(id), b.return_of(id));
    }
}

// What is worth a look: the bus behind each bridge, the switch nodes and supplies of controllers
// (noted already), what the loads see.
void notable(Builder& b) {
    std::vector<ProbeId> first;
    each(b, [&](PartId id) {
        const NetId plus = b.part(id).net("plus");
        if (b.part(id).kind.family == "bridge" && plus.known()) {
            const std::string& bus = b.circuit[plus].name;
            first.push_back(b.model.net_volts.at(bus));
            b.model.terminals.buses.push_back({bus, first.back()});
        }
    });
    for (const Terminals::Load& load : b.model.terminals.loads) {
        first.push_back(load.volts);
        first.push_back(load.amps);
    }
    b.model.notable.insert(b.model.notable.begin(), first.begin(), first.end());
}

void unknown_overrides(Builder& b) {
    for (const auto& [name, value] : b.options.values) {
        const bool known = std::any_of(
            b.model.parameters.begin(), b.model.parameters.end(), [&](const Parameter& p) {
                return p.part + "." + p.name == name;
            });
        if (!known) {
            b.errors.push_back({{},
                                fmt::format("no part has the parameter '{}'", name),
                                "take a name from the list of parameters"});
        }
    }
}

}  // namespace

Modeller modeller_of(std::string_view kind) {
    const auto it = std::find_if(
        std::begin(rows), std::end(rows), [&](const KindRow& row) { return row.kind == kind; });
    return it == std::end(rows) ? nullptr : it->modeller;
}

}  // namespace detail

std::string Fault::id() const {
    switch (kind) {
        case Kind::open:
            return pin.empty() ? part + " open" : part + "." + pin + " open";
        case Kind::shorted:
            return part + " shorted";
        case Kind::bridged:
            break;
    }
    return fmt::format("{}.{}-{}.{} bridged", part, pin, part, other_pin);
}

base::Result<Model> model_of(const circuit::Circuit& circuit,
                             const dossier::Dossier& dossier,
                             const std::vector<parts::RegisteredType>& types,
                             const Tables& tables,
                             const ModelOptions& options) {
    using namespace detail;
    Builder b(circuit, dossier, types, tables, options);
    if (b.errors.empty()) {
        supplies(b);
        find_driven_transistors(b);
        parts_of_all_kinds(b);
        controllers(b);
        load_of_connectors(b);
        b.put_in_faults();
        b.put_in_dormant_faults();
        find_limits(b);
        net_probes(b);
        notable(b);
        unknown_overrides(b);
        b.tie_floating();
    }
    if (b.errors.empty()) {
        const auto faults = faults_of(b.model.network);
        b.errors.insert(b.errors.end(), faults.begin(), faults.end());
    }
    if (!b.errors.empty()) {
        return std::move(b.errors);
    }
    return std::move(b.model);
}

}  // namespace etchback::behaviour
