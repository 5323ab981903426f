// Transformers and chokes, derived from the windings that the dossier names.
#include <algorithm>
#include <map>
#include <numeric>

#include "base/text.h"
#include "drawing/detail/pen.h"
#include "drawing/detail/shapes.h"

namespace etchback::drawing::detail {
namespace {

struct Coil {
    std::vector<int> pins;  // from top to bottom
    int dotted = -1;        // the pin that carries the dot; -1: not known
    bool on_left = false;
};

// The windings as said; pins that are named twice or not at all are left to the caller.
std::vector<Coil> said_coils(const circuit::Part& part) {
    std::vector<Coil> coils;
    std::vector<bool> taken(part.pins.size(), false);
    for (std::size_t w = 0; w < part.said.windings.size(); ++w) {
        const dossier::Winding& winding = part.said.windings[w];
        Coil coil;
        const std::string name = base::lowered(winding.name.value);
        coil.on_left = w == 0;
        for (const char* word : {"primary", "aux", "bias", "demag", "feedback"}) {
            coil.on_left = coil.on_left || name.find(word) != std::string::npos;
        }
        for (const dossier::Text& text : winding.pins) {
            const int pin = find_pin(part, {std::string_view(base::lowered(text.value))});
            if (pin >= 0 && !taken[static_cast<std::size_t>(pin)]) {
                taken[static_cast<std::size_t>(pin)] = true;
                coil.pins.push_back(pin);
                coil.dotted = coil.pins.size() == 1 ? pin : coil.dotted;
            }
        }
        if (coil.pins.size() >= 2) {
            coils.push_back(std::move(coil));
        }
    }
    return coils;
}

// Without words about windings: pins of one galvanic side are one winding; where the sides are not
// known either, pins next to each other in pairs. The first half of the windings is on the left.
std::vector<Coil> guessed_coils(const circuit::Part& part) {
    std::vector<Coil> coils;
    std::map<std::string, std::size_t> of_side;
    bool sided = true;
    for (std::size_t i = 0; i < part.pins.size(); ++i) {
        const std::string& side = part.pins[i].side;
        sided = sided && !side.empty();
        const auto [found, fresh] = of_side.emplace(side, coils.size());
        if (fresh) {
            coils.emplace_back();
        }
        coils[found->second].pins.push_back(static_cast<int>(i));
    }
    const bool enough = std::all_of(
        coils.begin(), coils.end(), [](const Coil& coil) { return coil.pins.size() >= 2; });
    if (!sided || !enough || coils.size() < 2) {
        coils.clear();
        for (std::size_t i = 0; i + 1 < part.pins.size(); i += 2) {
            coils.push_back({{static_cast<int>(i), static_cast<int>(i + 1)}, -1, false});
        }
        if (part.pins.size() % 2 == 1 && !coils.empty()) {
            coils.back().pins.push_back(static_cast<int>(part.pins.size()) - 1);
        }
    }
    for (std::size_t i = 0; i < coils.size(); ++i) {
        coils[i].on_left = 2 * i < coils.size();
    }
    return coils;
}

constexpr double reach = 3.0;  // x of the pins
constexpr double coil_x = 1.0;

int rows_of(const Coil& coil) {
    return std::max(4, 2 * (static_cast<int>(coil.pins.size()) - 1));
}

// In the order in which the windings stand from the left column's top downwards.
int column_rows(const std::vector<Coil>& column, int loose) {
    int rows = column.empty() ? -2 : 0;
    for (const Coil& coil : column) {
        rows += rows_of(coil) + 2;
    }
    rows -= column.empty() ? 0 : 2;
    return rows + 2 * loose;
}

// One winding: humps towards the core, leads outwards. `side` is -1 on the left, 1 on the right.
void draw_coil(Pen& pen, const Coil& coil, int side, int top) {
    const int rows = rows_of(coil);
    const double x = side * coil_x;
    const Point start{x, static_cast<double>(top)}, end{x, static_cast<double>(top + rows)};
    if (side < 0) {
        pen.humps(start, end, rows);
    } else {
        pen.humps(end, start, rows);
    }
    const int gaps = static_cast<int>(coil.pins.size()) - 1;
    for (int i = 0; i <= gaps; ++i) {
        const int y = top + (i == gaps ? rows : i * (rows / gaps));
        pen.line({{side * reach, static_cast<double>(y)}, {x, static_cast<double>(y)}});
        pen.pin(coil.pins[static_cast<std::size_t>(i)],
                {side * reach, static_cast<double>(y)},
                side < 0 ? Direction::left : Direction::right);
        if (coil.pins[static_cast<std::size_t>(i)] == coil.dotted) {
            pen.circle({side * 1.6, i == gaps ? y - 0.55 : y + 0.55}, 0.2, true);
        }
    }
}

// A pin that belongs to no winding ends in a small circle: a screen, an empty pin.
void draw_column(Pen& pen,
                 const std::vector<Coil>& column,
                 const std::vector<int>& loose,
                 int side,
                 int height) {
    int y = (height - column_rows(column, static_cast<int>(loose.size()))) / 2;
    for (const Coil& coil : column) {
        draw_coil(pen, coil, side, y);
        y += rows_of(coil) + 2;
    }
    for (const int pin : loose) {
        const double row = y;
        pen.pin(pin, {side * reach, row}, side < 0 ? Direction::left : Direction::right);
        pen.line({{side * reach, row}, {side * 1.7, row}}).circle({side * 1.5, row}, 0.2);
        y += 2;
    }
}

double height_of(const Coil& coil, std::span<const double> pin_height) {
    double sum = 0.0;
    for (const int pin : coil.pins) {
        sum += static_cast<std::size_t>(pin) < pin_height.size()
                   ? pin_height[static_cast<std::size_t>(pin)]
                   : 0.0;
    }
    return sum / static_cast<double>(coil.pins.size());
}

// Ends of a winding: as the heights say, else in the part's order of pins. A tap stays in between.
void order_pins(Coil& coil, std::span<const double> pin_height) {
    const std::vector<int> ends = by_height({std::min(coil.pins.front(), coil.pins.back()),
                                             std::max(coil.pins.front(), coil.pins.back())},
                                            pin_height);
    if (coil.pins.front() != ends.front()) {
        std::reverse(coil.pins.begin(), coil.pins.end());
    }
}

// One winding that holds all pins: upright, its ends above and below, its taps on the left.
Symbol tapped_coil(const Request& request, Coil coil) {
    order_pins(coil, request.pin_height);
    const int gaps = static_cast<int>(coil.pins.size()) - 1;
    const int rows = rows_of(coil);
    const double bottom = rows / 2;
    const double top = bottom - rows;
    constexpr double lead = 2.0;
    Pen pen{std::string(request.id)};
    pen.humps({0, top}, {0, bottom}, rows);
    pen.pin(coil.pins.front(), {0, top - lead}, Direction::up).line({{0, top - lead}, {0, top}});
    pen.pin(coil.pins.back(), {0, bottom + lead}, Direction::down);
    pen.line({{0, bottom + lead}, {0, bottom}});
    for (int i = 1; i < gaps; ++i) {
        const double y = top + i * (rows / gaps);
        pen.pin(coil.pins[static_cast<std::size_t>(i)], {-reach, y}, Direction::left);
        pen.line({{-reach, y}, {0, y}});
    }
    return pen.done();
}

std::optional<Symbol> transformer(const Request& request) {
    std::vector<Coil> coils = said_coils(request.part);
    if (coils.size() == 1 && coils.front().pins.size() == request.part.pins.size()) {
        return tapped_coil(request, coils.front());
    }
    if (coils.empty()) {
        coils = guessed_coils(request.part);
    }
    if (coils.size() < 2) {
        return std::nullopt;
    }
    std::vector<bool> wound(request.part.pins.size(), false);
    std::vector<Coil> left, right;
    for (Coil& coil : coils) {
        order_pins(coil, request.pin_height);
        for (const int pin : coil.pins) {
            wound[static_cast<std::size_t>(pin)] = true;
        }
        (coil.on_left ? left : right).push_back(coil);
    }
    if (right.empty()) {  // an auxiliary winding alone opposite the first
        right.assign(left.begin() + 1, left.end());
        left.resize(1);
    }
    std::vector<int> loose;
    for (std::size_t i = 0; i < wound.size(); ++i) {
        if (!wound[i]) {
            loose.push_back(static_cast<int>(i));
        }
    }
    for (std::vector<Coil>* column : {&left, &right}) {
        std::stable_sort(column->begin(), column->end(), [&](const Coil& a, const Coil& b) {
            return height_of(a, request.pin_height) > height_of(b, request.pin_height);
        });
    }
    const int height =
        std::max(column_rows(left, static_cast<int>(loose.size())), column_rows(right, 0));
    Pen pen{std::string(request.id)};
    draw_column(pen, left, loose, -1, height);
    draw_column(pen, right, {}, 1, height);
    for (const double x : {-0.15, 0.15}) {
        pen.line({{x, 0}, {x, static_cast<double>(height)}});
    }
    return pen.done();
}

// Two windings on one core, one above the other; each carries the dot at its left end unless the
// dossier says otherwise.
std::optional<Symbol> common_mode_choke(const Request& request) {
    std::vector<Coil> coils = said_coils(request.part);
    const bool said = coils.size() == 2;
    if (!said) {
        coils = guessed_coils(request.part);
    }
    if (request.part.pins.size() != 4 || coils.size() != 2 || coils[0].pins.size() != 2 ||
        coils[1].pins.size() != 2) {
        return std::nullopt;
    }
    if (height_of(coils[1], request.pin_height) > height_of(coils[0], request.pin_height)) {
        std::swap(coils[0], coils[1]);
    }
    Pen pen{std::string(request.id)};
    for (int i = 0; i < 2; ++i) {
        const Coil& coil = coils[static_cast<std::size_t>(i)];
        const double y = i == 0 ? -1.0 : 1.0;
        pen.pin(coil.pins[0], {-reach, y}, Direction::left);
        pen.pin(coil.pins[1], {reach, y}, Direction::right);
        pen.line({{-reach, y}, {-2, y}}).line({{2, y}, {reach, y}});
        pen.humps({i == 0 ? -2.0 : 2.0, y}, {i == 0 ? 2.0 : -2.0, y}, 4);
        pen.circle({-2.4, y * 1.45}, 0.2, true);
        pen.line({{-2, y * 0.2}, {2, y * 0.2}});
    }
    return pen.done();
}

constexpr ShapeRow rows[] = {
    {"transformer", transformer},
    {"common_mode_choke", common_mode_choke},
};

}  // namespace

std::span<const ShapeRow> winding_shapes() {
    return rows;
}

}  // namespace etchback::drawing::detail
