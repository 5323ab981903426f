#include "board-photographer/detail/forms.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>
#include <optional>

#include "board-photographer/detail/painter.h"
#include "board-photographer/detail/stroke_font.h"
#include "board-photographer/draw.h"
#include "board-photographer/truth.h"

namespace etchback::photographer {
namespace {

constexpr double pi = std::numbers::pi;

// One part in its own frame: x along the body, y across, z up from the board.
class PartDrawer {
public:
    PartDrawer(const Part& part,
               const Body& body,
               const Camera& camera,
               const Lighting& lighting,
               Painter& painter)
        : part_(part), body_(body), camera_(camera), lighting_(lighting), painter_(painter) {
        base_ = named_colour(part.colour.empty() ? body.colour : part.colour);
    }

    void draw() const;
    // Insulated wires; `base_mm`: the height from which they leave.
    void wires(double base_mm) const;

private:
    cv::Point2d px(double x, double y, double z) const {
        return camera_.pixel(on_board(part_, {x, y}), z);
    }
    cv::Vec3d at(double x, double y, double z) const {
        return camera_.scene(on_board(part_, {x, y}), z);
    }
    Colour lit(const Colour& colour,
               const cv::Vec3d& normal,
               const cv::Vec3d& place,
               float gloss = 0.03F) const;
    // A flat face with its corners in order; drawn if it looks at the camera. Own coordinates.
    void face(const std::vector<cv::Vec3d>& corners,
              const Colour& colour,
              float gloss = 0.03F,
              std::optional<cv::Vec3d> heart = std::nullopt) const;
    // A small flat piece that is drawn whichever way it looks.
    void plate(const std::vector<cv::Vec3d>& corners, const Colour& colour, float gloss) const;
    void block(double x0,
               double x1,
               double y0,
               double y1,
               double z0,
               double z1,
               const Colour& sides,
               const Colour& top,
               float gloss = 0.03F) const;
    void chip() const;
    void moulded() const;
    void standing() const;
    void lying() const;
    void disc() const;
    void wound() const;
    void wire(const std::vector<cv::Vec3d>& along,
              double thick,
              const Colour& colour,
              float gloss) const;
    void print(const std::string& text,
               double z,
               double room_x,
               double room_y,
               const Colour& colour) const;

    const Part& part_;
    const Body& body_;
    const Camera& camera_;
    const Lighting& lighting_;
    Painter& painter_;
    Colour base_;
};

Colour PartDrawer::lit(const Colour& colour,
                       const cv::Vec3d& normal,
                       const cv::Vec3d& place,
                       float gloss) const {
    Colour sum =
        colour.mul(lighting_.ambient) * static_cast<float>(0.8 + 0.2 * normal[2]) + colour * 0.05F;
    cv::Vec3d view = camera_.eye() - place;
    view /= cv::norm(view);
    const cv::Vec3d mirrored = normal * (2.0 * normal.dot(view)) - view;
    for (const Lamp& lamp : lighting_.lamps) {
        cv::Vec3d to = lamp.at - place;
        to /= cv::norm(to);
        const float facing = static_cast<float>(std::max(0.0, normal.dot(to)));
        const float fall = Lighting::fall_off(lamp, place);
        sum += colour.mul(lamp.colour) * (facing * fall);
        const double shine = std::pow(std::max(0.0, mirrored.dot(to)), 40.0);
        sum += lamp.colour * static_cast<float>(gloss * lamp.blinding * shine);
    }
    const float sky = static_cast<float>(std::max(0.0, 0.3 + 0.5 * mirrored[2]));
    return sum + Colour::all(gloss * sky);
}

void PartDrawer::face(const std::vector<cv::Vec3d>& corners,
                      const Colour& colour,
                      float gloss,
                      std::optional<cv::Vec3d> heart) const {
    std::vector<cv::Point2d> flat;
    std::vector<cv::Vec3d> solid;
    cv::Vec3d middle(0, 0, 0);
    for (const cv::Vec3d& c : corners) {
        flat.push_back(px(c[0], c[1], c[2]));
        solid.push_back(at(c[0], c[1], c[2]));
        middle += solid.back() * (1.0 / static_cast<double>(corners.size()));
    }
    cv::Vec3d normal = (solid[1] - solid[0]).cross(solid[2] - solid[0]);
    const double length = cv::norm(normal);
    if (length < 1e-12) {
        return;
    }
    normal /= length;
    // Corners run either way round, since the part may be mirrored: out is away from its middle.
    const cv::Vec3d inside = heart ? at((*heart)[0], (*heart)[1], (*heart)[2])
                                   : at(0, 0, body_.lift_mm + body_.height_mm / 2.0);
    if (normal.dot(middle - inside) < 0.0) {
        normal *= -1.0;
    }
    if (normal.dot(camera_.eye() - middle) > 0.0) {
        painter_.polygon(flat, lit(colour, normal, middle, gloss));
    }
}

void PartDrawer::block(double x0,
                       double x1,
                       double y0,
                       double y1,
                       double z0,
                       double z1,
                       const Colour& sides,
                       const Colour& top,
                       float gloss) const {
    const cv::Vec3d heart((x0 + x1) / 2.0, (y0 + y1) / 2.0, (z0 + z1) / 2.0);
    face({{x0, y0, z0}, {x1, y0, z0}, {x1, y0, z1}, {x0, y0, z1}}, sides, gloss, heart);
    face({{x0, y1, z0}, {x1, y1, z0}, {x1, y1, z1}, {x0, y1, z1}}, sides, gloss, heart);
    face({{x0, y0, z0}, {x0, y1, z0}, {x0, y1, z1}, {x0, y0, z1}}, sides, gloss, heart);
    face({{x1, y0, z0}, {x1, y1, z0}, {x1, y1, z1}, {x1, y0, z1}}, sides, gloss, heart);
    face({{x0, y0, z1}, {x1, y0, z1}, {x1, y1, z1}, {x0, y1, z1}}, top, gloss, heart);
}

void PartDrawer::plate(const std::vector<cv::Vec3d>& corners,
                       const Colour& colour,
                       float gloss) const {
    std::vector<cv::Point2d> flat;
    for (const cv::Vec3d& c : corners) {
        flat.push_back(px(c[0], c[1], c[2]));
    }
    const cv::Vec3d& first = corners.front();
    painter_.polygon(flat, lit(colour, {0, 0, 1}, at(first[0], first[1], first[2]), gloss));
}

void PartDrawer::print(
    const std::string& text, double z, double room_x, double room_y, const Colour& colour) const {
    if (text.empty()) {
        return;
    }
    double height = std::min(room_y * 0.6, 2.2);
    height = std::min(height, height * room_x * 0.85 / text_width(text, height));
    if (height < 0.3) {
        return;
    }
    for (const Polyline& line : strokes_of(text, {0, 0}, height, 0.0, part_.side == Side::bottom)) {
        std::vector<cv::Point2d> flat;
        for (const Point& p : line) {
            // Letters are laid out on the board's frame, and a bottom part's x runs the other way.
            flat.push_back(px(part_.side == Side::bottom ? -p.x_mm : p.x_mm, p.y_mm, z));
        }
        const double width = height * 0.13 * camera_.view().px_per_mm;
        painter_.line(flat, width, lit(colour, {0, 0, 1}, at(0, 0, z)), 0.85F);
    }
}

void PartDrawer::chip() const {
    const double x = body_.length_mm / 2.0;
    const double y = body_.width_mm / 2.0;
    const double h = body_.height_mm;
    const bool resistor = part_.colour.empty() || part_.colour == "black";
    const Colour metal = srgb(178, 178, 176);
    const Colour side = resistor ? srgb(200, 198, 190) : base_;
    const double cap = std::min(0.5, x * 0.3);
    block(-x, x, -y, y, 0.02, h, side, base_);
    block(-x, -x + cap, -y, y, 0.02, h + 0.02, metal, metal, 0.25F);
    block(x - cap, x, -y, y, 0.02, h + 0.02, metal, metal, 0.25F);
    if (resistor) {
        print(part_.marking, h + 0.01, 2.0 * (x - cap), 2.0 * y, srgb(215, 215, 210));
    }
}

void PartDrawer::moulded() const {
    const double x = body_.length_mm / 2.0;
    const double y = body_.width_mm / 2.0;
    const double low = body_.lift_mm;
    const double high = low + body_.height_mm;
    const Colour metal = srgb(170, 170, 168);
    for (const BodyPad& pad : body_.pads) {
        const double half = std::min(pad.width_mm, pad.height_mm) * 0.3;
        const double z = std::min(0.8, body_.height_mm * 0.4);
        const bool sideways = std::abs(pad.at.x_mm) > x * 0.95 && std::abs(pad.at.y_mm) < y;
        const double to_x = sideways ? std::copysign(x, pad.at.x_mm) : pad.at.x_mm;
        const double to_y = sideways ? pad.at.y_mm : std::copysign(y, pad.at.y_mm);
        const double dx = sideways ? 0.0 : half;
        const double dy = sideways ? half : 0.0;
        if (std::hypot(to_x - pad.at.x_mm, to_y - pad.at.y_mm) < 0.15 ||
            (std::abs(pad.at.x_mm) < x && std::abs(pad.at.y_mm) < y)) {
            continue;
        }
        plate({{pad.at.x_mm - dx, pad.at.y_mm - dy, 0.15},
               {pad.at.x_mm + dx, pad.at.y_mm + dy, 0.15},
               {to_x + dx, to_y + dy, z},
               {to_x - dx, to_y - dy, z}},
              metal,
              0.3F);
    }
    block(-x, x, -y, y, low, high, base_, base_ * 1.15F, 0.05F);
    if (body_.pads.size() == 2) {  // a diode's band
        block(
            x * 0.55, x * 0.8, -y, y, high, high + 0.01, srgb(190, 190, 188), srgb(190, 190, 188));
    } else if (body_.pads.size() >= 4) {
        std::vector<cv::Point2d> dot;
        for (const Point& p : circle({-x * 0.75, y * 0.6}, std::min(0.5, y * 0.2))) {
            dot.push_back(px(p.x_mm, p.y_mm, high));
        }
        painter_.polygon(dot, lit(base_ * 2.2F, {0, 0, 1}, at(0, 0, high)));
    }
    print(part_.marking, high + 0.01, 1.8 * x, 1.6 * y, srgb(180, 180, 176));
}

void PartDrawer::standing() const {
    const double r = body_.length_mm / 2.0;
    const double low = body_.lift_mm;
    const double high = low + body_.height_mm;
    constexpr int parts = 40;
    const bool drum = part_.body.starts_with("drum");
    for (int i = 0; i < parts; ++i) {
        const double a = 2.0 * pi * i / parts;
        const double b = 2.0 * pi * (i + 1.15) / parts;
        const bool stripe = !drum && (i <= 3 || i >= parts - 3);  // beside the minus pin
        const Colour colour = stripe ? mix(base_, srgb(190, 195, 195), 0.6F) : base_;
        face({{r * std::cos(a), r * std::sin(a), low},
              {r * std::cos(b), r * std::sin(b), low},
              {r * std::cos(b), r * std::sin(b), high},
              {r * std::cos(a), r * std::sin(a), high}},
             colour,
             0.06F);
    }
    const auto disc = [&](double radius, double z, const Colour& colour, float gloss) {
        std::vector<cv::Vec3d> ring;
        for (const Point& p : circle({0, 0}, radius, 48)) {
            ring.emplace_back(p.x_mm, p.y_mm, z);
        }
        std::vector<cv::Point2d> flat;
        for (const cv::Vec3d& c : ring) {
            flat.push_back(px(c[0], c[1], c[2]));
        }
        painter_.polygon(flat, lit(colour, {0, 0, 1}, at(0, 0, z), gloss));
    };
    disc(r, high, base_, 0.06F);
    if (drum) {
        disc(r * 0.5, high, base_ * 1.4F, 0.1F);
        return;
    }
    disc(r * 0.84, high - 0.2, srgb(175, 177, 180), 0.2F);
    for (int i = 0; i < 3; ++i) {  // the vent
        const double a = pi * (0.2 + i / 3.0);
        painter_.line({px(-0.75 * r * std::cos(a), -0.75 * r * std::sin(a), high - 0.2),
                       px(0.75 * r * std::cos(a), 0.75 * r * std::sin(a), high - 0.2)},
                      0.25 * camera_.view().px_per_mm,
                      lit(srgb(110, 110, 112), {0, 0, 1}, at(0, 0, high)));
    }
}

void PartDrawer::wire(const std::vector<cv::Vec3d>& along,
                      double thick,
                      const Colour& colour,
                      float gloss) const {
    std::vector<cv::Point2d> flat;
    std::vector<cv::Point2d> shine;
    for (const cv::Vec3d& p : along) {
        flat.push_back(px(p[0], p[1], p[2]));
        shine.push_back(px(p[0] - 0.1 * thick, p[1] - 0.15 * thick, p[2] + thick * 0.3));
    }
    const double width = thick * camera_.view().px_per_mm;
    const cv::Vec3d place = at(along[0][0], along[0][1], along[0][2]);
    painter_.line(flat, width, lit(colour * 0.55F, {0, 0, 1}, place));
    painter_.line(flat, width * 0.7, lit(colour, {0, 0, 1}, place));
    painter_.line(shine, width * 0.25, lit(colour, {0, 0, 1}, place) + Colour::all(gloss));
}

void PartDrawer::lying() const {
    const double l = body_.length_mm / 2.0;
    const double r = body_.width_mm / 2.0;
    const double z = body_.lift_mm + r;
    const Colour metal = srgb(175, 172, 168);
    for (const BodyPad& pad : body_.pads) {
        const double end = std::copysign(l * 0.95, pad.at.x_mm);
        wire({{end, 0, z},
              {pad.at.x_mm * 0.94, 0, z},
              {pad.at.x_mm, 0, z * 0.7},
              {pad.at.x_mm, 0, 0}},
             0.7,
             metal,
             0.25F);
    }
    const bool diode = part_.body.starts_with("DO-");
    const bool fuse = body_.colour == "glass" && !diode;
    struct Zone {
        double from, to;
        Colour colour;
        double thick;
    };
    std::vector<Zone> zones = {{-1.0, 1.0, base_, diode || fuse ? 1.0 : 0.9}};
    if (fuse) {
        zones.push_back({-1.0, -0.6, srgb(190, 190, 186), 1.0});
        zones.push_back({0.6, 1.0, srgb(190, 190, 186), 1.0});
    } else if (diode) {
        zones.push_back({0.5, 0.75, srgb(195, 195, 192), 1.0});
    } else {
        zones.push_back({-1.0, -0.6, base_, 1.0});
        zones.push_back({0.6, 1.0, base_, 1.0});
        constexpr std::string_view rings[] = {"black",
                                              "brown",
                                              "red",
                                              "orange",
                                              "yellow",
                                              "green",
                                              "blue",
                                              "violet",
                                              "grey",
                                              "white"};
        double from = -0.75;
        for (const char c : part_.marking.substr(0, 4)) {
            if (c >= '0' && c <= '9') {
                zones.push_back(
                    {from, from + 0.14, named_colour(rings[c - '0']), from < -0.6 ? 1.0 : 0.92});
                from += 0.34;
            }
        }
        zones.push_back({0.66, 0.8, named_colour("gold"), 1.0});
    }
    for (const Zone& zone : zones) {
        constexpr int strips = 14;
        for (int i = 0; i < strips; ++i) {
            const double a = pi * i / strips;
            const double b = pi * (i + 1.1) / strips;
            const double rr = r * zone.thick;
            face({{l * zone.from, rr * std::cos(a), z + rr * std::sin(a)},
                  {l * zone.to, rr * std::cos(a), z + rr * std::sin(a)},
                  {l * zone.to, rr * std::cos(b), z + rr * std::sin(b)},
                  {l * zone.from, rr * std::cos(b), z + rr * std::sin(b)}},
                 zone.colour,
                 fuse || diode ? 0.12F : 0.05F);
        }
    }
}

void PartDrawer::disc() const {
    const double r = body_.length_mm / 2.0;
    const double t = body_.width_mm / 2.0 * 0.8;
    const double z = body_.lift_mm + r;
    for (const double y : {-t, t}) {
        std::vector<cv::Vec3d> ring;
        for (int i = 0; i < 32; ++i) {
            const double a = 2.0 * pi * i / 32;
            ring.emplace_back(0.93 * r * std::cos(a), y, z + 0.93 * r * std::sin(a));
        }
        face(ring, base_, 0.05F);
    }
    for (int i = 0; i < 40; ++i) {
        const double a = pi * (i - 8) / 24;
        const double b = pi * (i - 7 + 0.15) / 24;
        const auto rim = [&](double angle, double y, double rr) {
            return cv::Vec3d(rr * std::cos(angle), y, z + rr * std::sin(angle));
        };
        face({rim(a, -t, 0.93 * r), rim(b, -t, 0.93 * r), rim(b, -t * 0.5, r), rim(a, -t * 0.5, r)},
             base_,
             0.06F);
        face({rim(a, t, 0.93 * r), rim(b, t, 0.93 * r), rim(b, t * 0.5, r), rim(a, t * 0.5, r)},
             base_,
             0.06F);
        face({rim(a, -t * 0.5, r), rim(b, -t * 0.5, r), rim(b, t * 0.5, r), rim(a, t * 0.5, r)},
             base_,
             0.06F);
    }
}

void PartDrawer::wound() const {
    const double x = body_.length_mm / 2.0;
    const double y = body_.width_mm / 2.0;
    const double low = body_.lift_mm;
    const double high = low + body_.height_mm;
    const Colour bobbin = srgb(40, 40, 42);
    const Colour ferrite = srgb(72, 70, 70);
    double reach = y;
    for (const BodyPad& pad : body_.pads) {
        reach = std::max(reach, std::abs(pad.at.y_mm));
    }
    block(-x * 0.95, x * 0.95, -reach, reach, 0.4, low + 2.0, bobbin, bobbin);
    block(-x, x, -y * 0.55, y * 0.55, low, high * 0.9, ferrite, ferrite, 0.05F);
    block(-x * 0.62, x * 0.62, -y, y, low + 2.0, high, base_ * 0.9F, base_, 0.08F);
    print(part_.marking, high + 0.01, 1.2 * x, 1.2 * y, srgb(60, 60, 60));
}

// Colours of several wires are written "red/black".
std::string nth_colour(const std::string& colours, std::size_t number) {
    constexpr std::string_view usual[] = {"brown", "blue", "red", "black", "white", "yellow"};
    if (colours.empty()) {
        return std::string(usual[number % 6]);
    }
    std::size_t begin = 0;
    for (std::size_t i = 0; i < number && colours.find('/', begin) != std::string::npos; ++i) {
        begin = colours.find('/', begin) + 1;
    }
    return colours.substr(begin, colours.find('/', begin) - begin);
}

void PartDrawer::wires(double base_mm) const {
    const cv::Vec3d middle = camera_.scene(part_.at);
    const double out = middle[0] >= 0.0 ? 1.0 : -1.0;
    std::size_t number = 0;
    for (const BodyPad& pad : body_.pads) {
        const Point foot = on_board(part_, pad.at);
        const std::string colour = nth_colour(part_.colour, number);
        std::vector<cv::Point2d> flat;
        std::vector<cv::Point2d> shine;
        const double sway = (static_cast<double>(number) - 0.5) * 2.5;
        for (int i = 0; i <= 24; ++i) {
            const double t = i / 24.0;
            const double z =
                base_mm + 3.5 * std::sin(std::min(1.0, t * 5.0) * pi / 2.0) * (1.0 - 0.6 * t);
            const cv::Vec3d from = camera_.scene(foot);
            const cv::Vec3d scene(from[0] + out * 45.0 * t * t + out * 6.0 * t,
                                  from[1] + sway * std::sin(3.0 * t),
                                  0);
            const Point p = camera_.board_of_scene(scene[0], scene[1]);
            flat.push_back(camera_.pixel(p, z));
            shine.push_back(
                camera_.pixel(camera_.board_of_scene(scene[0], scene[1] - 0.3), z + 0.4));
        }
        const double width = body_.length_mm * camera_.view().px_per_mm;
        const Colour core = named_colour(colour);
        const cv::Vec3d place = camera_.scene(foot, 3.0);
        painter_.line(flat, width, lit(core * 0.5F, {0, 0, 1}, place));
        painter_.line(flat, width * 0.72, lit(core, {0, 0, 1}, place));
        painter_.line(shine, width * 0.25, lit(core, {0, 0, 1}, place) + Colour::all(0.06F), 0.7F);
        ++number;
    }
}

void PartDrawer::draw() const {
    const double x = body_.length_mm / 2.0;
    const double y = body_.width_mm / 2.0;
    switch (body_.form) {
        case Form::box: {
            const double high = body_.lift_mm + body_.height_mm;
            block(-x, x, -y, y, body_.lift_mm, high, base_, base_, 0.05F);
            const bool dark = cv::norm(base_) < 0.4;
            print(part_.marking,
                  high + 0.01,
                  2.0 * x,
                  2.0 * y,
                  dark ? srgb(210, 210, 205) : srgb(45, 45, 48));
            break;
        }
        case Form::chip:
            chip();
            break;
        case Form::moulded:
            moulded();
            break;
        case Form::standing:
            standing();
            break;
        case Form::lying:
            lying();
            break;
        case Form::disc:
            disc();
            break;
        case Form::wound:
            wound();
            break;
        case Form::wires:
            wires(0.0);
            break;
        case Form::none:
            break;
    }
}

}  // namespace

std::vector<Prism> prisms_of(const Layout& layout, Side side) {
    std::vector<Prism> prisms;
    for (const Part& part : layout.parts) {
        const auto body = body_of(part.body, part.pins.size(), part.pitch_mm);
        const Polyline ring = body_ring(part);
        if (body && part.side == side && part.fitted && !ring.empty()) {
            prisms.push_back({ring, body->lift_mm, body->lift_mm + body->height_mm});
        }
    }
    return prisms;
}

Polyline shadow_of(const Prism& prism, const Lamp& lamp, const Camera& camera, double height_mm) {
    std::vector<cv::Point2f> points;
    for (const double z : {prism.from_mm, prism.to_mm}) {
        for (const Point& p : prism.ring) {
            const cv::Vec3d from = camera.scene(p, z);
            const double t = (from[2] - height_mm) / std::max(1.0, lamp.at[2] - from[2]);
            const cv::Vec3d down = from - (lamp.at - from) * t;
            points.emplace_back(static_cast<float>(down[0]), static_cast<float>(down[1]));
        }
    }
    std::vector<cv::Point2f> hull;
    cv::convexHull(points, hull);
    Polyline ring;
    for (const cv::Point2f& p : hull) {
        ring.push_back(camera.board_of_scene(p.x, p.y));
    }
    return ring;
}

void draw_wires_below(const Layout& layout,
                      Side side,
                      const Camera& camera,
                      const Lighting& lighting,
                      cv::Mat& photo,
                      cv::Mat& covered) {
    Painter painter(photo, covered);
    for (const Part& part : layout.parts) {
        const auto body = body_of(part.body, part.pins.size(), part.pitch_mm);
        if (body && body->form == Form::wires && part.side != side) {
            PartDrawer(part, *body, camera, lighting, painter)
                .wires(-layout.board.thickness_mm - 3.0);
        }
    }
}

void draw_parts(const Layout& layout,
                Side side,
                const Camera& camera,
                const Lighting& lighting,
                cv::Mat& photo,
                cv::Mat& covered) {
    Painter painter(photo, covered);
    std::vector<std::pair<double, const Part*>> order;
    for (const Part& part : layout.parts) {
        if (part.side == side && part.fitted) {
            const cv::Vec3d off = camera.scene(part.at) - camera.eye();
            const bool wires = part.body == "wires";
            order.emplace_back(wires ? -1.0 : std::hypot(off[0], off[1]), &part);
        }
    }
    // What stands further out is covered by what leans over it.
    std::stable_sort(
        order.begin(), order.end(), [](const auto& a, const auto& b) { return a.first > b.first; });
    for (const auto& [off, part] : order) {
        const auto body = body_of(part->body, part->pins.size(), part->pitch_mm);
        if (body) {
            PartDrawer(*part, *body, camera, lighting, painter).draw();
        }
    }
    if (side == Side::top) {
        for (const Jumper& jumper : layout.jumpers) {
            const Colour metal = srgb(182, 180, 176);
            std::vector<cv::Point2d> along;
            for (const double t : {0.0, 0.06, 0.5, 0.94, 1.0}) {
                const Point p = {jumper.from.x_mm + t * (jumper.to.x_mm - jumper.from.x_mm),
                                 jumper.from.y_mm + t * (jumper.to.y_mm - jumper.from.y_mm)};
                along.push_back(camera.pixel(p, t == 0.0 || t == 1.0 ? 0.0 : 0.8));
            }
            const double width = 0.65 * camera.view().px_per_mm;
            painter.line(along, width, metal * 0.3F);
            painter.line(along, width * 0.6, metal * 0.7F);
        }
    }
}

}  // namespace etchback::photographer
