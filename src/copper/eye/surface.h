// What lies at each pixel of a straightened side, learned from the photo itself and from strokes.
#pragma once

#include <memory>
#include <opencv2/core/mat.hpp>
#include <string>
#include <vector>

#include "copper/board_picture.h"
#include "copper/detail/part_bodies.h"
#include "copper/eye/registration.h"

namespace etchback::copper::eye {

namespace detail {
struct SideClasses;
}

// A stroke of the person, carried to the raster.
struct RasterStroke {
    enum class Says : std::uint8_t {
        copper,  // masked or bare
        bare_copper,
        masked_copper,
        laminate,
        hole,
        legend,
        body,
        background,
        no_copper,
        cut,
        bridge,
        hidden_copper,  // from where the line leaves copper to where it meets some again
        plated_hole,    // at each point; joins both sides
        goes_on,        // copper at every doubtful place that the line passes
        stops           // none there
    };
    Says says = Says::copper;
    std::vector<cv::Point2f> along;  // raster pixels; one point is a dot
    float width_px = 3.0F;

    bool operator==(const RasterStroke&) const = default;
};

// Of each side's copper, what shines through to the other face: tenths of log odds that there is
// copper, at each pixel of the raster; 0: nothing is told. Empty: nothing shines through.
struct Glow {
    std::vector<std::int8_t> of[2];
};

// Keeps what does not depend on strokes, so that one stroke more costs little.
class Classifier {
public:
    // `parts`: where parts are known to stand. Below their bodies nothing is seen.
    explicit Classifier(StraightBoard board, std::vector<copper::detail::PlacedPart> parts = {});
    Classifier(Classifier&&) noexcept;
    Classifier& operator=(Classifier&&) noexcept;
    ~Classifier();

    // What was seen with some strokes: a side whose strokes are the same again is not looked at
    // again.
    class Seen;

    // See classify().
    BoardPicture picture(const std::vector<RasterStroke>& top,
                         const std::vector<RasterStroke>& bottom) const;
    // The same into `picture`, which `seen` belongs to. `seen` is made where there is none.
    void look(const std::vector<RasterStroke>& top,
              const std::vector<RasterStroke>& bottom,
              std::shared_ptr<const Seen>& seen,
              BoardPicture& picture,
              Glow& glow) const;

private:
    struct Memory;
    void look_at(Side side,
                 const std::vector<RasterStroke>& strokes,
                 detail::SideClasses& classes,
                 std::optional<SidePicture>& shown) const;
    std::unique_ptr<Memory> memory_;
};

// Fills surface, copper and trusted of both sides; marks holes plated where their rim says so.
// Strokes of one side only teach that side. Deterministic.
BoardPicture classify(const StraightBoard& board,
                      const std::vector<RasterStroke>& top,
                      const std::vector<RasterStroke>& bottom,
                      const std::vector<copper::detail::PlacedPart>& parts = {});

// A copper picture that is already separated: white (above half) is copper. One raster for both.
base::Result<BoardPicture> separated(const std::optional<Photo>& top,
                                     const std::optional<Photo>& bottom,
                                     double px_per_mm,
                                     std::vector<Hole> holes);

}  // namespace etchback::copper::eye
