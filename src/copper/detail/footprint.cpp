#include "copper/detail/footprint.h"

#include <algorithm>
#include <cmath>
#include <complex>
#include <numbers>
#include <sstream>

namespace etchback::copper::detail {

namespace {

// As seen from above with the lower row along the bottom edge, pin 1 at the lower left.
using Grid = std::vector<std::vector<std::string>>;

Grid grid_in(const std::string& leads) {
    Grid rows(1);
    std::istringstream words(leads);
    for (std::string word; words >> word;) {
        if (word == "/") {
            rows.emplace_back();
        } else {
            rows.back().push_back(word);
        }
    }
    return rows;
}

// 1 to n/2 along the lower row, back along the upper one.
Grid counted_round(int pins) {
    Grid rows(2);
    for (int i = 1; i <= pins / 2; ++i) {
        rows[0].push_back(std::to_string(i));
        rows[1].push_back(std::to_string(pins + 1 - i));
    }
    return rows;
}

Grid in_line(int pins) {
    Grid rows(1);
    for (int i = 1; i <= pins; ++i) {
        rows[0].push_back(std::to_string(i));
    }
    return rows;
}

Footprint of_two_pins(double apart_mm) {
    return {.pins = {{"1", {-apart_mm / 2, 0.0}}, {"2", {apart_mm / 2, 0.0}}}};
}

// Turned so that the lower row becomes the left one: pin 1 at the upper left.
Footprint of_grid(const Grid& grid, double pitch_mm, double row_mm) {
    Footprint made;
    made.two_rows = grid.size() == 2;
    for (std::size_t row = 0; row < grid.size(); ++row) {
        const double along = static_cast<double>(grid[row].size() - 1) / 2.0;
        for (std::size_t i = 0; i < grid[row].size(); ++i) {
            if (grid[row][i] != ".") {
                const double step = (static_cast<double>(i) - along) * pitch_mm;
                const double across = (row == 0 ? -0.5 : 0.5) * row_mm;
                made.pins.push_back(
                    {grid[row][i], made.two_rows ? Point{across, step} : Point{step, 0.0}});
            }
        }
    }
    return made;
}

using Complex = std::complex<double>;

Complex number(Point p) {
    return {p.x_mm, p.y_mm};
}

Point point(Complex z) {
    return {z.real(), z.imag()};
}

Complex of_pin(const Footprint& footprint, std::size_t pin, bool mirrored) {
    const Complex z = number(footprint.pins[pin].at);
    return mirrored ? Complex(-z.real(), z.imag()) : z;
}

// The rows' distance from two pins of different rows; that of the body where there are none.
double row_from(const Footprint& footprint, const std::vector<KnownPin>& known, double row_mm) {
    for (std::size_t i = 0; i < known.size(); ++i) {
        for (std::size_t j = i + 1; j < known.size(); ++j) {
            const Point a = footprint.pins[known[i].pin].at;
            const Point b = footprint.pins[known[j].pin].at;
            if ((a.x_mm < 0) == (b.x_mm < 0)) {
                continue;
            }
            const double along = a.y_mm - b.y_mm;
            const double apart = std::abs(number(known[i].at) - number(known[j].at));
            if (apart > std::abs(along)) {
                return std::sqrt(apart * apart - along * along);
            }
        }
    }
    return row_mm;
}

}  // namespace

std::optional<Footprint> footprint_of(const parts::Body& body) {
    const double row_mm = body.row_mm > 0 ? body.row_mm : body.width_mm;
    if (!body.leads.empty()) {
        const Grid grid = grid_in(body.leads);
        Footprint made = of_grid(grid, body.pin_pitch_mm, row_mm);
        made.row_known = body.row_mm > 0;
        return body.pin_pitch_mm > 0 ? std::optional(made) : std::nullopt;
    }
    if (body.pins == 2) {
        const double apart = body.pin_pitch_mm > 0 ? body.pin_pitch_mm
                             : body.row_mm > 0     ? body.row_mm
                             : body.through_hole   ? 0.0
                                                   : body.length_mm;
        return apart > 0 ? std::optional(of_two_pins(apart)) : std::nullopt;
    }
    if (body.pins < 2 || body.pin_pitch_mm <= 0) {
        return std::nullopt;
    }
    if (body.row_mm > 0 && body.pins % 2 == 0) {
        return of_grid(counted_round(body.pins), body.pin_pitch_mm, body.row_mm);
    }
    // Odd numbers in two rows leave a place empty, and only the leads say which.
    return body.row_mm > 0 ? std::nullopt
                           : std::optional(of_grid(in_line(body.pins), body.pin_pitch_mm, 0.0));
}

std::optional<Placed> placed_by_pins(Footprint footprint,
                                     const std::vector<KnownPin>& known,
                                     bool mirrored) {
    if (known.size() < 2) {
        return std::nullopt;
    }
    if (footprint.two_rows) {
        const double old_mm = 2.0 * std::abs(footprint.pins.front().at.x_mm);
        const double row_mm = row_from(footprint, known, old_mm);
        for (BodyPin& pin : footprint.pins) {
            pin.at.x_mm = (pin.at.x_mm < 0 ? -0.5 : 0.5) * row_mm;
        }
    }
    Complex mean_pin = 0.0;
    Complex mean_place = 0.0;
    for (const KnownPin& pin : known) {
        mean_pin += of_pin(footprint, pin.pin, mirrored);
        mean_place += number(pin.at);
    }
    mean_pin /= static_cast<double>(known.size());
    mean_place /= static_cast<double>(known.size());
    // The turn of least squares: the argument of the sum of products.
    Complex turn = 0.0;
    for (const KnownPin& pin : known) {
        turn += (number(pin.at) - mean_place) *
                std::conj(of_pin(footprint, pin.pin, mirrored) - mean_pin);
    }
    if (std::abs(turn) < 1e-9) {
        return std::nullopt;
    }
    turn /= std::abs(turn);
    Placed placed;
    for (std::size_t i = 0; i < footprint.pins.size(); ++i) {
        const Complex z = of_pin(footprint, i, mirrored) - mean_pin;
        placed.pins.push_back(point(mean_place + turn * z));
    }
    for (const KnownPin& pin : known) {
        const double off = std::abs(number(placed.pins[pin.pin]) - number(pin.at));
        placed.misfit_mm = std::max(placed.misfit_mm, off);
    }
    return placed;
}

std::vector<Point> placed_by_middle(const Footprint& footprint,
                                    Point middle,
                                    double turn_deg,
                                    bool mirrored) {
    // With y down, counter-clockwise is the negative sense.
    const Complex turn = std::polar(1.0, -turn_deg * std::numbers::pi / 180.0);
    std::vector<Point> pins;
    for (std::size_t i = 0; i < footprint.pins.size(); ++i) {
        pins.push_back(point(number(middle) + turn * of_pin(footprint, i, mirrored)));
    }
    return pins;
}

}  // namespace etchback::copper::detail
