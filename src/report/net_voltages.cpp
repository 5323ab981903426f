#include "report/net_voltages.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>

#include "base/text.h"

namespace etchback::report {
namespace {

using behaviour::NetFigure;
using behaviour::Outcome;
using drawing::NetVoltage;

constexpr double still_share =
    0.5;  // a voltage that swings by less of its peak is told by its mean
constexpr double least_swing_v = 0.3;  // below it nothing swings
constexpr double highest_crest = 8.0;  // above it there are but short spikes, as of ideal switches
constexpr double sine_share = 0.03;    // how far from a sine's one may be
constexpr double usual_uncertainty = 0.01;  // of a reading that does not say

double peak(const NetFigure::Volts& v) {
    return std::max(std::abs(v.least), std::abs(v.largest));
}

bool swings(const NetFigure::Volts& v) {
    return v.largest - v.least > std::max(least_swing_v, still_share * peak(v)) &&
           peak(v) < highest_crest * v.rms;
}

bool lies_round_zero(const NetFigure::Volts& v) {
    const double swing = v.largest - v.least;
    return std::abs(v.mean) < sine_share * v.rms && std::abs(v.largest + v.least) < 0.05 * swing;
}

bool is_sine(const NetFigure::Volts& v) {
    const double of_peak = (v.largest - v.least) / (2.0 * std::numbers::sqrt2);
    return lies_round_zero(v) && std::abs(v.rms - of_peak) < sine_share * of_peak;
}

bool same(const NetFigure::Volts& a, const NetFigure::Volts& b) {
    const double near = 1e-3 * std::max(a.rms, b.rms);
    return std::abs(a.mean - b.mean) < near && std::abs(a.rms - b.rms) < near;
}

std::string volts(double v) {
    const double shown = std::abs(v) < 0.5e-3 ? 0.0 : v;
    return (shown < 0.0 ? std::string("\u2212") : std::string()) +
           base::to_engineering(std::abs(shown), base::Unit::volt);
}

// "−0.7 … 358 V": both ends in the unit of the greater one and with as many decimals.
std::string range(double low, double high) {
    const double most = std::max(std::abs(low), std::abs(high));
    const bool in_mv = most < 1.0;
    const bool in_kv = most >= 1000.0;
    const double factor = in_mv ? 1e3 : in_kv ? 1e-3 : 1.0;
    const double shown = most * factor;
    const int decimals = shown >= 99.5 ? 0 : shown >= 9.95 ? 1 : 2;
    const auto number = [&](double v) {
        std::string text = fmt::format("{:.{}f}", std::abs(v) * factor, decimals);
        if (decimals > 0) {
            text.erase(text.find_last_not_of('0') + 1);
            text.erase(text.find_last_not_of('.') + 1);
        }
        return std::string(v < 0.0 && text != "0" ? "\u2212" : "") + text;
    };
    const auto near_zero = [&](double v) { return std::abs(v) < 0.01 * (high - low) ? 0.0 : v; };
    return fmt::format("{} \u2026 {}\u00a0{}",
                       number(near_zero(low)),
                       number(near_zero(high)),
                       in_mv   ? "mV"
                       : in_kv ? "kV"
                               : "V");
}

// RMS of what alternates; nothing for a voltage that does not.
std::optional<double> alternating(const NetFigure& net) {
    if (!swings(net.to_return)) {
        return std::nullopt;
    }
    if (net.to_neutral) {
        const bool neutral_is_return = same(*net.to_neutral, net.to_return);
        if (is_sine(*net.to_neutral) || (neutral_is_return && lies_round_zero(net.to_return))) {
            return net.to_neutral->rms;
        }
    }
    return is_sine(net.to_return) ? std::optional(net.to_return.rms) : std::nullopt;
}

// A voltage that somebody wrote down, and by how much it may be off.
struct Read {
    circuit::NetId net;
    base::Quantity value;
    double u_v = 0.0;
    bool alternating = false;
};

// The far side of a filter in the neutral: 0 V to whoever counts from neutral.
bool is_neutral(const NetFigure& net) {
    return net.to_neutral && swings(net.to_return) &&
           net.to_neutral->rms < 0.02 * net.to_return.rms;
}

// A net that nothing drives in the model: the gate of a transistor that the engine opens and closes
// as a switch, a pin of a controller that is told by its behaviour.
bool is_dead(const NetFigure& net) {
    return peak(net.to_return) < 1e-3;
}

double uncertainty_of(const base::Quantity& value, const std::optional<dossier::Amount>& said) {
    if (!said) {
        return usual_uncertainty * std::abs(value.value);
    }
    return said->value.unit == base::Unit::percent
               ? std::abs(value.value) * said->value.value / 100.0
               : said->value.value;
}

class Search {
public:
    Search(const dossier::Dossier& dossier,
           const std::vector<dossier::Reading>& readings,
           const circuit::Circuit& circuit,
           const circuit::Domains& domains)
        : dossier_(dossier), readings_(readings), circuit_(circuit), domains_(domains) {}

    std::vector<Read> run() {
        for (const dossier::NetNote& note : dossier_.nets) {
            const auto net = circuit_.net(note.name);
            if (net && note.voltage) {
                add({*net, note.voltage->value, uncertainty_of(note.voltage->value, {}), false});
            }
        }
        // What was read without a load says less of the circuit at work.
        for (const bool with_load : {true, false}) {
            for (const dossier::Reading& reading : readings_) {
                if (taken_without_load(reading, dossier_) != with_load) {
                    add_reading(reading);
                }
            }
        }
        return std::move(found_);
    }

private:
    void add(Read read) {
        if (std::none_of(found_.begin(), found_.end(), [&](const Read& other) {
                return other.net == read.net;
            })) {
            found_.push_back(read);
        }
    }

    void add_reading(const dossier::Reading& reading) {
        const std::string& quantity = reading.quantity.value;
        const base::Quantity& value = reading.value.value;
        if (value.unit != base::Unit::volt) {
            return;
        }
        const double u_v = uncertainty_of(value, reading.uncertainty);
        if (reading.between.size() == 2 &&
            (quantity == "voltage" || quantity == "output voltage")) {
            const auto net = circuit_.net(reading.between[0].value);
            const auto against = circuit_.net(reading.between[1].value);
            if (net && against && return_of(*net) == *against) {
                add({*net, value, u_v, false});
            }
        } else if (quantity == "supply voltage" && reading.between.empty()) {
            for (std::size_t i = 0; i < circuit_.nets.size(); ++i) {
                if (circuit_.nets[i].role == "live") {
                    add({circuit::NetId{static_cast<int>(i)}, value, u_v, true});
                    return;
                }
            }
        }
    }

    circuit::NetId return_of(circuit::NetId net) const {
        const int domain = domains_.of(net);
        return domain < 0 ? circuit::NetId{}
                          : domains_.domains[static_cast<std::size_t>(domain)].reference;
    }

    const dossier::Dossier& dossier_;
    const std::vector<dossier::Reading>& readings_;
    const circuit::Circuit& circuit_;
    const circuit::Domains& domains_;
    std::vector<Read> found_;
};

// The run of normal use, or the reason why it shows nothing.
const Outcome* run_to_show(const Behaviour& behaviour, std::string& why_not) {
    const auto run = std::ranges::find_if(behaviour.outcomes, [](const Outcome& one) {
        return one.scenario.id == scenario_of_voltages;
    });
    if (run == behaviour.outcomes.end()) {
        why_not = "No voltages are simulated";
        for (const base::Error& error : behaviour.why_not) {
            why_not += (&error == &behaviour.why_not.front() ? ": " : "; ") + error.what;
        }
        why_not += ".";
        return nullptr;
    }
    if (!in_order(*run) || !run->trouble.empty()) {
        why_not = "Simulated voltages are left out, since the run is in doubt";
        if (!run->trouble.empty()) {
            why_not += ": " + run->trouble.front().what;
        }
        why_not += ".";
        return nullptr;
    }
    return &*run;
}

// What cannot be held against each other, a meter's mean and a voltage that swings, does not
// differ.
bool differ(const Read& read, const NetFigure& net) {
    const auto rms = alternating(net);
    if (rms.has_value() != read.alternating || (!rms && swings(net.to_return))) {
        return false;
    }
    const double simulated = rms ? *rms : net.to_return.mean;
    return std::abs(simulated - read.value.value) >
           read.u_v + models_good_for * std::abs(read.value.value);
}

std::string legend(const std::vector<NetVoltage>& shown, const Outcome* run) {
    const auto any = [&](auto is) { return std::any_of(shown.begin(), shown.end(), is); };
    const auto contains = [&](const char* what) {
        return any([&](const NetVoltage& v) { return v.text.find(what) != std::string::npos; });
    };
    std::string words = "Voltages against the return of each side";
    const bool read = any([](const NetVoltage& v) { return !v.simulated; });
    const bool simulated = any([](const NetVoltage& v) { return v.simulated; });
    if (simulated && run != nullptr) {
        words += fmt::format("{} in normal use at {}",
                             read ? ": upright as read, slanted as simulated" : ", as simulated",
                             supply_in_words(*run));
    } else {
        words += ", as read";
    }
    if (contains("\u2026")) {
        words += "; a \u2026 b from lowest to highest";
    }
    if (contains("~")) {
        words += "; ~ RMS, of the mains against neutral";
    }
    return words + ".";
}

}  // namespace

std::string in_words(const NetFigure& net) {
    if (const auto rms = alternating(net)) {
        return volts(*rms) + "~";
    }
    return swings(net.to_return) ? range(net.to_return.least, net.to_return.largest)
                                 : volts(net.to_return.mean);
}

NetVoltages net_voltages(const dossier::Dossier& dossier,
                         const std::vector<dossier::Reading>& readings,
                         const circuit::Circuit& circuit,
                         const circuit::Domains& domains,
                         const Behaviour* behaviour) {
    NetVoltages result;
    const std::vector<Read> read = Search(dossier, readings, circuit, domains).run();
    for (const Read& one : read) {
        result.shown.push_back(
            {one.net, base::to_text(one.value) + (one.alternating ? "~" : ""), false});
    }
    std::string why_not;
    const Outcome* run = behaviour == nullptr ? nullptr : run_to_show(*behaviour, why_not);
    for (const NetFigure& figure : run == nullptr ? std::vector<NetFigure>() : run->nets) {
        const auto net = circuit.net(figure.net);
        const int domain = net ? domains.of(*net) : -1;
        if (domain < 0 || domains.domains[static_cast<std::size_t>(domain)].reference == *net ||
            circuit[*net].role == "neutral" || is_neutral(figure) || is_dead(figure)) {
            continue;
        }
        const auto beside =
            std::find_if(read.begin(), read.end(), [&](const Read& r) { return r.net == *net; });
        if (beside == read.end()) {
            result.shown.push_back({*net, in_words(figure), true});
        } else if (differ(*beside, figure)) {
            result.shown.push_back({*net, std::string("sim. ") + in_words(figure), true});
        }
    }
    if (!result.shown.empty()) {
        result.notes.push_back(legend(result.shown, run));
    }
    if (!why_not.empty()) {
        result.notes.push_back(why_not);
    }
    return result;
}

}  // namespace etchback::report
