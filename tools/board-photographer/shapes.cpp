#include "board-photographer/shapes.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace etchback::photographer {
namespace {

Shape capsule(const std::string& net, Point a, Point b, double width_mm) {
    Shape shape;
    shape.net = net;
    shape.a = a;
    shape.b = b;
    shape.radius_mm = width_mm / 2.0;
    return shape;
}

void add_line(std::vector<Shape>& shapes,
              const std::string& net,
              Side side,
              const Polyline& along,
              double width_mm) {
    for (std::size_t i = 0; i < std::max<std::size_t>(along.size(), 2) - 1; ++i) {
        Shape shape = capsule(net, along[i], along[std::min(i + 1, along.size() - 1)], width_mm);
        (side == Side::top ? shape.top : shape.bottom) = true;
        shapes.push_back(shape);
    }
}

}  // namespace

double distance(Point a, Point b) {
    return std::hypot(a.x_mm - b.x_mm, a.y_mm - b.y_mm);
}

double distance_to_segment(Point p, Point a, Point b) {
    const double dx = b.x_mm - a.x_mm;
    const double dy = b.y_mm - a.y_mm;
    const double length2 = dx * dx + dy * dy;
    double t = 0.0;
    if (length2 > 0.0) {
        t = std::clamp(((p.x_mm - a.x_mm) * dx + (p.y_mm - a.y_mm) * dy) / length2, 0.0, 1.0);
    }
    return distance(p, {a.x_mm + t * dx, a.y_mm + t * dy});
}

double distance(const Shape& shape, Point p) {
    if (shape.kind == Shape::Kind::capsule) {
        return distance_to_segment(p, shape.a, shape.b) - shape.radius_mm;
    }
    const double c = std::cos(shape.turn_rad);
    const double s = std::sin(shape.turn_rad);
    const double dx = p.x_mm - shape.a.x_mm;
    const double dy = p.y_mm - shape.a.y_mm;
    const double qx = std::abs(c * dx + s * dy) - shape.half_width_mm;
    const double qy = std::abs(-s * dx + c * dy) - shape.half_height_mm;
    if (qx <= 0.0 && qy <= 0.0) {
        return std::max(qx, qy);
    }
    return std::hypot(std::max(qx, 0.0), std::max(qy, 0.0));
}

double depth_inside(const Polyline& ring, Point p) {
    bool inside = false;
    double nearest = 1e9;
    for (std::size_t i = 0, j = ring.size() - 1; i < ring.size(); j = i++) {
        const Point& a = ring[i];
        const Point& b = ring[j];
        nearest = std::min(nearest, distance_to_segment(p, a, b));
        if ((a.y_mm > p.y_mm) != (b.y_mm > p.y_mm) &&
            p.x_mm < (b.x_mm - a.x_mm) * (p.y_mm - a.y_mm) / (b.y_mm - a.y_mm) + a.x_mm) {
            inside = !inside;
        }
    }
    return inside ? nearest : -nearest;
}

Point middle(const Shape& shape) {
    if (shape.kind == Shape::Kind::box) {
        return shape.a;
    }
    return {(shape.a.x_mm + shape.b.x_mm) / 2.0, (shape.a.y_mm + shape.b.y_mm) / 2.0};
}

double reach(const Shape& shape) {
    if (shape.kind == Shape::Kind::box) {
        return std::hypot(shape.half_width_mm, shape.half_height_mm);
    }
    return distance(shape.a, shape.b) / 2.0 + shape.radius_mm;
}

Shape shape_of(const Pad& pad, const BoardShape& board) {
    Shape shape;
    shape.net = pad.net;
    const bool through = pad.drill_mm > 0.0;
    shape.bottom = through || pad.side == Side::bottom;
    shape.top = (through && board.sides == 2) || (!through && pad.side == Side::top);
    shape.turn_rad = -pad.turn_deg * std::numbers::pi / 180.0;  // y runs down
    if (pad.shape == PadShape::rect) {
        shape.kind = Shape::Kind::box;
        shape.a = shape.b = pad.at;
        shape.half_width_mm = pad.width_mm / 2.0;
        shape.half_height_mm = pad.height_mm / 2.0;
        return shape;
    }
    const double thick = std::min(pad.width_mm, pad.height_mm);
    const double half_x = (pad.width_mm - thick) / 2.0;
    const double half_y = (pad.height_mm - thick) / 2.0;
    const double c = std::cos(shape.turn_rad);
    const double s = std::sin(shape.turn_rad);
    const Point half = {c * half_x - s * half_y, s * half_x + c * half_y};
    shape.a = {pad.at.x_mm - half.x_mm, pad.at.y_mm - half.y_mm};
    shape.b = {pad.at.x_mm + half.x_mm, pad.at.y_mm + half.y_mm};
    shape.radius_mm = thick / 2.0;
    return shape;
}

std::vector<Shape> shapes_of(const Layout& layout) {
    std::vector<Shape> shapes;
    for (const Pad& pad : pads_of(layout)) {
        shapes.push_back(shape_of(pad, layout.board));
    }
    for (const Track& track : layout.tracks) {
        add_line(shapes, track.net, track.side, track.along, track.width_mm);
    }
    for (const Blob& blob : layout.blobs) {
        add_line(shapes, blob.net, blob.side, blob.along, blob.width_mm);
    }
    for (const Via& via : layout.vias) {
        Shape shape = capsule(via.net, via.at, via.at, via.diameter_mm);
        shape.bottom = true;
        shape.top = layout.board.sides == 2;
        shapes.push_back(shape);
    }
    return shapes;
}

}  // namespace etchback::photographer
