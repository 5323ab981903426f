#include "bench/from_readings.h"

#include <fmt/args.h>
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <set>

#include "base/text.h"

namespace etchback::bench {
namespace {

using base::Unit;
using dossier::Reading;
using Readings = std::vector<const Reading*>;

// "warm, 231 V" -> "warm_231_v".
std::string slug_of(std::string_view name) {
    std::string slug;
    for (const char c : base::lowered(name)) {
        if ((c >= '0' && c <= '9') || (c >= 'a' && c <= 'z')) {
            slug += c;
        } else if (!slug.empty() && slug.back() != '_') {
            slug += '_';
        }
    }
    return slug;
}

bool is_leds(const dossier::Part& part) {
    return part.fitted && base::lowered(part.kind.value).starts_with("led");
}

// Whether the two nets are those that the part's pins lie on.
bool is_across(const Reading& reading, const dossier::Part& part) {
    return reading.between.size() == 2 &&
           std::all_of(reading.between.begin(), reading.between.end(), [&](const auto& net) {
               return std::any_of(part.pins.begin(), part.pins.end(), [&](const auto& pin) {
                   return pin.net == net.value;
               });
           });
}

// How much two readings are wrong together: one meter, one unit.
double correlation(const Reading& a, const Reading& b) {
    return &a == &b || (!a.meter.value.empty() && a.meter.value == b.meter.value &&
                        a.value.value.unit == b.value.value.unit)
               ? 1.0
               : 0.0;
}

// What a figure is made of: its readings, and the model over their values.
struct Recipe {
    std::string id, title, symbol, formula, pattern, source = "definition";
    Unit unit = Unit::none;
    Model model;
    Readings from;
    std::vector<std::string> parts;
};

base::Figure cooked(const Recipe& recipe, const std::string& group) {
    std::vector<Estimate> inputs;
    Correlation together{recipe.from.size(), {}};
    for (const Reading* a : recipe.from) {
        inputs.push_back(estimate_of(*a));
        for (const Reading* b : recipe.from) {
            together.r.push_back(correlation(*a, *b));
        }
    }
    const Estimate e = propagate(recipe.model, inputs, together);
    base::Figure figure;
    figure.id = recipe.id + (group.empty() ? "" : "." + slug_of(group));
    figure.title = recipe.title + (group.empty() ? "" : " (" + group + ")");
    figure.symbol = recipe.symbol;
    figure.value = e.value;
    figure.unit = recipe.unit;
    figure.uncertainty = e.u;
    figure.formula = recipe.symbol + " = " + recipe.formula;
    figure.source = recipe.source;
    figure.parts = recipe.parts;
    fmt::dynamic_format_arg_store<fmt::format_context> numbers;
    for (const Reading* reading : recipe.from) {
        numbers.push_back(base::to_text(reading->value.value));
        figure.assumed = figure.assumed || !reading->uncertainty;
        figure.evidence.push_back(
            {base::Evidence::Kind::reading,
             reading->quantity.value,
             base::to_text(reading->value.value) +
                 (reading->meter.value.empty() ? "" : ", " + reading->meter.value),
             reading->place});
    }
    figure.worked = recipe.symbol + " = " + fmt::vformat(recipe.pattern, numbers) + " = " +
                    base::to_engineering(e.value, recipe.unit, {4, false});
    return figure;
}

class Group {
public:
    Group(const dossier::Dossier& dossier, std::string name, Readings readings)
        : dossier_(dossier), name_(std::move(name)), readings_(std::move(readings)) {}

    std::vector<base::Figure> figures() {
        output();
        leds();
        efficiency();
        cold();
        return std::move(figures_);
    }

private:
    const Reading* first(std::string_view quantity) const {
        const auto found = std::find_if(readings_.begin(), readings_.end(), [&](const Reading* r) {
            return r->quantity.value == quantity && std::isfinite(r->value.value.value);
        });
        return found == readings_.end() ? nullptr : *found;
    }
    // Between the pins of the LEDs.
    const Reading* across_leds(const dossier::Part** which) const {
        for (const dossier::Part& part : dossier_.parts) {
            for (const Reading* reading : readings_) {
                if (is_leds(part) && reading->value.value.unit == Unit::volt &&
                    is_across(*reading, part)) {
                    *which = &part;
                    return reading;
                }
            }
        }
        return nullptr;
    }
    void add(const Recipe& recipe) { figures_.push_back(cooked(recipe, name_)); }

    void output() {
        const Reading *u = first("output voltage"), *i = first("output current");
        if (u == nullptr || i == nullptr || first("output power") != nullptr) {
            return;
        }
        add({.id = "output_power",
             .title = "Output power",
             .symbol = "P₂",
             .formula = "U₂·I₂",
             .pattern = "{} · {}",
             .unit = Unit::watt,
             .model = [](std::span<const double> x) { return x[0] * x[1]; },
             .from = {u, i},
             .parts = {}});
    }
    void leds() {
        const dossier::Part* part = nullptr;
        const Reading *u = across_leds(&part), *i = first("output current");
        if (u == nullptr || i == nullptr) {
            return;
        }
        add({.id = "led_power",
             .title = "Power of " + part->name + " from mean voltage and current",
             .symbol = "P",
             .formula = "U·I",
             .pattern = "{} · {}",
             .source = "means of both: without the ripple's share",
             .unit = Unit::watt,
             .model = [](std::span<const double> x) { return x[0] * x[1]; },
             .from = {u, i},
             .parts = {part->name}});
    }
    void efficiency() {
        const dossier::Part* part = nullptr;
        const Reading *in = first("input power"), *out = first("output power");
        const Reading *u = first("output voltage"), *i = first("output current");
        u = u != nullptr ? u : across_leds(&part);
        if (in == nullptr || !(in->value.value.value > 0.0)) {
            return;
        }
        if (out != nullptr) {
            add({.id = "efficiency",
                 .title = "Efficiency",
                 .symbol = "η",
                 .formula = "P₂/P",
                 .pattern = "{}/{}",
                 .unit = Unit::percent,
                 .model = [](std::span<const double> x) { return 100.0 * x[0] / x[1]; },
                 .from = {out, in},
                 .parts = {}});
        } else if (u != nullptr && i != nullptr) {
            add({.id = "efficiency",
                 .title = "Efficiency",
                 .symbol = "η",
                 .formula = "U₂·I₂/P",
                 .pattern = "{} · {}/{}",
                 .unit = Unit::percent,
                 .model = [](std::span<const double> x) { return 100.0 * x[0] * x[1] / x[2]; },
                 .from = {u, i, in},
                 .parts = {}});
        }
    }
    bool is_cold() const {
        return std::any_of(readings_.begin(), readings_.end(), [](const Reading* r) {
            return base::lowered(r->group + " " + r->conditions).find("cold") != std::string::npos;
        });
    }
    // Between the pins of the plug, without power.
    void cold() {
        const Reading *r = first("input resistance"), *u = first("voltage"), *i = first("current");
        const Model of_ohms = [](std::span<const double> x) { return x[0]; };
        const Model of_both = [](std::span<const double> x) { return x[0] / x[1]; };
        Recipe recipe{.id = "input_resistance",
                      .title = "Resistance between the pins of the plug, cold",
                      .symbol = "R",
                      .formula = "U/I",
                      .pattern = "{}/{}",
                      .unit = Unit::ohm,
                      .model = of_both,
                      .from = {},
                      .parts = {}};
        if (r != nullptr) {
            recipe.from = {r};
            recipe.model = of_ohms;
            recipe.pattern = "{}";
        } else if (is_cold() && u != nullptr && i != nullptr && i->value.value.value > 0.0) {
            recipe.from = {u, i};
            add(recipe);
        } else {
            return;
        }
        inrush(recipe);
    }
    void inrush(const Recipe& resistance) {
        if (!dossier_.supply.voltage || dossier_.supply.kind != dossier::Supply::Kind::ac) {
            return;
        }
        const double peak = std::numbers::sqrt2 * dossier_.supply.voltage->value.high;
        Recipe recipe = resistance;
        recipe.id = "inrush_limit";
        recipe.title = "The inrush is no more than";
        recipe.symbol = "î";
        recipe.formula = "√2·U/R, at the highest supply";
        recipe.unit = Unit::ampere;
        recipe.model = [peak, r = resistance.model](std::span<const double> x) {
            return peak / r(x);
        };
        recipe.pattern = base::to_engineering(peak, Unit::volt) + "/(" + resistance.pattern + ")";
        add(recipe);
    }

    const dossier::Dossier& dossier_;
    std::string name_;
    Readings readings_;
    std::vector<base::Figure> figures_;
};

// What a record of the mains says about the current, if there is one.
const MainsFigures* current_shown(const std::vector<Record>& records) {
    for (const Record& record : records) {
        if (record.mains && record.mains->current.present) {
            return &*record.mains;
        }
    }
    return nullptr;
}

// Share of the current's r.m.s. that lies above a frequency.
double share_above(const MainsFigures& mains, double bandwidth_hz) {
    double above = 0.0;
    for (const Harmonic& harmonic : mains.current.harmonics) {
        if (harmonic.order * mains.frequency_hz.value > bandwidth_hz) {
            above += harmonic.rms.value * harmonic.rms.value;
        }
    }
    const double rms = mains.current.rms.value;
    return rms > 0.0 ? above / (rms * rms) : 0.0;
}

// The range that a value is read in.
std::optional<double> full_scale(const Meter& meter, double value, Unit unit) {
    for (const MeterRange& range : meter.ranges) {
        for (const double full : range.full_scale) {
            if (range.unit == unit && std::abs(value) <= full) {
                return full;
            }
        }
    }
    return std::nullopt;
}

// A reading with another load than the record was taken of is not judged by it.
bool of_one_state(const Reading& reading, const MainsFigures& mains) {
    const double read = reading.value.value.value;
    const double seen = reading.quantity.value == "supply current" ? mains.current.rms.value
                        : reading.quantity.value == "input power"  ? mains.power_w.value
                                                                   : read;
    return read > 0.7 * seen && read < 1.4 * seen;
}

bool speaks_of_current(const Reading& reading) {
    static const std::set<std::string, std::less<>> words = {
        "supply current", "input power", "power factor", "apparent power", "reactive power"};
    return words.count(reading.quantity.value) > 0;
}

}  // namespace

std::vector<base::Figure> figures_from_readings(const dossier::Dossier& dossier,
                                                const std::vector<Reading>& readings) {
    std::vector<std::string> names;
    for (const Reading& reading : readings) {
        if (std::find(names.begin(), names.end(), reading.group) == names.end()) {
            names.push_back(reading.group);
        }
    }
    std::vector<base::Figure> all;
    std::set<std::string> ids;
    for (const std::string& name : names) {
        Readings of_group;
        for (const Reading& reading : readings) {
            if (reading.group == name) {
                of_group.push_back(&reading);
            }
        }
        for (base::Figure& figure : Group(dossier, name, std::move(of_group)).figures()) {
            const std::string id = figure.id;
            for (int n = 2; !ids.insert(figure.id).second; ++n) {
                figure.id = id + "." + std::to_string(n);
            }
            all.push_back(std::move(figure));
        }
    }
    return all;
}

std::vector<ReadingDoubt> doubts_of(const std::vector<Reading>& readings,
                                    const std::vector<Meter>& meters,
                                    const std::vector<Record>& records) {
    std::vector<ReadingDoubt> doubts;
    const MainsFigures* mains = current_shown(records);
    if (mains == nullptr) {
        return doubts;
    }
    const double peak = mains->current.peak.value;
    for (std::size_t k = 0; k < readings.size(); ++k) {
        const Reading& reading = readings[k];
        const Meter* meter = meter_named(meters, reading.meter.value);
        if (meter == nullptr || !speaks_of_current(reading) || !of_one_state(reading, *mains)) {
            continue;
        }
        const auto full = full_scale(*meter, mains->current.rms.value, Unit::ampere);
        if (meter->crest_factor && full && peak > *meter->crest_factor * *full) {
            doubts.push_back(
                {k,
                 fmt::format("{} {}: the recorded current has peaks of {} (crest factor {:.2g}), "
                             "more than the meter takes in its range ({} times {}); the reading "
                             "says nothing.",
                             reading.quantity.value,
                             base::to_text(reading.value.value),
                             base::to_engineering(peak, Unit::ampere, {3, false}),
                             mains->current.crest_factor.value,
                             *meter->crest_factor,
                             base::to_engineering(*full, Unit::ampere)),
                 0.0});
            continue;
        }
        const double above = meter->bandwidth_hz ? share_above(*mains, *meter->bandwidth_hz) : 0.0;
        if (std::sqrt(above) < 0.05) {
            continue;
        }
        // What the meter may not see of the square of the current.
        const double lost = 1.0 - std::sqrt(1.0 - std::min(1.0, above));
        const Estimate e = estimate_of(reading);
        const double half = 2.0 * e.u, wider = std::hypot(half, lost * std::abs(e.value));
        if (wider < 1.1 * half) {
            continue;
        }
        doubts.push_back(
            {k,
             fmt::format("{} {}: {:.2g} % of the recorded current's r.m.s. lies above the meter's "
                         "{}; its uncertainty is taken as ± {}.",
                         reading.quantity.value,
                         base::to_text(reading.value.value),
                         100.0 * std::sqrt(above),
                         base::to_engineering(*meter->bandwidth_hz, Unit::hertz),
                         base::to_engineering(wider, reading.value.value.unit, {2, false})),
             half > 0.0 ? wider / half : 1.0});
    }
    return doubts;
}

std::vector<Reading> widened(const std::vector<Reading>& readings,
                             const std::vector<ReadingDoubt>& doubts) {
    std::vector<Reading> all;
    for (std::size_t k = 0; k < readings.size(); ++k) {
        double factor = 1.0;
        for (const ReadingDoubt& doubt : doubts) {
            factor = doubt.reading == k ? doubt.factor : factor;
        }
        if (factor == 0.0) {
            continue;
        }
        all.push_back(readings[k]);
        if (factor != 1.0) {
            all.back().uncertainty =
                dossier::Amount{base::Quantity::of(2.0 * factor * estimate_of(readings[k]).u,
                                                   readings[k].value.value.unit),
                                readings[k].place};
        }
    }
    return all;
}

}  // namespace etchback::bench
