// What a dossier says in pixels of its photos, carried to the board.
#pragma once

#include <opencv2/core.hpp>
#include <optional>
#include <string>
#include <vector>

#include "copper/board_picture.h"
#include "copper/eye/surface.h"
#include "copper/trace.h"
#include "dossier/dossier.h"

namespace etchback::copper::eye::detail {

bool is_copper_picture(const dossier::Photo& photo);

// The picture of each side that is used.
struct Chosen {
    const dossier::Photo* top = nullptr;
    const dossier::Photo* bottom = nullptr;
    std::vector<std::string> passed_over;
    bool copper = false;
};

Chosen chosen_photos(const dossier::Dossier& dossier);

// Which way round a picture is meant to be worked on: a photograph as one looks at the side, copper
// alone as seen from the top.
bool is_mirrored(const dossier::Photo& photo);

// All that the dossier counts in pixels of a photo, counted in its mirror image instead.
void mirror_pixels(dossier::Dossier& dossier, const std::string& file, int width);
void mirror_strokes(std::vector<dossier::Stroke>& strokes, const std::string& file, int width);

// How pixels of a picture lie on the board.
struct OnBoard {
    std::string file;
    Side side = Side::top;
    cv::Size size;
    double px_per_mm = 0.0;
    std::optional<PhotoFit> fit;  // none: a copper picture, which is straight
    bool mirrored = false;        // the file shows the mirror image

    Point board(double x, double y) const;
};

std::vector<RasterStroke> strokes_on(const std::vector<dossier::Stroke>& all,
                                     const OnBoard& photo,
                                     const Raster& raster);

std::vector<PointedPad> pads_on(const dossier::Dossier& dossier, const OnBoard& photo);

}  // namespace etchback::copper::eye::detail
