#include "drawing/detail/frames.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>

#include "drawing/detail/label_room.h"
#include "drawing/detail/taken.h"

namespace etchback::drawing::detail {

namespace {

// From what is framed to the frame, and from the frame to what is not framed; the second where the
// first leaves parts outside.
struct Air {
    double inner, outer;
};
constexpr std::array<Air, 2> airs{{{0.7, 0.3}, {0.3, 0.1}}};
constexpr double frames_air = 0.5;  // between frames
constexpr double along_wire = 0.3;  // nearer, a line of a frame looks like one with the wire
constexpr double farthest = 3.0;    // that a side moves outwards
constexpr double nudge = 0.25;
constexpr double name_size = 0.8;
constexpr double name_air = 0.25;

// A heap of parts of one block.
struct Heap {
    Box box;
    int parts = 1;
};

Box whole_part(const Drawing& drawing, const PlacedPart& part) {
    Box box = moved(part.symbol.box, part.at);
    for (const Label& label : drawing.labels) {
        const bool mine = label.of == Label::Of::part_name || label.of == Label::Of::part_value;
        if (mine && label.index == part.part.index) {
            box = joined(box, label.box);
        }
    }
    return box;
}

bool overlaps_any(const Box& box, const std::vector<Box>& others) {
    return std::any_of(
        others.begin(), others.end(), [&](const Box& other) { return other.overlaps(box); });
}

// The four lines of a frame, a little wide.
std::array<Box, 4> lines_of(const Box& b, double wide) {
    return {grown({b.left, b.top, b.right, b.top}, wide),
            grown({b.left, b.bottom, b.right, b.bottom}, wide),
            grown({b.left, b.top, b.left, b.bottom}, wide),
            grown({b.right, b.top, b.right, b.bottom}, wide)};
}

// Frames of one drawing.
class Framing {
public:
    explicit Framing(const Drawing& drawing) : drawing_(drawing), taken_(taken_by(drawing)) {
        for (const PlacedPart& part : drawing.parts) {
            solid_.push_back(moved(part.symbol.box, part.at));
        }
        for (const Label& label : drawing.labels) {
            solid_.push_back(label.box);
        }
        for (const NetSign& sign : drawing.signs) {
            solid_.push_back(sign.box);
        }
        for (const IsolationLine& line : drawing.isolation) {
            solid_.push_back(label_of(line).box);
        }
    }

    void add(const Frame& asked) {
        std::vector<Heap> heaps = heaps_of(asked, airs[0]);
        if (heaps.size() > 1) {
            auto closer = heaps_of(asked, airs[1]);
            if (closer.size() < heaps.size()) {
                heaps = std::move(closer);
            }
        }
        for (const Heap& heap : heaps) {
            const std::optional<Box> box = heap.parts > 1 ? fitted(heap.box) : std::nullopt;
            const auto in_its_way = [&](const Heap& other) {
                return &other != &heap && other.box.overlaps(*box);
            };
            if (!box || overlaps_any(grown(*box, frames_air), boxes_) ||
                overlaps_any(*box, others_) ||
                std::any_of(heaps.begin(), heaps.end(), in_its_way)) {
                continue;
            }
            if (const auto name = name_of(asked.name, *box)) {
                boxes_.push_back(*box);
                names_.push_back(name->box());
                frames_.push_back({{*box}, *name});
            }
        }
    }

    std::vector<BlockFrame> take() { return std::move(frames_); }

private:
    // Boxes are joined as long as no other part gets between them.
    std::vector<Heap> heaps_of(const Frame& asked, const Air& air) {
        std::vector<Heap> heaps;
        others_.clear();
        for (const PlacedPart& part : drawing_.parts) {
            const bool inside =
                std::find(asked.parts.begin(), asked.parts.end(), part.part) != asked.parts.end();
            const Box box = whole_part(drawing_, part);
            if (inside) {
                heaps.push_back({grown(box, air.inner)});
            } else {
                others_.push_back(grown(box, air.outer));
            }
        }
        for (bool changed = true; changed;) {
            changed = false;
            for (std::size_t i = 0; i < heaps.size() && !changed; ++i) {
                for (std::size_t j = i + 1; j < heaps.size() && !changed; ++j) {
                    const Box both = joined(heaps[i].box, heaps[j].box);
                    if (!overlaps_any(both, others_)) {
                        heaps[i] = {both, heaps[i].parts + heaps[j].parts};
                        heaps.erase(heaps.begin() + static_cast<std::ptrdiff_t>(j));
                        changed = true;
                    }
                }
            }
        }
        return heaps;
    }

    bool is_clear(const Box& line, bool level) const {
        return !overlaps_any(line, solid_) &&
               std::none_of(drawing_.wires.begin(), drawing_.wires.end(), [&](const Wire& wire) {
                   return std::any_of(
                       wire.segments.begin(), wire.segments.end(), [&](const Segment& s) {
                           return (s.a.y == s.b.y) == level &&
                                  grown(box_of(s), along_wire).overlaps(line);
                       });
               });
    }

    // Each side moves outwards until its line is clear.
    std::optional<Box> fitted(Box box) const {
        struct Side {
            double Box::*edge;
            double out;
        };
        constexpr std::array<Side, 4> sides{{{&Box::top, -nudge},
                                             {&Box::bottom, nudge},
                                             {&Box::left, -nudge},
                                             {&Box::right, nudge}}};
        for (int round = 0; round < 3; ++round) {
            bool all_clear = true;
            for (std::size_t i = 0; i < sides.size(); ++i) {
                const double limit = std::abs(farthest / nudge);
                int steps = 0;
                while (!is_clear(lines_of(box, 0.1)[i], i < 2) && steps++ < limit) {
                    box.*sides[i].edge += sides[i].out;
                    all_clear = false;
                }
                if (steps > limit) {
                    return std::nullopt;
                }
            }
            if (all_clear) {
                return box;
            }
        }
        return std::nullopt;
    }

    // Along its upper or lower edge, within the frame if there is room, else right outside.
    std::optional<SheetText> name_of(const std::string& name, const Box& box) const {
        SheetText text{name, {}, Word::Anchor::start, name_size, SheetText::Look::block};
        const double width = text_width(name, name_size);
        const double inset = 0.35;
        for (const double y : {box.top + text_ascent * name_size + inset,
                               box.bottom - text_descent * name_size - inset,
                               box.top - text_descent * name_size - inset,
                               box.bottom + text_ascent * name_size + inset}) {
            const double last = std::max(box.left + inset, box.right - width - inset);
            for (double x = box.left + inset; x <= last; x += 0.5) {
                text.at = {x, y};
                const Box wide = grown(text.box(), name_air);
                if (is_free(text.box(), taken_) && !overlaps_any(wide, boxes_) &&
                    !overlaps_any(wide, names_) && off_own_frame(text.box(), box)) {
                    return text;
                }
            }
        }
        return std::nullopt;
    }

    static bool off_own_frame(const Box& text, const Box& box) {
        const auto lines = lines_of(box, 0.1);
        return std::none_of(
            lines.begin(), lines.end(), [&](const Box& line) { return line.overlaps(text); });
    }

    const Drawing& drawing_;
    std::vector<Taken> taken_;
    std::vector<Box> solid_;   // what no line of a frame runs through
    std::vector<Box> others_;  // parts beside the block that is being framed
    std::vector<Box> boxes_, names_;
    std::vector<BlockFrame> frames_;
};

}  // namespace

std::vector<BlockFrame> frames_of(const Drawing& drawing, const std::vector<Frame>& asked) {
    Framing framing(drawing);
    for (const Frame& frame : asked) {
        framing.add(frame);
    }
    return framing.take();
}

}  // namespace etchback::drawing::detail
