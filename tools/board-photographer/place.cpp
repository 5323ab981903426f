#include "board-photographer/place.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "board-photographer/bodies.h"

namespace etchback::photographer {
namespace {

constexpr double court_mm = 0.5;  // free around body and pads
constexpr double edge_mm = 0.8;

struct Box {
    double x0 = 1e9, y0 = 1e9, x1 = -1e9, y1 = -1e9;

    void take(Point p) {
        x0 = std::min(x0, p.x_mm);
        y0 = std::min(y0, p.y_mm);
        x1 = std::max(x1, p.x_mm);
        y1 = std::max(y1, p.y_mm);
    }
    void grow(double by) {
        x0 -= by;
        y0 -= by;
        x1 += by;
        y1 += by;
    }
    double area() const { return (x1 - x0) * (y1 - y0); }
    bool meets(const Box& o) const { return x0 < o.x1 && o.x0 < x1 && y0 < o.y1 && o.y0 < y1; }
};

// What a part takes on its own side, and its drilled pads, which take both.
struct Court {
    Box own;
    std::vector<Box> drilled;
    Side side = Side::top;
};

Court court_of(const Part& part) {
    Court court;
    court.side = part.side;
    const auto body = body_of(part.body, part.pins.size(), part.pitch_mm);
    for (const double sx : {-0.5, 0.5}) {
        for (const double sy : {-0.5, 0.5}) {
            court.own.take(on_board(part, {sx * body->length_mm, sy * body->width_mm}));
            for (const BodyPad& pad : body->pads) {
                court.own.take(on_board(
                    part, {pad.at.x_mm + sx * pad.width_mm, pad.at.y_mm + sy * pad.height_mm}));
            }
        }
    }
    for (const BodyPad& pad : body->pads) {
        if (pad.drill_mm > 0.0) {
            Box box;
            box.take(on_board(part, pad.at));
            box.grow(std::max(pad.width_mm, pad.height_mm) / 2.0 + 0.3);
            court.drilled.push_back(box);
        }
    }
    court.own.grow(court_mm);
    return court;
}

bool collide(const Court& a, const Court& b) {
    if (a.side == b.side) {
        return a.own.meets(b.own);
    }
    const auto drills_meet = [](const Court& c, const Court& d) {
        return std::any_of(
            c.drilled.begin(), c.drilled.end(), [&](const Box& box) { return box.meets(d.own); });
    };
    return drills_meet(a, b) || drills_meet(b, a);
}

double halves(double v) {
    return std::round(v * 2.0) / 2.0;
}

bool try_place(std::vector<Part>& parts,
               const std::vector<std::size_t>& order,
               Random& random,
               double width,
               double height) {
    std::vector<Court> placed;
    for (const std::size_t i : order) {
        Part& part = parts[i];
        bool found = false;
        for (int attempt = 0; attempt < 400 && !found; ++attempt) {
            part.turn_deg = 90.0 * random.whole(0, 3);
            part.at = {halves(random.between(0.0, width)), halves(random.between(0.0, height))};
            // Wires and connectors leave at the left or right edge.
            if (part.body == "wires" || part.body == "screw terminal") {
                part.turn_deg = 90.0;
                const double in = part.body == "wires" ? 3.0 : 5.5;
                part.at.x_mm = part.at.x_mm < width / 2.0 ? in : halves(width) - in;
            }
            const Court court = court_of(part);
            found = court.own.x0 > edge_mm && court.own.y0 > edge_mm &&
                    court.own.x1 < width - edge_mm && court.own.y1 < height - edge_mm &&
                    std::none_of(placed.begin(), placed.end(), [&](const Court& other) {
                        return collide(court, other);
                    });
            if (found) {
                placed.push_back(court);
            }
        }
        if (!found) {
            return false;
        }
    }
    return true;
}

}  // namespace

void place_parts(Layout& layout, Random& random, double spacious) {
    double top = 0.0;
    double bottom = 0.0;
    std::vector<double> areas;
    for (const Part& part : layout.parts) {
        const Court court = court_of(part);
        areas.push_back(court.own.area());
        (part.side == Side::top ? top : bottom) += court.own.area();
        if (part.side == Side::top) {
            bottom += 5.0 * static_cast<double>(court.drilled.size());
        }
    }
    std::vector<std::size_t> order(layout.parts.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
        return areas[a] > areas[b];
    });
    double area =
        std::max({std::max(top, bottom) * spacious, (top + bottom) * spacious * 0.7, 250.0});
    const double aspect = random.between(1.0, 2.2);
    for (;;) {
        const double height = halves(std::sqrt(area / aspect));
        const double width = halves(area / height);
        layout.board.outline = {{0, 0}, {width, 0}, {width, height}, {0, height}};
        if (try_place(layout.parts, order, random, width, height)) {
            return;
        }
        area *= 1.1;
    }
}

}  // namespace etchback::photographer
