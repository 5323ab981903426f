#include "copper/eye/detail/dossier_words.h"

#include <algorithm>
#include <cmath>

#include "copper/eye/registration.h"

namespace etchback::copper::eye::detail {

namespace {

using Says = RasterStroke::Says;

Says says_of(const std::string& word) {
    static const std::vector<std::pair<std::string_view, Says>> words = {
        {"copper", Says::copper},
        {"bare copper", Says::bare_copper},
        {"masked copper", Says::masked_copper},
        {"hidden copper", Says::hidden_copper},
        {"laminate", Says::laminate},
        {"no copper", Says::no_copper},
        {"hole", Says::hole},
        {"plated hole", Says::plated_hole},
        {"legend", Says::legend},
        {"body", Says::body},
        {"background", Says::background},
        {"cut", Says::cut},
        {"bridge", Says::bridge},
        {"goes on", Says::goes_on},
        {"stops", Says::stops}};
    const auto found = std::ranges::find(words, word, &std::pair<std::string_view, Says>::first);
    return found == words.end() ? Says::copper : found->second;
}

}  // namespace

bool is_copper_picture(const dossier::Photo& photo) {
    return photo.shows.value == "copper";
}

Chosen chosen_photos(const dossier::Dossier& dossier) {
    Chosen chosen;
    chosen.copper = std::ranges::any_of(dossier.photos, is_copper_picture);
    for (const dossier::Photo& photo : dossier.photos) {
        const bool is_top = photo.side.value == "top";
        if (!is_top && photo.side.value != "bottom") {
            continue;
        }
        const dossier::Photo*& place = is_top ? chosen.top : chosen.bottom;
        if (is_copper_picture(photo) == chosen.copper && place == nullptr) {
            place = &photo;
        } else {
            chosen.passed_over.push_back(photo.file.value);
        }
    }
    return chosen;
}

bool is_mirrored(const dossier::Photo& photo) {
    if (photo.seen_from.value.empty()) {
        return false;
    }
    const std::string& wanted = is_copper_picture(photo) ? "top" : photo.side.value;
    return photo.seen_from.value != wanted;
}

void mirror_pixels(dossier::Dossier& dossier, const std::string& file, int width) {
    const auto mirror = [&](double& x) { x = width - 1 - x; };
    for (dossier::Photo& photo : dossier.photos) {
        if (photo.file.value == file) {
            for (dossier::PhotoPoint& point : photo.points) {
                mirror(point.x_px);
            }
        }
    }
    for (dossier::KnownLength& length : dossier.board.lengths) {
        if (length.photo.value == file) {
            mirror(length.from_x_px);
            mirror(length.to_x_px);
        }
    }
    mirror_strokes(dossier.strokes, file, width);
    for (dossier::Part& part : dossier.parts) {
        if (part.pads_on.value == file) {
            for (dossier::PadPlace& pad : part.pads) {
                mirror(pad.x);
            }
        }
    }
}

void mirror_strokes(std::vector<dossier::Stroke>& strokes, const std::string& file, int width) {
    for (dossier::Stroke& stroke : strokes) {
        if (stroke.photo.value == file) {
            for (auto& [x, y] : stroke.along) {
                x = width - 1 - x;
            }
        }
    }
}

Point OnBoard::board(double x, double y) const {
    return fit ? board_point(*fit, size, {x, y})
               : Point{(x + 0.5) / px_per_mm, (y + 0.5) / px_per_mm};
}

namespace {

cv::Point2f raster_pixel(const Raster& raster, Point at) {
    return {static_cast<float>((at.x_mm - raster.origin.x_mm) * raster.px_per_mm - 0.5),
            static_cast<float>((at.y_mm - raster.origin.y_mm) * raster.px_per_mm - 0.5)};
}

}  // namespace

std::vector<RasterStroke> strokes_on(const std::vector<dossier::Stroke>& all,
                                     const OnBoard& photo,
                                     const Raster& raster) {
    constexpr double usual_share_of_diagonal = 0.003;
    const double diagonal = std::hypot(photo.size.width, photo.size.height);
    std::vector<RasterStroke> strokes;
    for (const dossier::Stroke& stroke : all) {
        if (stroke.photo.value != photo.file) {
            continue;
        }
        RasterStroke on;
        on.says = says_of(stroke.says.value);
        for (const auto& [x, y] : stroke.along) {
            on.along.push_back(raster_pixel(raster, photo.board(x, y)));
        }
        const double width =
            stroke.width_px > 0 ? stroke.width_px : usual_share_of_diagonal * diagonal;
        on.width_px = static_cast<float>(std::max(1.0, width * raster.px_per_mm / photo.px_per_mm));
        strokes.push_back(std::move(on));
    }
    return strokes;
}

std::vector<PointedPad> pads_on(const dossier::Dossier& dossier, const OnBoard& photo) {
    std::vector<PointedPad> pads;
    for (const dossier::Part& part : dossier.parts) {
        if (part.pads_on.value == photo.file) {
            for (const dossier::PadPlace& pad : part.pads) {
                pads.push_back({part.name, pad.pin, photo.board(pad.x, pad.y), photo.side});
            }
        }
    }
    return pads;
}

}  // namespace etchback::copper::eye::detail
