#include "copper/trace.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/text.h"
#include "copper/detail/dossier_checks.h"
#include "copper/detail/eye_plugin.h"
#include "copper/detail/net_names.h"
#include "copper/detail/open_ways.h"
#include "copper/detail/pad_feet.h"
#include "copper/detail/part_joints.h"
#include "copper/detail/part_pins.h"

namespace etchback::copper {

namespace {

bool shows_a_side(const dossier::Photo& photo) {
    return photo.side.value == "top" || photo.side.value == "bottom";
}

// A pad goes through the board where a hole is seen in it, whatever the body.
void look_for_drills(std::vector<Pad>& pads, const std::vector<Hole>& holes) {
    constexpr double near_mm = 0.5;
    constexpr double least_mm = 0.5;  // of the drill: no pin goes through a via
    for (Pad& pad : pads) {
        const auto drilled = [&](const Hole& hole) {
            return hole.real > 0.5 && hole.slot.empty() && hole.diameter_mm >= least_mm &&
                   std::hypot(hole.at.x_mm - pad.at.x_mm, hole.at.y_mm - pad.at.y_mm) < near_mm;
        };
        if (pad.side && std::ranges::any_of(holes, drilled)) {
            pad.side.reset();
        }
    }
}

// Whether the body is known to lie on the board, so that no pin of it goes through.
bool is_surface_mounted(const dossier::Part& part, const parts::Catalogue& catalogue) {
    const parts::Kind* kind = catalogue.find(part.kind.value);
    const parts::Body* body =
        catalogue.body(part.body.value, kind != nullptr ? kind->family : std::string());
    return body != nullptr && !body->through_hole;
}

// Where the side of a pad has no copper and the other side has, its pin goes through the board
// (most parts do), or nobody said on which side it is.
void look_for_copper(std::vector<Pad>& pads,
                     const Islands& islands,
                     const dossier::Dossier& dossier,
                     const parts::Catalogue& catalogue) {
    for (Pad& pad : pads) {
        const dossier::Part* part = dossier.part(pad.part);
        const bool said = part != nullptr && (part->position || !part->pads_on.value.empty());
        if (!pad.side || part == nullptr || (said && is_surface_mounted(*part, catalogue))) {
            continue;
        }
        Pad other = pad;
        other.side = pad.side == Side::top ? Side::bottom : Side::top;
        const std::vector<detail::PadFoot> feet = detail::feet_of(islands, {pad, other});
        if (feet[0].island < 0 && feet[1].island >= 0) {
            pad.side = other.side;
        }
    }
}

// Of a board with copper on both sides, the one of which a photo shows none.
std::optional<Side> unread_side(const Islands& islands,
                                const BoardPicture& picture,
                                const dossier::Dossier& dossier) {
    const bool both = dossier.board.sides && dossier.board.sides->value > 1;
    for (const Side side : {Side::top, Side::bottom}) {
        const bool none = std::ranges::none_of(
            islands.islands, [side](const Island& island) { return island.side == side; });
        const auto& shown = picture.side(side);
        if (none && shown && (both || !shown->trusted)) {
            return side;
        }
    }
    return std::nullopt;
}

void say_that_nothing_is_placed(const dossier::Dossier& dossier, std::vector<Remark>& remarks) {
    if (!dossier.parts.empty()) {
        remarks.push_back({"no pad of any part has a place, so no net can be named",
                           "write pads = { 1 = [812, 430], 2 = [866, 431] } and pads_on = the "
                           "photo at each part"});
    }
}

}  // namespace

bool can_trace(const dossier::Dossier& dossier) {
    return std::ranges::any_of(dossier.photos, shows_a_side);
}

Trace trace_from(BoardPicture picture,
                 Islands islands,
                 const std::vector<PointedPad>& pointed,
                 const dossier::Dossier& dossier,
                 const parts::Catalogue& catalogue) {
    Trace trace;
    trace.picture = std::move(picture);
    trace.islands = std::move(islands);
    trace.pads = find_pads(dossier, catalogue, pointed, trace.remarks);
    if (trace.pads.empty()) {
        say_that_nothing_is_placed(dossier, trace.remarks);
    }
    look_for_drills(trace.pads, trace.picture.holes);
    look_for_copper(trace.pads, trace.islands, dossier, catalogue);
    detail::add_part_joints(trace.islands, trace.pads, dossier, catalogue);
    trace.islands.unread = unread_side(trace.islands, trace.picture, dossier);
    if (!trace.picture.registration.photos.empty()) {
        detail::weigh_open_ways(trace.islands, trace.pads, trace.picture);
    }
    std::vector<Check> checks = detail::checks_of(dossier, catalogue, trace.pads);
    if (std::ranges::any_of(checks, &Check::beeps)) {
        const Nets unchecked = find_nets(trace.islands, trace.pads, {});
        detail::drop_beeps_through_parts(
            checks, unchecked, trace.pads, dossier, catalogue, trace.remarks);
    }
    trace.nets = find_nets(trace.islands, trace.pads, checks);
    detail::name_nets(trace.nets, trace.pads, dossier, catalogue, trace.remarks);
    return trace;
}

base::Result<Trace> trace(const dossier::Dossier& dossier,
                          const std::filesystem::path& folder,
                          const parts::Catalogue& catalogue) {
    const base::Result<detail::EyePlugin> plugin = detail::find_eye_plugin();
    if (!plugin) {
        return plugin.errors();
    }
    eye::BoardTrace seen;
    base::Errors errors;
    if (!plugin->trace(&dossier, &folder, &catalogue, &seen, &errors)) {
        return errors;
    }
    return trace_from(
        std::move(seen.picture), std::move(seen.islands), seen.pads, dossier, catalogue);
}

base::Result<std::string> jpeg_of(const BoardPicture& picture, Side side, int longest) {
    const std::optional<SidePicture>& shown = picture.side(side);
    if (!shown || shown->bgr.empty()) {
        return std::string();
    }
    const base::Result<detail::EyePlugin> plugin = detail::find_eye_plugin();
    if (!plugin) {
        return plugin.errors();
    }
    constexpr int quality = 82;
    const eye::PlainPicture plain{
        .bgr = shown->bgr.data(), .width = picture.raster.width, .height = picture.raster.height};
    std::string jpeg;
    base::Errors errors;
    if (!plugin->jpeg(&plain, longest, quality, &jpeg, &errors)) {
        return errors;
    }
    return jpeg;
}

dossier::Dossier with_traced_nets(const dossier::Dossier& dossier, const Trace& trace) {
    dossier::Dossier traced = dossier;
    for (dossier::Part& part : traced.parts) {
        const bool none_written = part.pins.empty();
        for (std::size_t i = 0; i < trace.pads.size(); ++i) {
            const Pad& pad = trace.pads[i];
            const int net = trace.nets.net_of_pad[i];
            if (pad.part != part.name || net < 0 ||
                std::ranges::find(part.pins, pad.pin, &dossier::PinUse::pin) != part.pins.end()) {
                continue;
            }
            part.pins.push_back({.pin = pad.pin,
                                 .net = trace.nets.nets[static_cast<std::size_t>(net)].name,
                                 .place = part.place});
        }
        if (none_written && !part.pins.empty()) {
            part.known.insert_or_assign("pins", dossier::Basis::traced);
        }
    }
    return traced;
}

}  // namespace etchback::copper
