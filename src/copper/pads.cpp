// The pads of all parts: given ones as they are, the rest as the body has its pins.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/text.h"
#include "copper/detail/footprint.h"
#include "copper/detail/part_bodies.h"
#include "copper/detail/part_pins.h"
#include "copper/trace.h"

namespace etchback::copper {

namespace {

using detail::Footprint;
using detail::KnownPin;

constexpr double largest_misfit_mm = 0.4;

struct GivenPad {
    std::string pin;
    Point at;
    std::optional<Side> photo;  // pointed at on it
};

class PadFinder {
public:
    PadFinder(const dossier::Dossier& dossier,
              const parts::Catalogue& catalogue,
              const std::vector<PointedPad>& pointed,
              std::vector<Remark>& remarks)
        : dossier_(dossier), catalogue_(catalogue), pointed_(pointed), remarks_(remarks) {}

    std::vector<Pad> found() {
        for (const dossier::Part& part : dossier_.parts) {
            look_at(part);
        }
        if (!nowhere_.empty()) {
            remarks_.push_back(
                {fmt::format("{} {} on the board: nothing is told of the nets of {}",
                             base::listed(nowhere_),
                             nowhere_.size() == 1 ? "has no place" : "have no place",
                             nowhere_.size() == 1 ? "its pins" : "their pins"),
                 "write where the pins are soldered: pads = { 1 = [812, 430], 2 = [866, 431] } "
                 "and pads_on, the photo whose pixels these are"});
        }
        return std::move(pads_);
    }

private:
    std::vector<GivenPad> given(const dossier::Part& part) const {
        std::vector<GivenPad> all;
        if (part.pads_on.value.empty()) {
            for (const dossier::PadPlace& pad : part.pads) {
                all.push_back({pad.pin, {pad.x, pad.y}, {}});
            }
            return all;
        }
        for (const PointedPad& pad : pointed_) {
            if (pad.part == part.name) {
                all.push_back({pad.pin, pad.at, pad.side});
            }
        }
        return all;
    }

    const parts::Body* body_of(const dossier::Part& part, const parts::Kind* kind) const {
        return part.body.value.empty()
                   ? nullptr
                   : catalogue_.body(part.body.value, kind != nullptr ? kind->family : "");
    }

    // On which side the part's pads lie: through the board where the body says so, else where the
    // position or the photo has them; without any of these on the top, as positions usually are.
    std::optional<Side> side_of(const dossier::Part& part,
                                const parts::Body* body,
                                const std::vector<GivenPad>& pads) const {
        if (body != nullptr && body->through_hole) {
            return std::nullopt;
        }
        // What is pointed at on the solder side and has no body that is known to lie flat there has
        // its pins through the board: joints are on the other side than parts.
        const bool of_joints = !part.body.value.empty() && !part.position &&
                               detail::body_row(part, catalogue_) == nullptr && !pads.empty() &&
                               pads.front().photo == Side::bottom;
        if (of_joints) {
            return std::nullopt;
        }
        if (part.position) {
            return part.position->bottom ? Side::bottom : Side::top;
        }
        return !pads.empty() && pads.front().photo ? *pads.front().photo : Side::top;
    }

    void look_at(const dossier::Part& part) {
        const parts::Kind* kind = catalogue_.find(part.kind.value);
        const std::vector<GivenPad> pads = given(part);
        if (pads.empty() && !part.position) {
            if (kind == nullptr || !kind->off_board) {
                nowhere_.push_back(part.name);
            }
            return;
        }
        const parts::Body* body = body_of(part, kind);
        const std::optional<Side> side = side_of(part, body, pads);
        for (const GivenPad& pad : pads) {
            pads_.push_back(
                {part.name, detail::as_in_pins(part, kind, pad.pin), pad.at, side, false});
        }
        const std::optional<Footprint> footprint =
            body == nullptr ? std::nullopt : detail::footprint_of(*body);
        if (footprint) {
            place_rest(part, kind, *footprint, pads, side);
        } else if (pads.empty()) {
            remarks_.push_back(
                {fmt::format("{} has a position, but its body does not tell where its pins are",
                             part.name),
                 "write its pads, or a body that is known (body = \"SOT-23\")"});
        }
    }

    void place_rest(const dossier::Part& part,
                    const parts::Kind* kind,
                    const Footprint& footprint,
                    const std::vector<GivenPad>& pads,
                    std::optional<Side> side) {
        std::vector<KnownPin> known;
        for (std::size_t i = 0; i < footprint.pins.size(); ++i) {
            for (const GivenPad& pad : pads) {
                if (detail::same_pin(kind, pad.pin, footprint.pins[i].number)) {
                    known.push_back({i, pad.at});
                }
            }
        }
        if (known.size() == footprint.pins.size()) {
            return;
        }
        const bool mirrored = side == Side::bottom;
        std::vector<Point> places;
        if (known.size() > 1) {
            const auto placed = detail::placed_by_pins(footprint, known, mirrored);
            if (!placed || placed->misfit_mm > largest_misfit_mm) {
                complain_of_misfit(part, placed ? placed->misfit_mm : 0.0);
                return;
            }
            places = placed->pins;
        } else if (part.position) {
            places = by_position(part, footprint, known, mirrored);
        } else {
            complain_of_one(part, footprint, pads);
            return;
        }
        add_rest(part, kind, footprint, pads, known, places, side);
    }

    static std::vector<Point> by_position(const dossier::Part& part,
                                          const Footprint& footprint,
                                          const std::vector<KnownPin>& known,
                                          bool mirrored) {
        std::vector<Point> places =
            detail::placed_by_middle(footprint,
                                     {part.position->x_mm, part.position->y_mm},
                                     part.position->turn_deg,
                                     mirrored);
        if (known.size() == 1) {  // what was pointed at is surer than a middle
            const Point off = {known[0].at.x_mm - places[known[0].pin].x_mm,
                               known[0].at.y_mm - places[known[0].pin].y_mm};
            for (Point& place : places) {
                place = {place.x_mm + off.x_mm, place.y_mm + off.y_mm};
            }
        }
        return places;
    }

    // By another name, as the pins of a chip have names and numbers.
    static bool is_given(const std::vector<GivenPad>& pads, Point place) {
        constexpr double same_mm = 0.4;
        return std::ranges::any_of(pads, [&](const GivenPad& pad) {
            return std::hypot(pad.at.x_mm - place.x_mm, pad.at.y_mm - place.y_mm) < same_mm;
        });
    }

    void add_rest(const dossier::Part& part,
                  const parts::Kind* kind,
                  const Footprint& footprint,
                  const std::vector<GivenPad>& pads,
                  const std::vector<KnownPin>& known,
                  const std::vector<Point>& places,
                  std::optional<Side> side) {
        const std::size_t before = pads_.size();
        for (std::size_t i = 0; i < footprint.pins.size(); ++i) {
            const bool is_known = std::ranges::find(known, i, &KnownPin::pin) != known.end();
            const auto name = detail::pin_numbered(part, kind, footprint.pins[i].number);
            if (!is_known && name && !is_given(pads, places[i])) {
                pads_.push_back({part.name, *name, places[i], side, true});
            }
        }
        if (pads_.size() == before && pads.empty()) {
            remarks_.push_back(
                {fmt::format("{}: its body numbers its pins, its kind names them", part.name),
                 "write its pads by the names of its pins"});
        }
    }

    void complain_of_misfit(const dossier::Part& part, double misfit_mm) {
        remarks_.push_back(
            {fmt::format("{}: its pads do not fit the body {}{}",
                         part.name,
                         part.body.value,
                         misfit_mm > 0 ? fmt::format(" by {:.1f} mm", misfit_mm) : std::string()),
             "mend its pads or its body; until then only the pads that are given count"});
    }

    void complain_of_one(const dossier::Part& part,
                         const Footprint& footprint,
                         const std::vector<GivenPad>& pads) {
        const bool has_names = std::ranges::any_of(pads, [](const GivenPad& pad) {
            return pad.pin.find_first_not_of("0123456789") != std::string::npos;
        });
        if (pads.size() >= footprint.pins.size() || (has_names && pads.size() > 1)) {
            return;
        }
        remarks_.push_back(
            {fmt::format("{}: one pad does not tell which way round it sits", part.name),
             "point at a second pad, the further from the first the better"});
    }

    const dossier::Dossier& dossier_;
    const parts::Catalogue& catalogue_;
    const std::vector<PointedPad>& pointed_;
    std::vector<Remark>& remarks_;
    std::vector<Pad> pads_;
    std::vector<std::string> nowhere_;
};

}  // namespace

std::vector<Pad> find_pads(const dossier::Dossier& dossier,
                           const parts::Catalogue& catalogue,
                           const std::vector<PointedPad>& pointed,
                           std::vector<Remark>& remarks) {
    return PadFinder(dossier, catalogue, pointed, remarks).found();
}

}  // namespace etchback::copper
