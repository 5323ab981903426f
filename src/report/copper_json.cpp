#include "report/copper_json.h"

#include <algorithm>
#include <cmath>

#include "report/board_svg.h"

namespace etchback::report {

namespace {

using Json = nlohmann::ordered_json;

// To a thousandth: photographs do not tell more, and the same photo gives the same text.
double rounded(double value) {
    return std::round(value * 1000.0) / 1000.0;
}

Json json_of(copper::Point at) {
    return Json::array({rounded(at.x_mm), rounded(at.y_mm)});
}

const char* name_of(copper::Side side) {
    return side == copper::Side::top ? "top" : "bottom";
}

const char* name_of(copper::Joint::Kind kind) {
    using Kind = copper::Joint::Kind;
    switch (kind) {
        case Kind::neck:
            return "neck";
        case Kind::gap:
            return "gap";
        case Kind::hidden:
            return "hidden";
        case Kind::hole:
            return "hole";
        case Kind::bridge:
            return "stroke";
        case Kind::jumper:
            return "jumper";
    }
    return "";
}

Json json_of(const copper::Registration& registration) {
    Json photos = Json::array();
    for (const copper::PhotoFit& fit : registration.photos) {
        photos.push_back({{"file", fit.file},
                          {"side", name_of(fit.side)},
                          {"px_per_mm", rounded(fit.px_per_mm)}});
    }
    Json worst = Json::array();
    constexpr std::size_t most = 5;
    for (std::size_t i = 0; i < std::min(most, registration.misfits.size()); ++i) {
        const copper::Misfit& misfit = registration.misfits[i];
        worst.push_back({{"at", json_of(misfit.at)},
                         {"distance_mm", rounded(misfit.distance_mm)},
                         {"between", misfit.between}});
    }
    return {{"good", registration.good},
            {"matches", registration.matches},
            {"residual_mm", rounded(registration.residual_mm)},
            {"worst_mm", rounded(registration.worst_mm)},
            {"scale_known", registration.scale_known},
            {"scale_from", registration.scale_from},
            {"photos", std::move(photos)},
            {"worst", std::move(worst)}};
}

Json json_of(const copper::Pad& pad) {
    Json object = {{"part", pad.part}, {"pin", pad.pin}, {"at", json_of(pad.at)}};
    if (pad.side) {
        object["side"] = name_of(*pad.side);
    }
    object["placed_by_body"] = pad.placed_by_body;
    return object;
}

Json ends(const copper::Trace& trace, const std::vector<std::size_t>& pads) {
    Json list = Json::array();
    for (const std::size_t pad : pads) {
        list.push_back(json_of(trace.pads[pad]));
    }
    return list;
}

Json json_of(const copper::Doubt& doubt, const copper::Trace& trace) {
    Json object = {{"words", doubt.words}, {"wrong", rounded(doubt.wrong)}, {"pairs", doubt.pairs}};
    if (doubt.joint >= 0) {
        const copper::Joint& joint = trace.islands.joints[static_cast<std::size_t>(doubt.joint)];
        object["kind"] = name_of(joint.kind);
        object["at"] = json_of(joint.at);
        object["width_mm"] = rounded(joint.width_mm);
        if (joint.kind != copper::Joint::Kind::hole) {
            object["side"] = name_of(trace.islands.islands[static_cast<std::size_t>(joint.a)].side);
        }
    } else {
        object["kind"] = "pad";
    }
    object["pads"] = ends(trace, doubt.pads);
    return object;
}

Json json_of(const copper::Question& question, const copper::Trace& trace) {
    return {{"words", question.words},
            {"expected", question.expected ? "beep" : "no beep"},
            {"chance", rounded(question.chance)},
            {"pads", ends(trace, {question.a, question.b})},
            {"settles", question.settles}};
}

Json remarks_of(const copper::Trace& trace) {
    Json list = Json::array();
    for (const auto* remarks : {&trace.picture.remarks, &trace.remarks}) {
        for (const copper::Remark& remark : *remarks) {
            list.push_back({{"what", remark.what}, {"todo", remark.todo}});
        }
    }
    return list;
}

Json board_of(const copper::Trace& trace) {
    const copper::Raster& raster = trace.picture.raster;
    Json object = {{"width_mm", rounded(raster.width / raster.px_per_mm)},
                   {"height_mm", rounded(raster.height / raster.px_per_mm)},
                   {"px_per_mm", rounded(raster.px_per_mm)},
                   {"islands", trace.islands.islands.size()},
                   {"holes", trace.picture.holes.size()},
                   {"joints", trace.islands.joints.size()}};
    for (const copper::Side side : {copper::Side::top, copper::Side::bottom}) {
        if (const auto& picture = trace.picture.side(side)) {
            object[name_of(side)] = {{"trusted", picture->trusted}};
        }
    }
    return object;
}

}  // namespace

Json json_of(const copper::Trace& trace) {
    Json object = {{"registration", json_of(trace.picture.registration)},
                   {"board", board_of(trace)},
                   {"nets", Json::array()},
                   {"pads_on_no_copper", Json::array()},
                   {"doubts", Json::array()},
                   {"questions", Json::array()},
                   {"contradictions", Json::array()}};
    for (const copper::Net& net : trace.nets.nets) {
        if (is_shown(net)) {
            object["nets"].push_back({{"name", net.name},
                                      {"islands", net.islands.size()},
                                      {"pads", ends(trace, net.pads)}});
        }
    }
    for (std::size_t i = 0; i < trace.pads.size(); ++i) {
        if (trace.nets.net_of_pad[i] < 0) {
            object["pads_on_no_copper"].push_back(json_of(trace.pads[i]));
        }
    }
    for (const copper::Doubt& doubt : trace.nets.doubts) {
        object["doubts"].push_back(json_of(doubt, trace));
    }
    for (const copper::Question& question : trace.nets.questions) {
        object["questions"].push_back(json_of(question, trace));
    }
    for (const copper::Contradiction& one : trace.nets.contradictions) {
        object["contradictions"].push_back(one.words);
    }
    object["remarks"] = remarks_of(trace);
    return object;
}

Json json_of(const Copper& copper) {
    if (copper.trace) {
        return json_of(*copper.trace);
    }
    Json why = Json::array();
    for (const base::Error& error : copper.why_not) {
        why.push_back(to_string(error));
    }
    return {{"why_not", std::move(why)}};
}

}  // namespace etchback::report
