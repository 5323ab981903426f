// Two-pin parts that lie along the x axis from (-3, 0) to (3, 0).
#include "drawing/detail/pen.h"
#include "drawing/detail/shapes.h"

namespace etchback::drawing::detail {
namespace {

// IEC: a rectangle. ANSI: a zigzag.
void resistor_body(Pen& pen, bool ansi) {
    if (ansi) {
        pen.line({{-1.8, 0},
                  {-1.5, -0.7},
                  {-0.9, 0.7},
                  {-0.3, -0.7},
                  {0.3, 0.7},
                  {0.9, -0.7},
                  {1.5, 0.7},
                  {1.8, 0}});
    } else {
        pen.rect({-1.8, -0.6, 1.8, 0.6});
    }
}

std::optional<Symbol> resistor(const Request& request) {
    return two_pin(request, 1.8, [&](Pen& pen) { resistor_body(pen, request.ansi()); });
}

// A resistor and a fuse in one. IEC: the rectangle with a wire thinned to a wave inside it. ANSI: a
// short zigzag that ends in the fuse's wave.
std::optional<Symbol> fusible_resistor(const Request& request) {
    return two_pin(request, 1.8, [&](Pen& pen) {
        if (request.ansi()) {
            pen.line({{-1.8, 0}, {-1.6, -0.7}, {-1.2, 0.7}, {-0.8, -0.7}, {-0.4, 0.7}, {-0.2, 0}});
            pen.path("M-0.2 0A0.5 0.5 0 0 1 0.8 0A0.5 0.5 0 0 0 1.8 0");
        } else {
            pen.rect({-1.8, -0.6, 1.8, 0.6});
            pen.path("M-1.8 0L-0.8 0A0.4 0.4 0 0 1 0 0A0.4 0.4 0 0 0 0.8 0L1.8 0");
        }
    });
}

// A resistor that depends on something: a slanted line with a foot, and the letter for it.
std::optional<Symbol> dependent(const Request& request, std::string_view letter) {
    return two_pin(request, 1.8, [&](Pen& pen) {
        resistor_body(pen, request.ansi());
        pen.line({{-2.0, 1.3}, {-1.3, 1.3}, {1.3, -1.3}});
        pen.word(letter, {-0.3, 1.75}, Word::Anchor::start, 0.9);
    });
}
std::optional<Symbol> ntc(const Request& request) {
    return dependent(request, "−t°");
}
std::optional<Symbol> ptc(const Request& request) {
    return dependent(request, "+t°");
}
// IEC writes U for voltage, ANSI writes V.
std::optional<Symbol> varistor(const Request& request) {
    return dependent(request, request.ansi() ? "V" : "U");
}

// The middle pin slides along the resistor.
std::optional<Symbol> potentiometer(const Request& request) {
    if (request.part.pins.size() != 3) {
        return std::nullopt;
    }
    const int named = find_pin(request.part, {"wiper", "w", "slider"});
    const int wiper = named < 0 ? 1 : named;
    const int first = wiper == 0 ? 1 : 0;
    Pen pen{std::string(request.id)};
    pen.pin(first, {-two_pin_reach, 0}, Direction::left)
        .pin(3 - first - wiper, {two_pin_reach, 0}, Direction::right)
        .pin(wiper, {0, -two_pin_reach}, Direction::up);
    pen.line({{-two_pin_reach, 0}, {-1.8, 0}}).line({{1.8, 0}, {two_pin_reach, 0}});
    resistor_body(pen, request.ansi());
    pen.arrow({0, -two_pin_reach}, {0, request.ansi() ? -0.35 : -0.6});
    return pen.done();
}

std::optional<Symbol> light_resistor(const Request& request) {
    return two_pin(request, 1.8, [&](Pen& pen) {
        resistor_body(pen, request.ansi());
        pen.arrow({-1.7, -2.1}, {-0.8, -0.9}, 0.5).arrow({-0.7, -2.1}, {0.2, -0.9}, 0.5);
    });
}

// IEC: two plates. ANSI: the second plate is curved.
std::optional<Symbol> capacitor(const Request& request) {
    return two_pin(request, 0.4, [&](Pen& pen) {
        pen.line({{-0.4, -1.2}, {-0.4, 1.2}});
        if (request.ansi()) {
            pen.arc({0.75, -1.2}, {0.75, 1.2}, 2.23, false);
        } else {
            pen.line({{0.4, -1.2}, {0.4, 1.2}});
        }
    });
}

// IEC: an open plate and a filled one. ANSI: a straight and a curved one. Both with a plus.
std::optional<Symbol> polarised_capacitor(const Request& request) {
    return two_pin(request, request.ansi() ? 0.4 : 0.7, [&](Pen& pen) {
        if (request.ansi()) {
            pen.line({{-0.4, -1.2}, {-0.4, 1.2}});
            pen.arc({0.75, -1.2}, {0.75, 1.2}, 2.23, false);
        } else {
            pen.rect({-0.7, -1.2, -0.25, 1.2});
            pen.rect({0.25, -1.2, 0.7, 1.2}, true);
        }
        pen.plus({-1.3, -0.8});
    });
}

std::optional<Symbol> inductor(const Request& request) {
    return two_pin(request, 2.0, [&](Pen& pen) { pen.humps({-2, 0}, {2, 0}, 4); });
}

// A core slanted across the wire.
std::optional<Symbol> ferrite_bead(const Request& request) {
    return two_pin(request, 0.0, [&](Pen& pen) {
        pen.line({{-two_pin_reach, 0}, {two_pin_reach, 0}});
        pen.shape({{-1.3, 0.5}, {0.7, -1.1}, {1.3, -0.5}, {-0.7, 1.1}});
    });
}

// IEC: the wire runs through the rectangle. ANSI: a wave.
void fuse_body(Pen& pen, bool ansi) {
    if (ansi) {
        pen.path("M-1.8 0A0.9 0.9 0 0 1 0 0A0.9 0.9 0 0 0 1.8 0");
    } else {
        pen.rect({-1.8, -0.6, 1.8, 0.6});
        pen.line({{-1.8, 0}, {1.8, 0}});
    }
}

std::optional<Symbol> fuse(const Request& request) {
    return two_pin(request, 1.8, [&](Pen& pen) { fuse_body(pen, request.ansi()); });
}

std::optional<Symbol> thermal_fuse(const Request& request) {
    return two_pin(request, 1.8, [&](Pen& pen) {
        fuse_body(pen, request.ansi());
        pen.word("t°", {0, request.ansi() ? 1.8 : 1.5}, Word::Anchor::middle, 0.9);
    });
}

std::optional<Symbol> spark_gap(const Request& request) {
    return two_pin(request, 1.6, [&](Pen& pen) {
        pen.shape({{-1.6, -0.7}, {-1.6, 0.7}, {-0.25, 0}}, true);
        pen.shape({{1.6, -0.7}, {1.6, 0.7}, {0.25, 0}}, true);
    });
}

// Two electrodes in a gas-filled envelope; the dot stands for the gas.
std::optional<Symbol> gas_discharge_tube(const Request& request) {
    return two_pin(request, 0.9, [&](Pen& pen) {
        pen.circle({0, 0}, 1.5);
        pen.shape({{-0.9, -0.45}, {-0.9, 0.45}, {-0.2, 0}}, true);
        pen.shape({{0.9, -0.45}, {0.9, 0.45}, {0.2, 0}}, true);
        pen.circle({0.5, 0.95}, 0.15, true);
    });
}

std::optional<Symbol> crystal(const Request& request) {
    return two_pin(request, 0.85, [&](Pen& pen) {
        pen.line({{-0.85, -0.9}, {-0.85, 0.9}}).line({{0.85, -0.9}, {0.85, 0.9}});
        pen.rect({-0.45, -1.3, 0.45, 1.3});
    });
}

// IEC: a circle with a cross. ANSI: a circle with a filament.
std::optional<Symbol> lamp(const Request& request) {
    return two_pin(request, 1.3, [&](Pen& pen) {
        pen.circle({0, 0}, 1.3);
        if (request.ansi()) {
            pen.path("M-1.3 0L-0.5 0A0.5 0.5 0 1 1 0.5 0L1.3 0");
        } else {
            const double d = 0.919;  // 1.3 times the cosine of 45 degrees
            pen.line({{-d, -d}, {d, d}}).line({{-d, d}, {d, -d}});
        }
    });
}

std::optional<Symbol> motor(const Request& request) {
    return two_pin(request, 1.5, [&](Pen& pen) {
        pen.circle({0, 0}, 1.5).word("M", {0, 0.42}, Word::Anchor::middle, 1.5);
    });
}

std::optional<Symbol> load(const Request& request) {
    return two_pin(request, 1.5, [&](Pen& pen) {
        pen.rect({-1.5, -1.5, 1.5, 1.5}).word("load", {0, 0.35}, Word::Anchor::middle, 1.1);
    });
}

std::optional<Symbol> loudspeaker(const Request& request) {
    return two_pin(request, 0.9, [&](Pen& pen) {
        pen.rect({-0.9, -0.5, 0.9, 0.5});
        pen.line({{-0.9, -0.5}, {-1.7, -1.5}, {1.7, -1.5}, {0.9, -0.5}});
    });
}

// Two cells stand for any number.
std::optional<Symbol> battery(const Request& request) {
    return two_pin(request, 0.75, [&](Pen& pen) {
        for (const double x : {-0.75, 0.25}) {
            pen.line({{x, -1.3}, {x, 1.3}});
            pen.rect({x + 0.4, -0.6, x + 0.5, 0.6}, true);
        }
        pen.plus({-1.4, -0.9});
    });
}

constexpr ShapeRow rows[] = {
    {"resistor", resistor},
    {"fusible_resistor", fusible_resistor},
    {"ntc", ntc},
    {"ptc", ptc},
    {"varistor", varistor},
    {"potentiometer", potentiometer},
    {"light_resistor", light_resistor},
    {"capacitor", capacitor},
    {"polarised_capacitor", polarised_capacitor},
    {"inductor", inductor},
    {"ferrite_bead", ferrite_bead},
    {"fuse", fuse},
    {"thermal_fuse", thermal_fuse},
    {"spark_gap", spark_gap},
    {"gas_discharge_tube", gas_discharge_tube},
    {"crystal", crystal},
    {"lamp", lamp},
    {"motor", motor},
    {"load", load},
    {"loudspeaker", loudspeaker},
    {"battery", battery},
};

}  // namespace

std::span<const ShapeRow> passive_shapes() {
    return rows;
}

}  // namespace etchback::drawing::detail
