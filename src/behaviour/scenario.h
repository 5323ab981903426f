// Scenarios: what is done to the circuit, and what came of it.
#pragma once

#include <filesystem>
#include <functional>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "base/error.h"
#include "base/quantity.h"
#include "behaviour/models.h"
#include "behaviour/simulation.h"

namespace etchback::behaviour {

// A change that happens during a scenario.
struct Deed {
    enum class Kind { open_load, short_load, restore_load, supply_factor };
    Kind kind = Kind::open_load;
    double at_s = 0.0;
    double factor = 1.0;  // of the supply's amplitude, for supply_factor
    std::string load;     // part; empty: every load
    bool operator==(const Deed&) const = default;
};

// One row of data/behaviour/scenarios.toml, or of a dossier's [[scenarios]].
struct Scenario {
    std::string id;     // "load-open"
    std::string title;  // "Load open"
    std::string words;  // what is done, in a sentence
    enum class Supply { nominal, low, high } supply = Supply::nominal;
    std::optional<double> supply_v_rms;  // instead of the above
    double supply_phase_deg = 0.0;       // where the wave stands when it is switched on
    enum class From { cold, steady } from = From::cold;  // where the story begins
    double span_s = 0.5;                                 // simulated time after the beginning
    double measure_s = 0.0;      // the last stretch that figures are taken of; 0: all
    bool steady_at_end = false;  // figures are those of the periodic steady state
    std::vector<Deed> deeds;     // times count from the beginning
    bool operator==(const Scenario&) const = default;
};
// Those that every circuit gets. Throws base::FileError where the file cannot be read.
base::Result<std::vector<Scenario>> load_scenarios(const std::filesystem::path& file);
Scenario scenario_of(const dossier::Scenario& said);
// The usual ones, then the dossier's; one of the same id takes the usual one's place.
std::vector<Scenario> scenarios_for(const std::vector<Scenario>& usual,
                                    const dossier::Dossier& dossier);

struct FigureRow {
    std::string id;     // "input_power", "output_current.LED1"
    std::string title;  // "Input power"
    double value = 0.0;
    base::Unit unit = base::Unit::none;
    std::string note;  // "of the first 40 harmonics"; may be empty
    bool operator==(const FigureRow&) const = default;
};

struct StressRow {
    std::string part;
    Limit::Kind kind = Limit::Kind::peak_voltage;
    double value = 0.0;
    base::Unit unit = base::Unit::volt;
    std::optional<double> rating;
    bool rating_assumed = false;
    std::string basis;
    // value / rating; nothing where there is no rating.
    std::optional<double> share() const {
        return rating && *rating > 0.0 ? std::optional(value / *rating) : std::nullopt;
    }
    bool exceeded() const { return share().value_or(0.0) > 1.0; }
    bool operator==(const StressRow&) const = default;
};

// A curve for a plot: either all samples of a short window, or cells of a long one.
struct PlotCurve {
    std::string id;     // "DRAIN", "LED1.current"
    std::string title;  // "Voltage of DRAIN"
    base::Unit unit = base::Unit::volt;
    std::vector<double> t_s, value;       // window
    double start_s = 0.0, cell_s = 0.0;   // envelope
    std::vector<double> low, high, mean;  // envelope
    bool is_envelope() const { return !low.empty(); }
};

struct Plot {
    std::string id;     // "whole", "mains-cycle", "switching-cycles"
    std::string title;  // "Over one cycle of the mains"
    double start_s = 0.0, end_s = 0.0;
    std::vector<PlotCurve> curves;
};

struct Harmonics {
    double base_hz = 0.0;
    std::vector<double> amps_rms;      // [0] is the mean, [1] the fundamental ...
    double total_distortion = 0.0;     // THD of the current, a ratio
    double displacement_factor = 0.0;  // cos phi of the fundamental
};

// The voltage of one net over the last stretch, as at a test point.
struct NetFigure {
    struct Volts {
        double mean = 0.0, rms = 0.0, least = 0.0, largest = 0.0;
        bool operator==(const Volts&) const = default;
    };
    std::string net;
    Volts to_return;                  // against the return of its domain
    std::optional<Volts> to_neutral;  // in the domain of alternating mains: against their neutral
    bool operator==(const NetFigure&) const = default;
};

struct Outcome {
    Scenario scenario;
    double supply_v_rms = 0.0, supply_hz = 0.0;  // hz 0: direct
    Ending ending = Ending::reached;
    std::vector<base::Error> trouble;  // why it gave up
    std::vector<FigureRow> figures;
    std::vector<NetFigure> nets;  // by name; where OutcomeOptions::nets asks for them
    std::optional<Harmonics> mains_current;
    std::vector<StressRow> stress;  // worst share first
    std::vector<StoryLine> story;
    std::vector<Plot> plots;
    Ledger ledger;
    Effort effort;
    bool steady = false;       // the periodic steady state was found
    std::string steady_words;  // how, and how far the last two cycles differ
    std::vector<Assumed> assumed;
    std::vector<std::string> left_out;
    std::optional<double> figure(std::string_view id) const;
};

struct OutcomeOptions {
    bool plots = true;
    bool stress = true;
    bool nets = false;  // voltages of all nets; costs time
    std::function<bool()> interrupted = {};
    std::function<void(double share)> progress = {};
};

// Runs one scenario on a circuit. Fails where the circuit cannot be made a network; a run that
// breaks off gives an outcome that says so.
base::Result<Outcome> run_scenario(const circuit::Circuit& circuit,
                                   const dossier::Dossier& dossier,
                                   const std::vector<parts::RegisteredType>& types,
                                   const Tables& tables,
                                   const Scenario& scenario,
                                   const ModelOptions& model = {},
                                   const OutcomeOptions& options = {});

}  // namespace etchback::behaviour
