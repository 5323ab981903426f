// What is to be recorded of an invented item, and with what errors: captures.toml beside its
// dossier. The format is described in README.md.
#pragma once

#include <cstdint>
#include <filesystem>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "base/error.h"
#include "base/quantity.h"

namespace etchback::capture {

// How the file of a capture is written.
enum class Dialect {
    scope,        // notes above the table, units in a row of their own, a time column
    settings,     // notes beside each other, no time column: the interval stands in the head
    spreadsheet,  // semicolons and decimal commas, units in brackets
    logger        // tabs, times in milliseconds
};

// One channel of the instrument. Errors are those of one instrument: fixed, not spread.
struct Channel {
    std::string name;                  // as the file calls it
    std::vector<std::string> between;  // nets, first minus second
    std::string through;               // or the part whose current is seen, into its first pin
    std::string light_of;              // or the LEDs whose light is; in volts of a photodiode
    base::Unit unit = base::Unit::volt;
    double from = 0.0, to = 0.0;      // of the screen, in the circuit's unit: beyond it is clipped
    double probe = 1.0;               // the file's numbers are the circuit's over this
    double gain = 1.0, offset = 0.0;  // true value times gain plus offset (in the circuit's unit)
    double noise = 0.0;               // RMS, of the screen
    double late_s = 0.0;
    bool without_mean = false;  // AC coupling
};

struct Capture {
    std::string file;
    Dialect dialect = Dialect::scope;
    double phase_deg = 0.0;  // of the mains at the instant of switching on
    double start_s = 0.0, span_s = 0.0;
    double rate_hz = 0.0;
    int bits = 8;
    int averaged = 1;       // samples taken for one that is kept
    double clock = 0.0;     // relative error of the time base
    double jitter_s = 0.0;  // RMS
    std::vector<Channel> channels;
};

// A number from a meter in the steady state.
struct MeterReading {
    std::string quantity;              // as a dossier says it
    std::vector<std::string> between;  // for voltages other than the supply's
    std::string through;               // for currents other than the supply's
    double gain = 1.0;
    double digit = 0.0;  // the last one shown
};

struct Captures {
    std::uint64_t seed = 1;
    std::optional<double> supply_v_rms, supply_hz;
    std::map<std::string, double> values;  // of the item on the bench, where its parts' values are
                                           // not those that stand on them: "C2.value" -> 8.2e-6
    double steady_s = 1.0;                 // when it is warm enough for the meters
    std::vector<Capture> captures;
    std::vector<MeterReading> readings;
};

base::Result<Captures> read_captures(const std::filesystem::path& file);

}  // namespace etchback::capture
