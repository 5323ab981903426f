// Resistors, capacitors, coils.
#include <fmt/format.h>

#include <cmath>
#include <numbers>

#include "behaviour/detail/model_machines.h"
#include "behaviour/detail/model_parts.h"

namespace etchback::behaviour::detail {
namespace {

// Below this a capacitor only adds a fast state: less than a junction or a few inches of track.
constexpr double smallest_farad = 20e-12;

bool bridges_domains(const Builder& b, PartId id) {
    const auto& pins = b.part(id).pins;
    return pins.size() == 2 && pins[0].net.known() && pins[1].net.known() &&
           b.domains.of(pins[0].net) != b.domains.of(pins[1].net);
}

// Electrolytic and the like: their series resistance matters.
bool has_series_resistance(const circuit::Part& part) {
    return part.kind.polarised || part.said.properties.contains("esr");
}

}  // namespace

void model_resistor(Builder& b, PartId id) {
    if (b.silent.contains(id)) {
        return;
    }
    const circuit::Part& part = b.part(id);
    const bool link = part.kind.family == "jumper" || (part.said.value && *part.value() == 0.0);
    const double ohm = link ? 1.0 / wire_siemens : b.value(id);
    b.current(id, b.conductor(id, "", b.pin(id, 0), b.pin(id, 1), ohm));
}

void model_fusible_resistor(Builder& b, PartId id) {
    const double ohm = b.value(id);
    const NodeId from = b.pin(id, 0), to = b.pin(id, 1);
    const SwitchId link = b.add_switch(id, "", from, to, {1.0 / ohm, off_siemens, true});
    const BranchId branch = b.network().switches()[static_cast<std::size_t>(link.index)];
    b.current(id, branch);
    std::optional<Known> rated;
    if (const auto& said = b.part(id).said.rated_power) {
        rated = Known{said->value, false, "rated power"};
    }
    const double watt = b.number(id, "rated_power", rated);
    const double times = b.number(id, "opening_power");
    const double seconds = b.number(id, "heat_time");
    FuseData fuse;
    fuse.part = b.part(id).name;
    fuse.link = link;
    fuse.amps = b.model.part_amps.at(fuse.part);
    fuse.watch_a = std::sqrt(2.0 * watt / ohm);
    // In steady overload of `times` its rating, heat settles at times * watt / ohm * seconds.
    fuse.melting_a2s = 0.95 * times * watt / ohm * seconds;
    fuse.cooling_s = seconds;
    fuse.key = "fusible_opened";
    fuse.words = "overheated and opened";
    b.machine(make_fuse(fuse));
}

void model_potentiometer(Builder& b, PartId id) {
    const double ohm = b.value(id);
    const double at = b.number(id, "wiper");
    const double least = ohm * 1e-3;  // a wiper at the end still has some track under it
    const NodeId wiper = b.pin(id, "wiper");
    b.conductor(id, "upper", b.pin(id, "end1"), wiper, std::max(least, ohm * (1.0 - at)));
    b.conductor(id, "lower", wiper, b.pin(id, "end2"), std::max(least, ohm * at));
}

void model_capacitor(Builder& b, PartId id) {
    if (b.silent.contains(id)) {
        return;
    }
    const double farad = b.value(id);
    const circuit::Part& part = b.part(id);
    if (farad < smallest_farad) {
        b.note(fmt::format("{}: {} is too little to matter here and is left out",
                           part.name,
                           base::to_engineering(farad, base::Unit::farad)));
        return;
    }
    NodeId from = b.pin(id, 0);
    const NodeId to = b.pin(id, 1);
    if (from == to) {
        return;
    }
    std::optional<BranchId> series;
    if (has_series_resistance(part)) {
        const double seconds =
            part.said.properties.contains("esr") ? 0.0 : b.number(id, "series_time");
        std::optional<Known> esr;
        if (seconds > 0.0) {
            esr = Known{base::Quantity::of(seconds / farad, base::Unit::ohm),
                        true,
                        "usual product of series resistance and capacitance"};
        }
        const NodeId plate = b.inner(id, "plate");
        series = b.conductor(id, "series resistance", from, plate, b.number(id, "esr", esr));
        from = plate;
    }
    const BranchId plates = b.capacitor(id, "", from, to, farad);
    if (!bridges_domains(b, id)) {
        b.conductor(id, "leakage", from, to, b.number(id, "insulation_time") / farad);
    }
    b.current(id, series.value_or(plates));
}

void model_inductor(Builder& b, PartId id) {
    const double henry = b.value(id);
    const NodeId from = b.pin(id, 0), to = b.pin(id, 1);
    std::optional<Known> ohm;
    if (!b.part(id).said.properties.contains("resistance")) {
        ohm = Known{base::Quantity::of(henry / b.number(id, "winding_time"), base::Unit::ohm),
                    true,
                    "usual ratio of inductance and resistance"};
    }
    const BranchId coil =
        b.winding(id, "", from, to, henry, b.number(id, "resistance", ohm), "winding");
    b.current(id, coil);
    if (b.part(id).said.properties.contains("saturation_current")) {
        // Past saturation the coil keeps a tenth of its inductance: nine times the current more.
        const double most = b.number(id, "saturation_current");
        const double extra = 9.0;
        b.curve(id,
                "saturation",
                from,
                to,
                Expression::winding_current(coil),
                {{-most, most}, {extra, 0.0, extra}, 0.0},
                most);
    }
}

void model_ferrite_bead(Builder& b, PartId id) {
    const double ohm = b.number(id, "resistance");
    b.current(id, b.conductor(id, "", b.pin(id, 0), b.pin(id, 1), ohm));
}

void model_common_mode_choke(Builder& b, PartId id) {
    const double henry = b.value(id);
    std::optional<Known> leak;
    if (!b.part(id).said.properties.contains("leakage")) {
        const double share = b.number(id, "leakage_share");
        leak = Known{base::Quantity::of(share * henry, base::Unit::henry),
                     true,
                     "usual share of the inductance"};
    }
    const double leakage = std::min(b.number(id, "leakage", leak), 0.5 * henry);
    std::optional<Known> ohm;
    if (!b.part(id).said.properties.contains("resistance")) {
        ohm = Known{base::Quantity::of(henry / b.number(id, "winding_time"), base::Unit::ohm),
                    true,
                    "usual ratio of inductance and resistance"};
    }
    const double resistance = b.number(id, "resistance", ohm);
    const BranchId first =
        b.winding(id, "first", b.pin(id, "1"), b.pin(id, "2"), henry, resistance, "choke");
    const BranchId second =
        b.winding(id, "second", b.pin(id, "3"), b.pin(id, "4"), henry, resistance, "choke");
    // Current up one winding and back through the other meets 2 (L - M), which is the leakage.
    b.network().couple(first, second, henry - 0.5 * leakage);
    b.current(id, first);
}

}  // namespace etchback::behaviour::detail
