#include "copper/eye/tracing.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <tuple>

#include "base/file.h"
#include "copper/detail/drill_table.h"
#include "copper/detail/part_bodies.h"
#include "copper/eye/detail/dossier_words.h"
#include "copper/eye/find_islands.h"
#include "copper/eye/surface.h"

namespace etchback::copper::eye {

using namespace detail;

struct Tracing::Ground {
    dossier::Dossier dossier;  // counted in pixels as the photos are worked on
    std::vector<OnBoard> photos;
    std::optional<Classifier> classifier;
    std::optional<BoardPicture> copper;  // copper pictures instead
    Raster raster;
    std::vector<PointedPad> pads;
    std::vector<Remark> remarks;
};

namespace {

// A board that has copper on one side only: the other shows parts, print and wires, and nothing
// there is to be taken for copper.
void leave_one_side(BoardPicture& picture) {
    if (!picture.top || !picture.bottom) {
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

}  // namespace

// Reads and lays straight; makes the ground of a tracing.
class Beginner {
public:
    Beginner(const dossier::Dossier& dossier,
             const std::filesystem::path& folder,
             const parts::Catalogue& catalogue,
             const std::vector<Photo>* read = nullptr)
        : ground_(std::make_shared<Tracing::Ground>()),
          folder_(folder),
          catalogue_(catalogue),
          read_(read) {
        ground_->dossier = dossier;
        chosen_ = chosen_photos(ground_->dossier);
    }

    base::Result<Tracing> begun() {
        if (chosen_.top == nullptr && chosen_.bottom == nullptr) {
            return base::Error{{},
                               "the dossier has no photo of a side of the board",
                               "add one: [[photos]] with file and side = \"top\" or \"bottom\""};
        }
        std::optional<Photo> top = read(chosen_.top);
        std::optional<Photo> bottom = read(chosen_.bottom);
        if (!errors_.empty()) {
            return errors_;
        }
        if (chosen_.copper ? !see_copper(top, bottom) : !see_photos(top, bottom)) {
            return errors_;
        }
        if (chosen_.copper) {
            ground_->raster = ground_->copper->raster;
        } else {
            const cv::Size above = top ? top->bgr.size() : cv::Size();
            const cv::Size below = bottom ? bottom->bgr.size() : cv::Size();
            top.reset();
            bottom.reset();
            lay(std::move(*straight_), above, below);
        }
        tell_what_is_passed_over();
        return traced();
    }

    Tracing begun(StraightBoard board, cv::Size top, cv::Size bottom) {
        lay(std::move(board), top, bottom);
        return traced();
    }

private:
    Tracing traced() {
        if (chosen_.copper) {
            point_at_pads();
        }
        const std::vector<dossier::Stroke> strokes = ground_->dossier.strokes;
        Tracing tracing(ground_);
        tracing.follow(strokes);
        return tracing;
    }

    void point_at_pads() {
        for (const OnBoard& photo : ground_->photos) {
            const auto pads = pads_on(ground_->dossier, photo);
            ground_->pads.insert(ground_->pads.end(), pads.begin(), pads.end());
        }
    }

    void lay(StraightBoard board, cv::Size top, cv::Size bottom) {
        ground_->raster = board.raster;
        for (const auto& [side, size, name] : {std::tuple(&board.top, top, Side::top),
                                               std::tuple(&board.bottom, bottom, Side::bottom)}) {
            if (*side) {
                const PhotoFit& fit = (*side)->fit;
                ground_->photos.push_back(
                    {fit.file, name, size, fit.px_per_mm, fit, is_turned(fit.file)});
            }
        }
        point_at_pads();
        ground_->classifier.emplace(std::move(board), parts());
    }

    bool is_turned(const std::string& file) const {
        return std::ranges::find(turned_, file) != turned_.end();
    }

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
            turned_.push_back(picture.file);
            mirror_pixels(ground_->dossier, photo->file.value, picture.bgr.cols);
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
            ground_->dossier,
            catalogue_,
            find_pads(ground_->dossier, catalogue_, ground_->pads, told_later));
    }

    bool see_photos(const std::optional<Photo>& top, const std::optional<Photo>& bottom) {
        base::Result<StraightBoard> straight = straighten(top, bottom, ground_->dossier);
        if (!straight) {
            errors_ = straight.errors();
            return false;
        }
        straight_ = std::move(*straight);
        return true;
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
            if (own == 0.0 && ground_->dossier.board.width) {
                own = (*photo)->bgr.cols / (1000.0 * ground_->dossier.board.width->value.value);
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
        const dossier::Text& file = ground_->dossier.board.holes;
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
        auto read = copper::detail::read_holes(base::read_file(folder_ / file.value), file.value);
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
        ground_->copper = std::move(*picture);
        for (const auto& [photo, side] :
             {std::pair(&top, Side::top), std::pair(&bottom, Side::bottom)}) {
            if (*photo) {
                ground_->photos.push_back({(*photo)->file,
                                           side,
                                           (*photo)->bgr.size(),
                                           *px_per_mm,
                                           {},
                                           is_turned((**photo).file)});
            }
        }
        if (ground_->dossier.board.holes.value.empty() && top && bottom) {
            ground_->copper->remarks.push_back(
                {"no table of holes is given: nothing joins the two sides",
                 "write the drilled holes into a table and name it: [board], holes = "
                 "\"holes.csv\""});
        }
        return true;
    }

    void tell_what_is_passed_over() {
        for (const std::string& file : chosen_.passed_over) {
            ground_->remarks.push_back(
                {fmt::format("{} is not used to follow the copper", file),
                 chosen_.copper && !is_used_twice()
                     ? "where there are copper pictures, they are used alone"
                     : "one picture of each side is used, the first: put the best one first"});
        }
    }

    bool is_used_twice() const {
        return std::ranges::count_if(ground_->dossier.photos, is_copper_picture) > 2;
    }

    std::shared_ptr<Tracing::Ground> ground_;
    const std::filesystem::path& folder_;
    const parts::Catalogue& catalogue_;
    const std::vector<Photo>* read_;
    Chosen chosen_;
    std::vector<std::string> turned_;  // files that are worked on as their mirror image
    base::Errors errors_;
    std::optional<StraightBoard> straight_;
};

base::Result<Tracing> Tracing::begin(const dossier::Dossier& dossier,
                                     const std::filesystem::path& folder,
                                     const parts::Catalogue& catalogue) {
    return Beginner(dossier, folder, catalogue).begun();
}

base::Result<Tracing> Tracing::begin(const dossier::Dossier& dossier,
                                     const std::vector<Photo>& photos,
                                     const parts::Catalogue& catalogue) {
    const std::filesystem::path none;
    return Beginner(dossier, none, catalogue, &photos).begun();
}

Tracing Tracing::begin(const dossier::Dossier& dossier,
                       StraightBoard board,
                       cv::Size top,
                       cv::Size bottom,
                       const parts::Catalogue& catalogue) {
    const std::filesystem::path none;
    return Beginner(dossier, none, catalogue).begun(std::move(board), top, bottom);
}

Tracing::Tracing(std::shared_ptr<const Ground> ground) : ground_(std::move(ground)) {}
Tracing::Tracing(const Tracing&) = default;
Tracing& Tracing::operator=(const Tracing&) = default;
Tracing::Tracing(Tracing&&) noexcept = default;
Tracing& Tracing::operator=(Tracing&&) noexcept = default;
Tracing::~Tracing() = default;

void Tracing::set_strokes(const std::vector<dossier::Stroke>& strokes) {
    std::vector<dossier::Stroke> turned = strokes;
    for (const OnBoard& photo : ground_->photos) {
        if (photo.mirrored) {
            mirror_strokes(turned, photo.file, photo.size.width);
        }
    }
    follow(turned);
}

void Tracing::follow(const std::vector<dossier::Stroke>& strokes) {
    std::vector<RasterStroke> on[2];
    for (const OnBoard& photo : ground_->photos) {
        on[photo.side == Side::top ? 0 : 1] = strokes_on(strokes, photo, ground_->raster);
    }
    if (ground_->classifier) {
        ground_->classifier->look(on[0], on[1], seen_, trace_.picture, glow_);
    } else {
        trace_.picture = *ground_->copper;
    }
    const auto& sides = ground_->dossier.board.sides;
    if (sides && sides->value == 1) {
        leave_one_side(trace_.picture);
        seen_.reset();  // the bare side was changed
    }
    trace_.pads = ground_->pads;
    trace_.picture.remarks.insert(
        trace_.picture.remarks.end(), ground_->remarks.begin(), ground_->remarks.end());
    find_islands(trace_.picture, on[0], on[1], glow_, found_, trace_.islands);
}

}  // namespace etchback::copper::eye
