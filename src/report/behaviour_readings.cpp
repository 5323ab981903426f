// Which reading of the bench says the same as a simulated figure.
#include <algorithm>
#include <cmath>

#include "base/text.h"
#include "report/behaviour_view.h"

namespace etchback::report {
namespace {

struct Same {
    std::string_view figure;  // what stands before the dot of its id
    std::string_view quantity;
};
constexpr Same same[] = {
    {"supply_voltage", "supply voltage"},
    {"supply_current", "supply current"},
    {"input_power", "input power"},
    {"apparent_power", "apparent power"},
    {"power_factor", "power factor"},
    {"output_voltage", "output voltage"},
    {"output_voltage", "voltage"},
    {"output_current", "output current"},
    {"output_power", "output power"},
    {"efficiency", "efficiency"},
};

std::string_view base_of(std::string_view id) {
    return id.substr(0, id.find('.'));
}
std::string part_of(std::string_view id) {
    const std::size_t dot = id.find('.');
    return dot == std::string_view::npos ? "" : std::string(id.substr(dot + 1));
}

bool means(const behaviour::FigureRow& figure, const std::string& quantity) {
    return std::any_of(std::begin(same), std::end(same), [&](const Same& row) {
        return row.figure == base_of(figure.id) && row.quantity == quantity;
    });
}

bool says(const std::string& text, std::string_view words) {
    return base::lowered(text).find(words) != std::string::npos;
}

bool without_load(const dossier::Reading& reading) {
    for (const std::string& text : {reading.group, reading.conditions}) {
        if (says(text, "no load") || says(text, "load open") || says(text, "without load") ||
            says(text, "open circuit")) {
            return true;
        }
    }
    return false;
}

// A voltage between two nets is that of the part that lies on both.
bool lies_between(const std::string& name,
                  const std::vector<dossier::Text>& nets,
                  const dossier::Dossier& dossier) {
    for (const dossier::Part& part : dossier.parts) {
        if (part.name == name) {
            return std::all_of(nets.begin(), nets.end(), [&](const dossier::Text& net) {
                return std::any_of(part.pins.begin(), part.pins.end(), [&](const auto& pin) {
                    return pin.net == net.value;
                });
            });
        }
    }
    return false;
}

bool of_the_same_place(const behaviour::FigureRow& figure,
                       const dossier::Reading& reading,
                       const behaviour::Outcome& outcome,
                       const dossier::Dossier& dossier) {
    const std::string part = part_of(figure.id);
    if (part.empty()) {
        return reading.between.empty() || reading.quantity.value.starts_with("supply") ||
               reading.quantity.value.starts_with("output");
    }
    if (!reading.between.empty() && lies_between(part, reading.between, dossier)) {
        return true;
    }
    const auto alike = std::count_if(
        outcome.figures.begin(), outcome.figures.end(), [&](const behaviour::FigureRow& other) {
            return base_of(other.id) == base_of(figure.id);
        });
    return alike == 1 && reading.quantity.value.starts_with("output");
}

double supply_of(const dossier::Reading& reading, const dossier::Dossier& dossier) {
    for (const dossier::Reading& other : dossier.readings) {
        if (other.group == reading.group && other.quantity.value == "supply voltage") {
            return other.value.value.value;
        }
    }
    return 0.0;
}

}  // namespace

// Readings of one moment share a group, and one of them names the state.
bool taken_without_load(const dossier::Reading& reading, const dossier::Dossier& dossier) {
    return std::any_of(
        dossier.readings.begin(), dossier.readings.end(), [&](const dossier::Reading& other) {
            return &other == &reading || (!reading.group.empty() && other.group == reading.group)
                       ? without_load(other)
                       : false;
        });
}

const dossier::Reading* reading_of(const behaviour::FigureRow& figure,
                                   const behaviour::Outcome& outcome,
                                   const dossier::Dossier& dossier) {
    const bool normal = outcome.scenario.id == "normal";
    const bool open = outcome.scenario.id == "load-open";
    if (!normal && !open) {
        return nullptr;
    }
    const dossier::Reading* best = nullptr;
    double nearest = 0.0;
    for (const dossier::Reading& reading : dossier.readings) {
        if (!means(figure, reading.quantity.value) ||
            taken_without_load(reading, dossier) != open ||
            !of_the_same_place(figure, reading, outcome, dossier)) {
            continue;
        }
        const double away = std::abs(supply_of(reading, dossier) - outcome.supply_v_rms);
        if (best == nullptr || away < nearest) {
            best = &reading;
            nearest = away;
        }
    }
    return best;
}

}  // namespace etchback::report
