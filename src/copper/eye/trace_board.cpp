#include "copper/eye/trace_board.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "base/file.h"
#include "copper/detail/drill_table.h"
#include "copper/detail/part_bodies.h"
#include "copper/eye/find_islands.h"
#include "copper/eye/photo.h"
#include "copper/eye/registration.h"
#include "copper/eye/surface.h"

namespace etchback::copper::eye {

namespace {

using Says = RasterStroke::Says;

Says says_of(const std::string& word) {
    static const std::vector<std::pair<std::string_view, Says>> words = {
        {"copper", Says::copper},
        {"bare copper", Says::bare_copper},
        {"masked copper", Says::masked_copper},
        {"laminate", Says::laminate},
        {"no copper", Says::no_copper},
        {"hole", Says::hole},
        {"legend", Says::legend},
        {"body", Says::body},
        {"background", Says::background},
        {"cut", Says::cut},
        {"bridge", Says::bridge}};
    const auto found = std::ranges::find(words, word, &std::pair<std::string_view, Says>::first);
    return found == words.end() ? Says::copper : found->second;
}

bool is_copper_picture(const dossier::Photo& photo) {
    return photo.shows.value == "copper";
}

// The picture of each side that is used.
struct Chosen {
    const dossier::Photo* top = nullptr;
    const dossier::Photo* bottom = nullptr;
    std::vector<std::string> passed_over;
    bool copper = false;
};

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

// Which way round a picture is meant to be worked on: a photograph as one looks at the side, copper
// alone as seen from the top.
bool is_mirrored(const dossier::Photo& photo) {
    if (photo.seen_from.value.empty()) {
        return false;
    }
    const std::string& wanted = is_copper_picture(photo) ? "top" : photo.side.value;
    return photo.seen_from.value != wanted;
}

// All that the dossier counts in pixels of a photo, counted in its mirror image instead.
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
    for (dossier::Stroke& stroke : dossier.strokes) {
        if (stroke.photo.value == file) {
            for (auto& [x, y] : stroke.along) {
                mirror(x);
            }
        }
    }
    for (dossier::Part& part : dossier.parts) {
        if (part.pads_on.value == file) {
            for (dossier::PadPlace& pad : part.pads) {
                mirror(pad.x);
            }
        }
    }
}

// How pixels of a picture lie on the board.
struct OnBoard {
    std::string file;
    Side side = Side::top;
    cv::Size size;
    double px_per_mm = 0.0;
    std::optional<PhotoFit> fit;  // none: a copper picture, which is straight

    Point board(double x, double y) const {
        return fit ? board_point(*fit, size, {x, y})
                   : Point{(x + 0.5) / px_per_mm, (y + 0.5) / px_per_mm};
    }
};

cv::Point2f raster_pixel(const Raster& raster, Point at) {
    return {static_cast<float>((at.x_mm - raster.origin.x_mm) * raster.px_per_mm - 0.5),
            static_cast<float>((at.y_mm - raster.origin.y_mm) * raster.px_per_mm - 0.5)};
}

std::vector<RasterStroke> strokes_on(const dossier::Dossier& dossier,
                                     const OnBoard& photo,
                                     const Raster& raster) {
    constexpr double usual_share_of_diagonal = 0.003;
    const double diagonal = std::hypot(photo.size.width, photo.size.height);
    std::vector<RasterStroke> strokes;
    for (const dossier::Stroke& stroke : dossier.strokes) {
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

class Tracer {
public:
    Tracer(const dossier::Dossier& dossier,
           const std::filesystem::path& folder,
           const parts::Catalogue& catalogue,
           const std::vector<Photo>* read = nullptr)
        : dossier_(dossier),
          folder_(folder),
          catalogue_(catalogue),
          read_(read),
          chosen_(chosen_photos(dossier_)) {}

    base::Result<BoardTrace> traced() {
        if (chosen_.top == nullptr && chosen_.bottom == nullptr) {
            return base::Error{{},
                               "the dossier has no photo of a side of the board",
                               "add one: [[photos]] with file and side = \"top\" or \"bottom\""};
        }
        const std::optional<Photo> top = read(chosen_.top);
        const std::optional<Photo> bottom = read(chosen_.bottom);
        if (!errors_.empty()) {
            return errors_;
        }
        const bool seen = chosen_.copper ? see_copper(top, bottom) : see_photos(top, bottom);
        if (!seen) {
            return errors_;
        }
        std::vector<RasterStroke> strokes[2];
        for (const OnBoard& photo : photos_) {
            strokes[photo.side == Side::top ? 0 : 1] =
                strokes_on(dossier_, photo, traced_.picture.raster);
            const auto pads = pads_on(dossier_, photo);
            traced_.pads.insert(traced_.pads.end(), pads.begin(), pads.end());
        }
        if (straight_) {
            traced_.picture = classify(*straight_, strokes[0], strokes[1], parts());
            straight_.reset();
        }
        leave_one_side();
        traced_.islands = find_islands(traced_.picture, strokes[0], strokes[1]);
        tell_what_is_passed_over();
        return std::move(traced_);
    }

private:
    std::optional<Photo> read(const dossier::Photo* photo) {
        if (photo == nullptr) {
            return std::nullopt;
        }
        base::Result<Photo> result = read_anew(*photo);
        if (!result) {
            errors_.insert(errors_.end(), result.errors().begin(), result.errors().end());
            return std::nullopt;
        }
        Photo picture = std::move(*result);
        picture.file = photo->file.value;
        if (is_mirrored(*photo)) {
            cv::flip(picture.bgr, picture.bgr, 1);
            mirror_pixels(dossier_, photo->file.value, picture.bgr.cols);
        }
        return picture;
    }

    base::Result<Photo> read_anew(const dossier::Photo& photo) const {
        if (read_ != nullptr) {
            const auto found = std::ranges::find(*read_, photo.file.value, &Photo::file);
            if (found != read_->end()) {
                // Not the given pixels themselves, which may be turned.
                return Photo{found->file, found->bgr.clone()};
            }
        }
        return read_photo((folder_ / photo.file.value).string(), photo.file.place);
    }

    // What the dossier says of the places of parts.
    std::vector<copper::detail::PlacedPart> parts() const {
        std::vector<Remark> told_later;
        return copper::detail::placed_parts(
            dossier_, catalogue_, find_pads(dossier_, catalogue_, traced_.pads, told_later));
    }

    bool see_photos(const std::optional<Photo>& top, const std::optional<Photo>& bottom) {
        base::Result<StraightBoard> straight = straighten(top, bottom, dossier_);
        if (!straight) {
            errors_ = straight.errors();
            return false;
        }
        straight_ = std::move(*straight);
        traced_.picture.raster = straight_->raster;
        for (const auto& [side, photo, name] :
             {std::tuple(&straight_->top, &top, Side::top),
              std::tuple(&straight_->bottom, &bottom, Side::bottom)}) {
            if (*side && *photo) {
                photos_.push_back({(*photo)->file,
                                   name,
                                   (*photo)->bgr.size(),
                                   (*side)->fit.px_per_mm,
                                   (*side)->fit});
            }
        }
        return true;
    }

    // A board that has copper on one side only: the other shows parts, print and wires, and nothing
    // there is to be taken for copper.
    void leave_one_side() {
        BoardPicture& picture = traced_.picture;
        const bool one = dossier_.board.sides && dossier_.board.sides->value == 1;
        if (!one || !picture.top || !picture.bottom) {
            return;
        }
        const auto seen = [](const SidePicture& side) {
            double sum = 0.0;
            for (const std::uint8_t copper : side.copper) {
                sum += copper;
            }
            return sum;
        };
        const bool bare_top = picture.top->trusted != picture.bottom->trusted
                                  ? !picture.top->trusted
                                  : seen(*picture.top) <= seen(*picture.bottom);
        SidePicture& bare = bare_top ? *picture.top : *picture.bottom;
        std::ranges::fill(bare.copper, std::uint8_t{0});
        for (Surface& surface : bare.surface) {
            if (surface == Surface::masked_copper || surface == Surface::bare_copper) {
                surface = Surface::laminate;
            }
        }
        bare.trusted = true;
    }

    // The scale that the pictures say, or that of the board's width.
    std::optional<double> scale(const std::optional<Photo>& top,
                                const std::optional<Photo>& bottom) {
        std::optional<double> found;
        for (const auto& [photo, said] :
             {std::pair(&top, chosen_.top), std::pair(&bottom, chosen_.bottom)}) {
            if (!*photo) {
                continue;
            }
            double own = said->px_per_mm ? said->px_per_mm->value : 0.0;
            if (own == 0.0 && dossier_.board.width) {
                own = (*photo)->bgr.cols / (1000.0 * dossier_.board.width->value.value);
            }
            if (own == 0.0) {
                errors_.push_back({said->file.place,
                                   fmt::format("the scale of {} is not known", said->file.value),
                                   "write px_per_mm at the photo, or the board's width"});
            } else if (found && std::abs(*found - own) > 1e-3 * own) {
                errors_.push_back(
                    {said->px_per_mm ? said->px_per_mm->place : said->file.place,
                     fmt::format(
                         "the two copper pictures have {:g} and {:g} pixels per mm", *found, own),
                     "bring them to one scale and one size first"});
            } else {
                found = own;
            }
        }
        return errors_.empty() ? found : std::nullopt;
    }

    std::vector<Hole> holes() {
        const dossier::Text& file = dossier_.board.holes;
        if (file.value.empty()) {
            return {};
        }
        std::error_code none;
        if (!std::filesystem::is_regular_file(folder_ / file.value, none)) {
            errors_.push_back({file.place,
                               fmt::format("board, holes: the file '{}' is not there", file.value),
                               "copy it into the dossier's folder, or mend its name"});
            return {};
        }
        auto read = detail::read_holes(base::read_file(folder_ / file.value), file.value);
        if (!read) {
            errors_ = read.errors();
            return {};
        }
        return std::move(*read);
    }

    bool see_copper(const std::optional<Photo>& top, const std::optional<Photo>& bottom) {
        const std::optional<double> px_per_mm = scale(top, bottom);
        std::vector<Hole> drilled = holes();
        if (!px_per_mm || !errors_.empty()) {
            return false;
        }
        base::Result<BoardPicture> picture = separated(top, bottom, *px_per_mm, std::move(drilled));
        if (!picture) {
            errors_ = picture.errors();
            return false;
        }
        traced_.picture = std::move(*picture);
        for (const auto& [photo, side] :
             {std::pair(&top, Side::top), std::pair(&bottom, Side::bottom)}) {
            if (*photo) {
                photos_.push_back({(*photo)->file, side, (*photo)->bgr.size(), *px_per_mm, {}});
            }
        }
        if (dossier_.board.holes.value.empty() && top && bottom) {
            traced_.picture.remarks.push_back(
                {"no table of holes is given: nothing joins the two sides",
                 "write the drilled holes into a table and name it: [board], holes = "
                 "\"holes.csv\""});
        }
        return true;
    }

    void tell_what_is_passed_over() {
        for (const std::string& file : chosen_.passed_over) {
            traced_.picture.remarks.push_back(
                {fmt::format("{} is not used to follow the copper", file),
                 chosen_.copper && !is_used_twice()
                     ? "where there are copper pictures, they are used alone"
                     : "one picture of each side is used, the first: put the best one first"});
        }
    }

    bool is_used_twice() const {
        return std::ranges::count_if(dossier_.photos, is_copper_picture) > 2;
    }

    dossier::Dossier dossier_;
    const std::filesystem::path& folder_;
    const parts::Catalogue& catalogue_;
    const std::vector<Photo>* read_;
    Chosen chosen_;
    base::Errors errors_;
    std::optional<StraightBoard> straight_;
    std::vector<OnBoard> photos_;
    BoardTrace traced_;
};

}  // namespace

base::Result<BoardTrace> trace_board(const dossier::Dossier& dossier,
                                     const std::filesystem::path& folder,
                                     const parts::Catalogue& catalogue) {
    return Tracer(dossier, folder, catalogue).traced();
}

base::Result<BoardTrace> trace_photos(const dossier::Dossier& dossier,
                                      const std::vector<Photo>& photos,
                                      const parts::Catalogue& catalogue) {
    const std::filesystem::path none;
    return Tracer(dossier, none, catalogue, &photos).traced();
}

}  // namespace etchback::copper::eye
