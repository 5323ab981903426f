// Followed copper without a photo: a few squares with every kind of doubt.
#pragma once

#include <memory>

#include "dossier/read.h"
#include "report/study_fixture.h"

namespace etchback::report {

// Squares of 1 mm in a row, 2 mm apart: three on the top side, one on the bottom.
inline copper::Islands square_islands() {
    copper::Islands islands;
    islands.raster = {80, 20, 10.0, {0.0, 0.0}};
    islands.top.assign(islands.raster.size(), -1);
    islands.bottom.assign(islands.raster.size(), -1);
    for (int i = 0; i < 4; ++i) {
        const bool top = i < 3;
        const double x = 2.0 * i + 1.0;
        copper::Island island;
        island.side = top ? copper::Side::top : copper::Side::bottom;
        island.shape.outer = {{x - 0.5, 0.5}, {x + 0.5, 0.5}, {x + 0.5, 1.5}, {x - 0.5, 1.5}};
        island.area_mm2 = 1.0;
        island.inside = {x, 1.0};
        islands.islands.push_back(island);
        for (int y = 5; y < 15; ++y) {
            for (int column = 20 * i + 5; column < 20 * i + 15; ++column) {
                (top ? islands.top : islands.bottom)[static_cast<std::size_t>(
                    y * islands.raster.width + column)] = i;
            }
        }
    }
    const auto join = [&](copper::Joint::Kind kind, int a, int b, double joined) {
        copper::Joint joint;
        joint.kind = kind;
        joint.a = a;
        joint.b = b;
        joint.joined = joined;
        joint.at = {2.0 * a + 2.0, 1.0};
        joint.width_mm = 0.1;
        joint.path = {{2.0 * a + 1.5, 1.0}, {2.0 * b + 0.5, 1.0}};
        joint.why = "seen badly";
        islands.joints.push_back(joint);
    };
    join(copper::Joint::Kind::neck, 0, 1, 0.8);
    join(copper::Joint::Kind::gap, 1, 2, 0.3);
    return islands;
}

inline copper::BoardPicture square_picture() {
    copper::BoardPicture picture;
    picture.raster = square_islands().raster;
    picture.top.emplace();
    picture.bottom.emplace();
    picture.bottom->trusted = false;
    copper::PhotoFit fit;
    fit.file = "photos/top.jpg";
    fit.px_per_mm = 23.4;
    picture.registration.photos = {fit};
    picture.registration.misfits = {{{1.0, 1.0}, 0.12, "hole, top and bottom"}};
    picture.registration.residual_mm = 0.06;
    picture.registration.worst_mm = 0.12;
    picture.registration.matches = 17;
    picture.registration.good = true;
    picture.registration.scale_known = true;
    picture.registration.scale_from = "board.width";
    picture.remarks = {{"the top photo is dark", "use more light"}};
    return picture;
}

constexpr std::string_view square_dossier =
    "format = 1\n[item]\nname = \"squares\"\ninvented = true\n"
    "[[photos]]\nfile = \"photos/top.jpg\"\nside = \"top\"\n"
    "[parts.R1]\nkind = \"resistor\"\nvalue = \"1k\"\npads = { 1 = [1, 1], 2 = [3, 1] }\n"
    "[parts.R2]\nkind = \"resistor\"\nvalue = \"2k\"\npads = { 1 = [5, 1], 2 = [7, 1] }\n"
    "[parts.R3]\nkind = \"resistor\"\nvalue = \"3k\"\npads = { 1 = [1.2, 1.2], 2 = [7.9, 0.1] }\n"
    "[[continuity]]\nbetween = [\"R1.1\", \"R3.1\"]\nbeeps = false\n";

inline Copper square_copper() {
    const auto dossier = dossier::read(square_dossier, "dossier.toml", data().catalogue);
    Copper copper;
    copper.trace = std::make_shared<const copper::Trace>(
        copper::trace_from(square_picture(), square_islands(), {}, *dossier, data().catalogue));
    return copper;
}

// The whole study, nets and all.
inline Study square_study() {
    const auto dossier = dossier::read(square_dossier, "dossier.toml", data().catalogue);
    const Copper copper = square_copper();
    Study study = derive(copper::with_traced_nets(*dossier, *copper.trace), data());
    study.copper = copper;
    return study;
}

}  // namespace etchback::report
