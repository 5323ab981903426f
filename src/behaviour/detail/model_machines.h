// The machines of parts that are no controllers: they latch, melt, warm up or pull in.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "behaviour/machine.h"

namespace etchback::behaviour::detail {

// Triac, thyristor, diac, spark gap: closes by a trigger or by over-voltage, opens when its
// current falls below what it needs, unless the trigger still holds it.
struct LatchData {
    std::string part;
    SwitchId channel;
    ProbeId amps;                  // through the channel, positive from its first node
    std::optional<ProbeId> volts;  // across it: fires beyond `breakover_v`
    double breakover_v = 0.0;
    std::optional<ProbeId> trigger;  // fires at or above `trigger_level`, of either sign
    double trigger_level = 0.0;
    double hold_a = 0.0;
    bool one_way = false;      // conducts, fires and is triggered in the positive sense only
    std::string fired, ended;  // keys of the story; empty: not told
};
std::unique_ptr<Machine> make_latch(LatchData data);

// Fuse: melts when the integral of the square of its current, less what leaks away as heat,
// reaches `melting_a2s`; then opens at the next zero of its current, or after `arc_s`.
struct FuseData {
    std::string part;
    SwitchId link;
    ProbeId amps;
    double watch_a = 0.0;  // below this it does not warm up as far as we follow it
    double melting_a2s = 0.0;
    double cooling_s = 1.0;  // time constant of its heat
    double arc_s = 0.01;
    std::string key = "fuse_melted", words = "melted and opened";
};
std::unique_ptr<Machine> make_fuse(FuseData data);

// Thermistor with a negative coefficient: warms by its own power; its resistance is that of the
// nearest of a few levels, each a switch of its own.
struct ThermistorData {
    std::string part;
    ProbeId amps, volts;
    std::vector<SwitchId> levels;  // falling resistance; exactly one is closed
    std::vector<double> from_k;    // temperature from which a level holds; [0] is not used
    double ambient_k = 298.15;
    double cooling_s = 40.0;   // thermal time constant
    double watt_per_k = 0.01;  // dissipation factor
    double sample_s = 5e-4;
};
std::unique_ptr<Machine> make_thermistor(ThermistorData data);

// Relay: contacts follow the coil's voltage with hysteresis, after a delay.
struct RelayData {
    std::string part;
    ProbeId coil_v;
    double pull_in_v = 0.0, drop_out_v = 0.0, delay_s = 0.005;
    std::vector<SwitchId> made, broken;  // closed when pulled in; closed when not
};
std::unique_ptr<Machine> make_relay(RelayData data);

}  // namespace etchback::behaviour::detail
