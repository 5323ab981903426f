// A person who corrects with a pen what was read from the photos of an invented board, as in life:
// lays the nets over the photo, draws the stroke that mends most, looks again, and goes on, at most
// six strokes a side. A stroke after which nothing is better is taken back.
//
// What they may know:
// - Copper and board where the photo shows them: no part or wire covers the place, and copper and
//   board about it differ by more than the eye needs (`least_contrast`). Print and soft or hard
//   shadows hide nothing from a person as long as that holds.
// - Where pins of parts stand (the dossier says so), and which pins the program joins.
// - Below a part: that a track goes on straight where its two ends face each other and no other
//   end there fits about as well, that one ends at a pin near by that it is aimed at, and that a
//   wide area goes on behind a wire. Nothing else of what no camera shows. This rule looks only at
//   ends as they are seen; what it concludes wrongly (a quarter of all) is counted as
//   `concluded_wrongly` and not drawn, which is kinder than life.
// - Whether a stroke did good: the nets over the photo show it. This is judged by the pairs of pins
//   that are wrong, more than a person can know where the error lies elsewhere than the stroke.
//
// With ETCHBACK_BOARD_IN_HAND they know all copper of both sides: they look below the parts from
// aside, hold the board against a light, lift a part, and only then draw.
//
// They draw:
// - `copper` along what was parted, from piece to piece and to plated holes;
// - `cut` between two nets where board was taken for copper, from one such place to the next, also
//   across a wide area of copper from one gap to another: such a slit parts nothing;
// - `goes on` and `stops` over all places in doubt at which they know that copper does, around
//   those at which it does not, marked or not;
// - `hidden copper` from net to net below parts and print and over places in doubt, one after the
//   other;
// - `plated hole` at all holes that join what was not read as one.
// Each is one line of at most 300 mm, a `cut` about one net 100 mm; copper is followed to its end.
// Where the program says that the sides do not lie well on each other, they first do what it asks
// for, and give points (see with_points).
//
// They know how much each stroke mended: first they draw what mends much, what parts before what
// joins, and in the end draw one that mends more instead of one that mended little. Whoever asks
// them may let them start over and follow what is hidden in another manner.
//
// The hand is off by 0.07 mm (standard deviation), never by more than 0.2 mm.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "tracing/invented_board.h"

namespace etchback::tracing {

class DrawingPerson {
public:
    static constexpr int strokes_a_side = 6;

    // How they follow copper below parts: whenever that mends most, when nothing else is left, or
    // below covers alone, so that places in doubt are left to `goes on`.
    enum class Hidden { as_it_mends, last, below_covers };

    // `first`: as it was read without a stroke.
    DrawingPerson(const InventedBoard& board, const TracedBoard& first, Hidden hidden);
    DrawingPerson(DrawingPerson&&) noexcept;
    ~DrawingPerson();

    // The stroke that would mend most of what is wrong now, on a side that has fewer than six.
    // Nothing: no stroke is seen that would mend something.
    // `go_on`: only one that goes on with the last, a cut that did no good alone.
    std::optional<dossier::Stroke> next(const TracedBoard& now, bool go_on = false);

    // A stroke that mends more than one of those that were kept, on a side that has all its
    // strokes: drawn instead of that one, whose index is `of`. Nothing: no such stroke is seen.
    struct Exchange {
        dossier::Stroke stroke;
        std::size_t of = 0;
    };
    std::optional<Exchange> instead(const TracedBoard& now);

    // The last one, or the last two together, mended so many pairs.
    void keep(int pairs);
    // The stroke at an index is no more.
    void drop(std::size_t index);

    // The last one did no good, or too little.
    void take_back();

    // What was taken back may be drawn again.
    void think_again();

    struct Counts {
        int kept = 0;
        int taken_back = 0;
        int concluded_rightly = 0;  // ends below parts
        int concluded_wrongly = 0;
        double length_mm = 0.0;  // of kept strokes
    };
    const Counts& counts() const;
    // What the last stroke was meant to do, for whoever looks into it.
    const std::string& meant() const;

private:
    class Mind;
    std::unique_ptr<Mind> mind_;
};

}  // namespace etchback::tracing
