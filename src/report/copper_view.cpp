#include "report/copper_view.h"

#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "base/text.h"
#include "report/board_svg.h"

namespace etchback::report {

const char* const probe_caution =
    "Unplug it, take out batteries, discharge the capacitors and measure that they are empty, then "
    "probe. A coil, a fuse or a few ohms beep, too; a large capacitor may chirp once.";

namespace {

std::string counted(std::size_t count, std::string_view one) {
    return fmt::format("{} {}{}", count, one, count == 1 ? "" : "s");
}

// Never "0 %" or "100 %": nothing is that sure.
std::string percent(double share) {
    const double value = 100.0 * share;
    return value < 1.0 ? "below 1 %" : value > 99.0 ? "above 99 %" : fmt::format("{:.0f} %", value);
}

std::string pad_name(const copper::Pad& pad) {
    return pad.part.empty() ? fmt::format("({:.1f}, {:.1f}) mm", pad.at.x_mm, pad.at.y_mm)
                            : pad.part + "." + pad.pin;
}

void add_registration(CopperView& view, const copper::Registration& registration) {
    if (registration.photos.empty()) {
        return;  // copper pictures lie as they are
    }
    view.registered = registration.good;
    if (registration.matches > 0) {
        std::string line = fmt::format(
            "{} compared; they miss each other by {:.2f} mm (RMS)",
            counted(static_cast<std::size_t>(registration.matches), "hole, pad or point"),
            registration.residual_mm);
        if (registration.matches > 1) {
            line = fmt::format(
                "{} holes, pads and points were compared; they miss each other by "
                "{:.2f} mm (RMS)",
                registration.matches,
                registration.residual_mm);
        }
        if (!registration.misfits.empty()) {
            const copper::Misfit& worst = registration.misfits.front();
            line += fmt::format(", at worst by {:.2f} mm at ({:.1f}, {:.1f}) mm ({})",
                                worst.distance_mm,
                                worst.at.x_mm,
                                worst.at.y_mm,
                                worst.between);
        }
        view.lines.push_back(line + ".");
    }
    if (!registration.good) {
        view.lines.push_back("The photos do not fit well enough: take the nets with care.");
    }
    view.lines.push_back(registration.scale_known
                             ? "The scale comes from " + registration.scale_from + "."
                             : "The scale is a guess" +
                                   (registration.scale_from.empty()
                                        ? std::string()
                                        : " (" + registration.scale_from + ")") +
                                   ": lengths may be wrong by much, nets are not touched by it.");
}

void add_figures(CopperView& view, const copper::Trace& trace) {
    const copper::Raster& raster = trace.picture.raster;
    const auto drilled = std::ranges::count_if(
        trace.picture.holes, [](const copper::Hole& hole) { return hole.real > 0.5; });
    view.lines.push_back(
        fmt::format("{} pieces of copper and {} on {:.1f} mm x {:.1f} mm, seen "
                    "with {:.1f} pixels per mm.",
                    trace.islands.islands.size(),
                    counted(static_cast<std::size_t>(drilled), "hole"),
                    raster.width / raster.px_per_mm,
                    raster.height / raster.px_per_mm,
                    raster.px_per_mm));
    for (const auto& [side, name] :
         {std::pair(copper::Side::top, "top"), std::pair(copper::Side::bottom, "bottom")}) {
        const auto& picture = trace.picture.side(side);
        if (picture && !picture->trusted) {
            view.lines.push_back(fmt::format(
                "The photo of the {} side cannot tell copper from board: none of its copper is "
                "taken. Strokes may help: copper, laminate, body.",
                name));
        }
    }
}

void add_nets(CopperView& view, const copper::Trace& trace) {
    std::set<int> doubted;
    for (const copper::Doubt& doubt : trace.nets.doubts) {
        for (const std::size_t pad : doubt.pads) {
            doubted.insert(trace.nets.net_of_pad[pad]);
        }
    }
    for (std::size_t i = 0; i < trace.nets.nets.size(); ++i) {
        const copper::Net& net = trace.nets.nets[i];
        if (!is_shown(net)) {
            continue;
        }
        std::vector<std::size_t> pads = net.pads;
        std::ranges::stable_sort(pads, [&](std::size_t a, std::size_t b) {
            return base::natural_less(pad_name(trace.pads[a]), pad_name(trace.pads[b]));
        });
        CopperNetView one{.name = net.name, .pads = {}, .parts = {}, .doubted = false};
        for (const std::size_t pad : pads) {
            one.pads.push_back(pad_name(trace.pads[pad]));
            one.parts.push_back(trace.pads[pad].part);
        }
        one.doubted = doubted.contains(static_cast<int>(i));
        view.nets.push_back(std::move(one));
    }
}

void add_doubts(CopperView& view, const copper::Trace& trace) {
    for (const copper::Doubt& doubt : trace.nets.doubts) {
        const bool on_copper = doubt.joint < 0 && trace.nets.net_of_pad[doubt.pads.front()] >= 0;
        const bool of_all = doubt.joint < 0 && doubt.pads.size() > 1;
        std::string taken = of_all ? "parted" : on_copper ? "as it lies" : "on no copper";
        if (doubt.joint >= 0) {
            const copper::Joint& joint =
                trace.islands.joints[static_cast<std::size_t>(doubt.joint)];
            const bool joined = trace.nets.net_of_island[static_cast<std::size_t>(joint.a)] ==
                                trace.nets.net_of_island[static_cast<std::size_t>(joint.b)];
            taken = joined ? "joined" : "parted";
        }
        view.doubts.push_back({.number = static_cast<int>(view.doubts.size()) + 1,
                               .words = doubt.words,
                               .wrong = percent(doubt.wrong),
                               .pairs = doubt.pairs,
                               .taken = taken});
    }
    for (const copper::Question& question : trace.nets.questions) {
        CopperQuestionView one{.number = static_cast<int>(view.questions.size()) + 1,
                               .from = pad_name(trace.pads[question.a]),
                               .to = pad_name(trace.pads[question.b]),
                               .beeps = question.expected,
                               .chance = percent(question.chance),
                               .settles = {}};
        for (const int doubt : question.settles) {
            one.settles.push_back(doubt + 1);
        }
        view.questions.push_back(std::move(one));
    }
}

}  // namespace

CopperView view_of(const copper::Trace& trace) {
    CopperView view;
    add_registration(view, trace.picture.registration);
    add_figures(view, trace);
    add_nets(view, trace);
    add_doubts(view, trace);
    for (const copper::Contradiction& one : trace.nets.contradictions) {
        view.contradictions.push_back(one.words);
    }
    view.remarks = trace.picture.remarks;
    view.remarks.insert(view.remarks.end(), trace.remarks.begin(), trace.remarks.end());
    view.headline = fmt::format("{} on {}, {}, {} to ask the board.",
                                counted(view.nets.size(), "net"),
                                counted(trace.pads.size(), "pad"),
                                counted(view.doubts.size(), "doubt"),
                                counted(view.questions.size(), "question"));
    return view;
}

}  // namespace etchback::report
