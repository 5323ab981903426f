#include "board-photographer/bodies.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "base/text.h"

namespace etchback::photographer {
namespace {

struct ChipSize {
    std::string_view name;
    double length, width, height;
    double pad_at, pad_length, pad_width;
};
constexpr ChipSize chips[] = {
    {"0603", 1.6, 0.8, 0.5, 0.85, 0.9, 0.95},
    {"0805", 2.0, 1.25, 0.6, 1.0, 1.1, 1.4},
    {"1206", 3.2, 1.6, 0.6, 1.55, 1.2, 1.8},
    {"1210", 3.2, 2.5, 1.2, 1.55, 1.2, 2.7},
    {"2512", 6.3, 3.2, 0.6, 2.95, 1.6, 3.4},
};
constexpr ChipSize diodes[] = {
    {"SOD-123", 2.7, 1.6, 1.1, 1.65, 1.0, 1.2},
    {"SMA", 4.3, 2.6, 2.1, 2.1, 1.7, 1.8},
    {"SMB", 4.4, 3.6, 2.2, 2.2, 2.0, 2.4},
};

BodyPad flat(double x, double y, double w, double h) {
    return {{x, y}, PadShape::rect, w, h, 0.0};
}

BodyPad drilled(double x, double y, double size, double drill, PadShape shape = PadShape::round) {
    const double high = shape == PadShape::oval ? size * 1.4 : size;
    return {{x, y}, shape, size, high, drill};
}

// Two rows along x, numbered like a DIP seen from above: 1 at the lower left, on to the right,
// back along the upper row.
std::vector<BodyPad> two_rows(int pins, double pitch, double row_y, const BodyPad& like) {
    std::vector<BodyPad> pads;
    const int half = pins / 2;
    for (int i = 0; i < pins; ++i) {
        BodyPad pad = like;
        const int column = i < half ? i : pins - 1 - i;
        pad.at = {(column - (half - 1) / 2.0) * pitch, i < half ? row_y : -row_y};
        pads.push_back(pad);
    }
    return pads;
}

std::vector<BodyPad> in_line(std::size_t pins, double pitch, const BodyPad& like) {
    std::vector<BodyPad> pads;
    for (std::size_t i = 0; i < pins; ++i) {
        BodyPad pad = like;
        pad.at = {(static_cast<double>(i) - (static_cast<double>(pins) - 1.0) / 2.0) * pitch,
                  like.at.y_mm};
        pads.push_back(pad);
    }
    return pads;
}

std::optional<Body> two_ended(std::string_view name) {
    for (const ChipSize& c : chips) {
        if (c.name == name) {
            return Body{Form::chip,
                        c.length,
                        c.width,
                        c.height,
                        0.0,
                        "black",
                        {flat(-c.pad_at, 0, c.pad_length, c.pad_width),
                         flat(c.pad_at, 0, c.pad_length, c.pad_width)}};
        }
    }
    for (const ChipSize& c : diodes) {
        if (c.name == name) {
            return Body{Form::moulded,
                        c.length,
                        c.width,
                        c.height,
                        0.05,
                        "black",
                        {flat(-c.pad_at, 0, c.pad_length, c.pad_width),
                         flat(c.pad_at, 0, c.pad_length, c.pad_width)}};
        }
    }
    return std::nullopt;
}

std::optional<Body> surface_mounted(std::string_view name) {
    if (name == "SOT-23") {
        return Body{
            Form::moulded,
            2.9,
            1.4,
            1.0,
            0.05,
            "black",
            {flat(-0.95, 1.1, 0.8, 1.0), flat(0.95, 1.1, 0.8, 1.0), flat(0.0, -1.1, 0.8, 1.0)}};
    }
    if (name == "SOT-23-6") {
        return Body{Form::moulded,
                    2.9,
                    1.6,
                    1.1,
                    0.05,
                    "black",
                    two_rows(6, 0.95, 1.25, flat(0, 0, 0.6, 1.1))};
    }
    if (name == "SO-8") {
        return Body{Form::moulded,
                    4.9,
                    3.9,
                    1.5,
                    0.1,
                    "black",
                    two_rows(8, 1.27, 2.7, flat(0, 0, 0.65, 1.6))};
    }
    if (name == "SO-16") {
        return Body{Form::moulded,
                    9.9,
                    3.9,
                    1.5,
                    0.1,
                    "black",
                    two_rows(16, 1.27, 2.7, flat(0, 0, 0.65, 1.6))};
    }
    if (name == "MBS") {
        return Body{Form::moulded,
                    4.7,
                    3.9,
                    2.4,
                    0.1,
                    "black",
                    two_rows(4, 2.54, 3.0, flat(0, 0, 1.0, 1.6))};
    }
    if (name == "TO-252") {
        return Body{
            Form::moulded,
            6.5,
            6.1,
            2.3,
            0.05,
            "black",
            {flat(-2.28, 4.6, 1.3, 2.4), flat(0.0, -2.2, 5.8, 6.4), flat(2.28, 4.6, 1.3, 2.4)}};
    }
    return std::nullopt;
}

std::optional<Body> through_hole(std::string_view name,
                                 std::size_t pins,
                                 std::optional<double> pitch) {
    const double p = pitch.value_or(2.54);
    if (name == "DIP-4" || name == "DIP-6" || name == "DIP-8" || name == "DIP-14") {
        const int count = name == "DIP-4" ? 4 : name == "DIP-6" ? 6 : name == "DIP-8" ? 8 : 14;
        return Body{Form::moulded,
                    count / 2 * 2.54 - 0.4,
                    6.4,
                    3.6,
                    0.5,
                    "black",
                    two_rows(count, 2.54, 3.81, drilled(0, 0, 1.7, 0.8, PadShape::oval))};
    }
    if (name == "DB") {
        return Body{Form::moulded,
                    8.4,
                    6.4,
                    3.2,
                    0.5,
                    "black",
                    two_rows(4, 5.1, 3.9, drilled(0, 0, 2.0, 0.9))};
    }
    if (name == "TO-92") {
        return Body{Form::moulded,
                    4.8,
                    3.6,
                    5.0,
                    1.5,
                    "black",
                    in_line(3, pitch.value_or(2.0), drilled(0, 0, 1.5, 0.8))};
    }
    if (name == "TO-251" || name == "TO-220") {
        const bool big = name == "TO-220";
        return Body{Form::moulded,
                    big ? 10.0 : 6.6,
                    big ? 4.5 : 2.4,
                    big ? 18.0 : 9.0,
                    1.0,
                    "black",
                    in_line(3, big ? 2.54 : 2.29, drilled(0, 0, 1.7, 0.9, PadShape::oval))};
    }
    if (name == "EF20") {
        // Four pins on the side of the mains, two on the other.
        const double q = pitch.value_or(5.0);
        std::vector<BodyPad> pads = in_line(4, q, drilled(0, 8.0, 2.2, 1.0));
        pads.push_back(drilled(q, -8.0, 2.2, 1.0));
        pads.push_back(drilled(-q, -8.0, 2.2, 1.0));
        return Body{Form::wound, 20.0, 15.0, 16.0, 2.0, "yellow", std::move(pads)};
    }
    if (name == "EE13") {
        std::vector<BodyPad> pads = two_rows(8, pitch.value_or(2.54), 5.0, drilled(0, 0, 1.7, 0.8));
        return Body{Form::wound, 13.0, 10.0, 12.0, 1.5, "yellow", std::move(pads)};
    }
    if (name == "UU9.8") {
        return Body{Form::wound,
                    14.0,
                    10.0,
                    15.0,
                    1.0,
                    "yellow",
                    two_rows(4, pitch.value_or(7.0), 4.0, drilled(0, 0, 2.0, 0.9))};
    }
    if (name == "pin header") {
        const double n = static_cast<double>(pins);
        return Body{
            Form::box, n * p, 2.5, 8.5, 0.0, "black", in_line(pins, p, drilled(0, 0, 1.7, 1.0))};
    }
    if (name == "screw terminal") {
        const double q = pitch.value_or(5.08);
        return Body{Form::box,
                    static_cast<double>(pins) * q,
                    8.0,
                    10.0,
                    0.0,
                    "green",
                    in_line(pins, q, drilled(0, 0, 2.4, 1.3))};
    }
    if (name == "wires") {
        return Body{Form::wires,
                    1.7,
                    1.7,
                    3.0,
                    0.0,
                    "white",
                    in_line(pins, pitch.value_or(3.5), drilled(0, 0, 2.4, 1.2))};
    }
    if (name == "pin") {
        return Body{Form::none, 0, 0, 0, 0.0, "", in_line(pins, p, drilled(0, 0, 2.0, 1.0))};
    }
    return std::nullopt;
}

// "radial 10 mm" to 10.
std::optional<double> measure(std::string_view name, std::string_view family) {
    if (!name.starts_with(family) || !name.ends_with(" mm")) {
        return std::nullopt;
    }
    const std::string digits(name.substr(family.size(), name.size() - family.size() - 3));
    char* end = nullptr;
    const double value = std::strtod(digits.c_str(), &end);
    if (digits.empty() || end != digits.c_str() + digits.size() || value < 1.0 || value > 60.0) {
        return std::nullopt;
    }
    return value;
}

std::vector<BodyPad> pair_of(double pitch, double size, double drill) {
    return in_line(2, pitch, drilled(0, 0, size, drill));
}

double radial_pitch(double diameter) {
    return diameter < 5.5    ? 2.0
           : diameter < 7.0  ? 2.5
           : diameter < 9.0  ? 3.5
           : diameter < 14.0 ? 5.0
                             : 7.5;
}

std::optional<Body> measured(std::string_view name, std::optional<double> pitch) {
    if (const auto d = measure(name, "radial ")) {
        const double p = pitch.value_or(radial_pitch(*d));
        return Body{Form::standing,
                    *d,
                    *d,
                    *d < 7.0 ? 11.0 : 16.0,
                    0.3,
                    "dark green",
                    pair_of(p, std::min(1.9, p * 0.62), 0.8)};
    }
    if (const auto d = measure(name, "drum ")) {
        return Body{Form::standing,
                    *d,
                    *d,
                    *d * 1.2,
                    0.3,
                    "charcoal",
                    pair_of(pitch.value_or(5.0), 1.9, 0.9)};
    }
    if (const auto l = measure(name, "axial ")) {
        // Glass fuses are named by their diameter.
        const bool fuse = *l < 5.0;
        const double length = fuse ? 10.0 : *l;
        const double thick = fuse ? *l : *l < 7.0 ? 2.3 : *l < 10.0 ? 3.2 : 4.5;
        return Body{Form::lying,
                    length,
                    thick,
                    thick,
                    *l > 10.0 ? 2.5 : 0.4,
                    fuse ? "glass" : "beige",
                    pair_of(pitch.value_or(length + 5.0), 2.0, 0.9)};
    }
    if (const auto d = measure(name, "disc ")) {
        return Body{Form::disc,
                    *d,
                    *d * 0.22 + 2.0,
                    *d,
                    1.5,
                    "blue",
                    pair_of(pitch.value_or(*d > 8.5 ? 7.5 : 5.0), 1.9, 0.9)};
    }
    if (const auto p = measure(name, "film box ")) {
        const double width = *p < 8 ? 4.0 : *p < 12.0 ? 5.5 : *p < 18.0 ? 7.0 : 10.0;
        return Body{Form::box,
                    *p + 3.0,
                    width,
                    width * 1.7,
                    0.2,
                    "box yellow",
                    pair_of(pitch.value_or(*p), 2.0, 0.9)};
    }
    return std::nullopt;
}

std::optional<Body> axial_diode(std::string_view name, std::optional<double> pitch) {
    if (name == "DO-41") {
        return Body{
            Form::lying, 5.2, 2.7, 2.7, 0.3, "black", pair_of(pitch.value_or(10.16), 1.9, 0.9)};
    }
    if (name == "DO-201AD") {
        return Body{
            Form::lying, 9.3, 5.2, 5.2, 0.5, "black", pair_of(pitch.value_or(15.24), 2.4, 1.3)};
    }
    if (name == "DO-35") {
        return Body{
            Form::lying, 4.0, 1.9, 1.9, 0.2, "glass", pair_of(pitch.value_or(7.62), 1.6, 0.7)};
    }
    return std::nullopt;
}

}  // namespace

std::optional<Body> body_of(std::string_view name,
                            std::size_t pins,
                            std::optional<double> pitch_mm) {
    if (auto body = two_ended(name)) {
        return body;
    }
    if (auto body = surface_mounted(name)) {
        return body;
    }
    if (auto body = through_hole(name, pins, pitch_mm)) {
        return body;
    }
    if (auto body = axial_diode(name, pitch_mm)) {
        return body;
    }
    return measured(name, pitch_mm);
}

std::vector<std::string> known_bodies() {
    return {"0603",
            "0805",
            "1206",
            "1210",
            "2512",
            "SOD-123",
            "SMA",
            "SMB",
            "SOT-23",
            "SOT-23-6",
            "SO-8",
            "SO-16",
            "MBS",
            "TO-252",
            "DIP-4",
            "DIP-6",
            "DIP-8",
            "DIP-14",
            "DB",
            "TO-92",
            "TO-251",
            "TO-220",
            "EF20",
            "EE13",
            "UU9.8",
            "pin header",
            "screw terminal",
            "wires",
            "pin",
            "DO-35",
            "DO-41",
            "DO-201AD",
            "radial 10 mm",
            "drum 8 mm",
            "axial 6.3 mm",
            "disc 7 mm",
            "film box 10 mm"};
}

Point on_board(const Part& part, Point own) {
    const double turn = -part.turn_deg * std::numbers::pi / 180.0;  // y runs down
    const double x = part.side == Side::bottom ? -own.x_mm : own.x_mm;
    return {part.at.x_mm + x * std::cos(turn) - own.y_mm * std::sin(turn),
            part.at.y_mm + x * std::sin(turn) + own.y_mm * std::cos(turn)};
}

}  // namespace etchback::photographer
