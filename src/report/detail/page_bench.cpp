// Claims, readings, the power triangle, and what they come to; figures with their arithmetic.
#include <algorithm>
#include <cmath>
#include <set>
#include <string_view>

#include "base/text.h"
#include "report/detail/page.h"
#include "report/detail/words.h"

namespace etchback::report::detail {
namespace {

// Figures are shown by topic; the topic is what stands before the dot of a figure's id.
struct Topic {
    std::string_view prefix;
    std::string_view title;
};
constexpr Topic topics[] = {
    {"mains_peak", "Supply"},
    {"fuse_load", "Supply"},
    {"bleed_time", "Capacitors that stay charged"},
    {"residual", "Capacitors that stay charged"},
    {"residual_2s", "Capacitors that stay charged"},
    {"stored_energy", "Capacitors that stay charged"},
    {"dropper_current", "The dropper"},
    {"dropper_rms", "The dropper"},
    {"voltage", "Voltages that follow from the structure"},
    {"voltage_in_fault", "Voltages after one fault"},
    {"dissipation", "Voltage and power on resistors"},
    {"led_knee", "LEDs"},
    {"led_power", "LEDs"},
    {"divider", "Dividers"},
    {"time_constant", "Time constants"},
    {"series", "Parts in series and in parallel"},
    {"parallel", "Parts in series and in parallel"},
};
constexpr std::string_view bench_title = "From the readings";
constexpr std::string_view other_title = "Others";

std::string_view topic_of(const base::Figure& figure) {
    const std::string_view prefix = std::string_view(figure.id).substr(0, figure.id.find('.'));
    for (const Topic& topic : topics) {
        if (topic.prefix == prefix) {
            return topic.title;
        }
    }
    return other_title;
}

// The arithmetic with its result. Whoever computed the figure may have written the result or not;
// words instead of arithmetic stay as they are.
std::string worked_of(const base::Figure& figure) {
    const std::string& worked = figure.worked;
    if (figure.symbol.empty() || !worked.starts_with(figure.symbol + " = ") ||
        worked.find(": ") != std::string::npos) {
        return worked;
    }
    const auto end =
        base::parse_quantity(std::string_view(worked).substr(worked.rfind(" = ") + 3), figure.unit);
    constexpr double of_printing = 0.005;  // three digits or more are printed
    if (end && std::abs((*end).value - figure.value) <= of_printing * std::abs(figure.value)) {
        return worked;
    }
    return worked + " = " + base::to_engineering(figure.value, figure.unit, {.digits = 4});
}

FigureView view_of(const base::Figure& figure) {
    FigureView view;
    view.anchor = anchor("figure", figure.id);
    view.title = figure.title;
    view.result = figure.symbol.empty() ? "" : figure.symbol + " = ";
    view.result += figure.uncertainty
                       ? with_uncertainty(figure.value, *figure.uncertainty, figure.unit)
                       : base::to_engineering(figure.value, figure.unit);
    view.formula = figure.formula;
    view.worked = worked_of(figure);
    view.source = figure.source;
    view.assumed = figure.assumed;
    view.about = part_links(figure.parts);
    for (Link& link : net_links(figure.nets)) {
        view.about.push_back(std::move(link));
    }
    for (const base::Evidence& evidence : figure.evidence) {
        view.evidence.push_back(detail::view_of(evidence));
    }
    return view;
}

void add_to_group(std::vector<FigureGroup>& groups, std::string_view title, FigureView view) {
    auto group = std::find_if(
        groups.begin(), groups.end(), [&](const FigureGroup& g) { return g.title == title; });
    if (group == groups.end()) {
        groups.push_back({.title = std::string(title), .figures = {}});
        group = std::prev(groups.end());
    }
    group->figures.push_back(std::move(view));
}

// What meters and records said about the same quantity as a claim.
std::vector<ClaimRead> reads_of(const dossier::Claim& claim, const Study& study) {
    std::vector<ClaimRead> reads;
    for (const bench::ClaimCheck& check : study.bench.claims) {
        if (check.claim == claim.place && check.quantity == claim.quantity.value) {
            reads.push_back({check.read, std::string(bench::words_of(check.verdict))});
        }
    }
    if (!reads.empty()) {
        return reads;
    }
    for (const dossier::Reading& reading : study.dossier.readings) {
        if (reading.quantity.value == claim.quantity.value) {
            reads.push_back({base::to_text(reading.value.value) +
                                 (reading.group.empty() ? "" : " (" + reading.group + ")"),
                             ""});
        }
    }
    return reads;
}

std::string uncertainty_of(const dossier::Reading& reading) {
    return reading.uncertainty ? "± " + text_of(reading.uncertainty) : "not stated";
}

// As the dossier states it, else what the kind of meter is good for.
std::string uncertainty_of(const dossier::Reading& reading,
                           const std::vector<dossier::Reading>& with_meters) {
    if (!reading.uncertainty) {
        for (const dossier::Reading& other : with_meters) {
            if (other.place == reading.place && other.uncertainty) {
                return "± " + text_of(other.uncertainty) + " (usual for the meter)";
            }
        }
    }
    return uncertainty_of(reading);
}

ReadingView view_of(const dossier::Reading& reading, const Study& study) {
    ReadingView view{.group = reading.group,
                     .quantity = reading.quantity.value,
                     .value = base::to_text(reading.value.value),
                     .uncertainty = uncertainty_of(reading, study.bench.readings),
                     .meter = reading.meter.value,
                     .conditions = reading.conditions,
                     .note = reading.note.value,
                     .between = {}};
    for (const dossier::Text& net : reading.between) {
        view.between.push_back(net_link(net.value));
    }
    return view;
}

bool was_read(const Study& study, const std::string& group, std::string_view quantity) {
    return std::any_of(study.dossier.readings.begin(),
                       study.dossier.readings.end(),
                       [&](const dossier::Reading& reading) {
                           return reading.group == group && reading.quantity.value == quantity;
                       });
}

TriangleView view_of(const bench::PowerTriangle& triangle, const Study& study) {
    using base::Unit;
    TriangleView view;
    view.group = triangle.group;
    const auto row = [&](const char* title, const char* quantity, const auto& estimate, Unit unit) {
        if (estimate) {
            const bool read = was_read(study, triangle.group, quantity);
            view.rows.push_back({title, text_of(estimate, unit), read ? "read" : "computed"});
        }
    };
    row("Voltage U", "supply voltage", triangle.voltage_v_rms, Unit::volt);
    row("Current I", "supply current", triangle.current_a_rms, Unit::ampere);
    row("Active power P", "input power", triangle.power_w, Unit::watt);
    row("Power factor λ", "power factor", triangle.power_factor, Unit::none);
    row("Apparent power S", "apparent power", triangle.apparent_va, Unit::volt_ampere);
    row("Non-active power N", "reactive power", triangle.non_active_var, Unit::var);
    view.verdict = triangle.disagreement_text;
    if (triangle.disagreement && view.verdict.empty()) {
        view.verdict = "The readings fit each other within their uncertainty.";
    }
    view.in_order = !triangle.disagreement || std::abs(*triangle.disagreement) <= 1.0;
    if (!view.in_order && !triangle.suspect.empty()) {
        view.verdict += " Most suspect: " + triangle.suspect + ".";
    }
    if (triangle.power_w && triangle.apparent_va && triangle.apparent_va->value > 0.0 &&
        triangle.non_active_var) {
        view.drawable = true;
        view.power_share =
            std::clamp(triangle.power_w->value / triangle.apparent_va->value, 0.0, 1.0);
        view.power = base::to_engineering(triangle.power_w->value, Unit::watt);
        view.apparent = base::to_engineering(triangle.apparent_va->value, Unit::volt_ampere);
        view.non_active = base::to_engineering(triangle.non_active_var->value, Unit::var);
    }
    return view;
}

// One end of a continuity check: "R1.1" leads to the part, anything else is a net.
Link end_link(const std::string& end, const Study& study) {
    const std::size_t dot = end.rfind('.');
    if (dot != std::string::npos && !study.circuit.net(end) &&
        study.circuit.part(end.substr(0, dot))) {
        Link link = part_link(end.substr(0, dot));
        link.text = end;
        return link;
    }
    return net_link(end);
}

}  // namespace

std::vector<FigureGroup> figures_of(const Study& study) {
    std::vector<FigureGroup> found;
    std::set<std::string> of_bench;
    for (const bench::PowerTriangle& triangle : study.bench.triangles) {
        for (const base::Figure& figure : triangle.figures) {
            of_bench.insert(figure.id);
        }
    }
    for (const base::Figure& figure : study.bench.figures) {
        of_bench.insert(figure.id);
    }
    for (const base::Figure& figure : study.figures) {
        add_to_group(
            found, of_bench.count(figure.id) > 0 ? bench_title : topic_of(figure), view_of(figure));
    }
    std::vector<FigureGroup> ordered;
    const auto take = [&](std::string_view title) {
        for (FigureGroup& group : found) {
            if (group.title == title && !group.figures.empty()) {
                ordered.push_back(std::move(group));
                group.figures.clear();
                group.title.clear();
            }
        }
    };
    for (const Topic& topic : topics) {
        take(topic.title);
    }
    take(other_title);
    take(bench_title);
    return ordered;
}

void add_bench(Page& page, const Study& study) {
    for (const dossier::Claim& claim : study.dossier.claims) {
        page.claims.push_back({.quantity = claim.quantity.value,
                               .claimed = text_of(claim),
                               .where = claim.where.value,
                               .note = claim.note.value,
                               .reads = reads_of(claim, study)});
    }
    for (const dossier::Reading& reading : study.dossier.readings) {
        page.readings.push_back(view_of(reading, study));
    }
    for (const bench::PowerTriangle& triangle : study.bench.triangles) {
        page.triangles.push_back(view_of(triangle, study));
    }
    for (const dossier::Continuity& check : study.dossier.continuity) {
        ContinuityView view{
            .between = {}, .beeps = check.beeps ? "beeps" : "silent", .note = check.note.value};
        for (const dossier::Text& end : check.between) {
            view.between.push_back(end_link(end.value, study));
        }
        page.continuity.push_back(std::move(view));
    }
    for (const bench::ReadingDoubt& doubt : study.bench.doubts) {
        page.doubts.push_back(doubt.words);
    }
    for (const bench::Record& record : study.bench.records) {
        page.records.push_back(
            report::view_of(record, study.behaviour ? &*study.behaviour : nullptr, study.dossier));
    }
    if (study.bench.records.empty()) {
        for (const dossier::Waveform& wave : study.dossier.waveforms) {
            page.waveforms.push_back({wave.file.value, wave.what.value});
        }
    }
}

}  // namespace etchback::report::detail
