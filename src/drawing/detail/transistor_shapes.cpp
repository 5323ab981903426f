// Three-pin parts that stand along the y axis: control pin left at (-3, 0), main pins at (0, -3)
// and (0, 3), the more positive one on top. ANSI puts transistors into an envelope circle.
#include "drawing/detail/pen.h"
#include "drawing/detail/shapes.h"

namespace etchback::drawing::detail {
namespace {

struct ThreePins {
    int control, top, bottom;
};

std::optional<Pen> three_pin(const Request& request,
                             const ThreePins& pins,
                             double control_y = 0.0) {
    const bool distinct = pins.control >= 0 && pins.top >= 0 && pins.bottom >= 0 &&
                          pins.control != pins.top && pins.top != pins.bottom &&
                          pins.control != pins.bottom;
    if (!distinct || request.part.pins.size() != 3) {
        return std::nullopt;
    }
    Pen pen{std::string(request.id)};
    pen.pin(pins.control, {-3, control_y}, Direction::left);
    pen.pin(pins.top, {0, -3}, Direction::up).pin(pins.bottom, {0, 3}, Direction::down);
    return pen;
}

// Base bar, collector and emitter; the emitter is at the bottom of an NPN, on top of a PNP.
void bipolar_body(Pen& pen, bool npn) {
    pen.line({{-1.4, -1.2}, {-1.4, 1.2}});
    if (npn) {
        pen.line({{-1.4, -0.5}, {0, -1.6}, {0, -3}});
        pen.arrow({-1.4, 0.5}, {0, 1.6}).line({{0, 1.6}, {0, 3}});
    } else {
        pen.line({{-1.4, 0.5}, {0, 1.6}, {0, 3}});
        pen.line({{0, -3}, {0, -1.6}}).arrow({0, -1.6}, {-1.4, -0.5});
    }
}

std::optional<Symbol> bipolar(const Request& request, bool npn) {
    const int collector = find_pin(request.part, {"collector", "c"});
    const int emitter = find_pin(request.part, {"emitter", "e"});
    const int base = find_pin(request.part, {"base", "b"});
    std::optional<Pen> pen =
        three_pin(request, {base, npn ? collector : emitter, npn ? emitter : collector});
    if (!pen) {
        return std::nullopt;
    }
    pen->line({{-3, 0}, {-1.4, 0}});
    bipolar_body(*pen, npn);
    if (request.ansi()) {
        pen->circle({-0.6, 0}, 2.0);
    }
    return pen->done();
}
std::optional<Symbol> npn(const Request& request) {
    return bipolar(request, true);
}
std::optional<Symbol> pnp(const Request& request) {
    return bipolar(request, false);
}

// An NPN whose base is light.
std::optional<Symbol> phototransistor(const Request& request) {
    const int collector = find_pin(request.part, {"collector", "c"});
    const int emitter = find_pin(request.part, {"emitter", "e"});
    if (request.part.pins.size() != 2 || collector < 0 || emitter < 0 || collector == emitter) {
        return std::nullopt;
    }
    Pen pen{std::string(request.id)};
    pen.pin(collector, {0, -3}, Direction::up).pin(emitter, {0, 3}, Direction::down);
    bipolar_body(pen, true);
    pen.arrow({-2.9, -1.1}, {-1.7, -0.4}, 0.5).arrow({-2.9, -0.1}, {-1.7, 0.6}, 0.5);
    if (request.ansi()) {
        pen.circle({-0.6, 0}, 2.0);
    }
    return pen.done();
}

// Enhancement type with its body diode. The arrow of the body points to the channel of an N type
// and away from that of a P type; the body is tied to the source.
std::optional<Symbol> mosfet(const Request& request, bool n_type) {
    const int gate = find_pin(request.part, {"gate", "g"});
    const int drain = find_pin(request.part, {"drain", "d"});
    const int source = find_pin(request.part, {"source", "s"});
    std::optional<Pen> pen =
        three_pin(request, {gate, n_type ? drain : source, n_type ? source : drain});
    if (!pen) {
        return std::nullopt;
    }
    const double source_y = n_type ? 1.0 : -1.0;
    pen->line({{-3, 0}, {-1.9, 0}}).line({{-1.9, -1.1}, {-1.9, 1.1}});
    for (const double y : {-1.0, 0.0, 1.0}) {
        pen->line({{-1.4, y - 0.35}, {-1.4, y + 0.35}});
    }
    pen->line({{-1.4, -1}, {0, -1}, {0, -3}}).line({{-1.4, 1}, {0, 1}, {0, 3}});
    pen->line({{0, 0}, {0, source_y}});
    if (n_type) {
        pen->arrow({0, 0}, {-1.4, 0});
    } else {
        pen->line({{-1.4, 0}, {-0.8, 0}}).arrow({-0.8, 0}, {0, 0});
    }
    pen->line({{0, -1.7}, {0.9, -1.7}, {0.9, 1.7}, {0, 1.7}});
    pen->shape({{0.45, 0.35}, {1.35, 0.35}, {0.9, -0.35}}, true);
    pen->line({{0.45, -0.35}, {1.35, -0.35}});
    pen->circle({0, -1.7}, 0.13, true)
        .circle({0, 1.7}, 0.13, true)
        .circle({0, source_y}, 0.13, true);
    if (request.ansi()) {
        pen->circle({-0.4, 0}, 2.3);
    }
    return pen->done();
}
std::optional<Symbol> n_mosfet(const Request& request) {
    return mosfet(request, true);
}
std::optional<Symbol> p_mosfet(const Request& request) {
    return mosfet(request, false);
}

std::optional<Symbol> igbt(const Request& request) {
    std::optional<Pen> pen = three_pin(request,
                                       {find_pin(request.part, {"gate", "g"}),
                                        find_pin(request.part, {"collector", "c"}),
                                        find_pin(request.part, {"emitter", "e"})});
    if (!pen) {
        return std::nullopt;
    }
    pen->line({{-3, 0}, {-1.9, 0}}).line({{-1.9, -1.1}, {-1.9, 1.1}});
    bipolar_body(*pen, true);
    if (request.ansi()) {
        pen->circle({-0.7, 0}, 2.0);
    }
    return pen->done();
}

std::optional<Symbol> jfet(const Request& request, bool n_type) {
    const int gate = find_pin(request.part, {"gate", "g"});
    const int drain = find_pin(request.part, {"drain", "d"});
    const int source = find_pin(request.part, {"source", "s"});
    std::optional<Pen> pen =
        three_pin(request, {gate, n_type ? drain : source, n_type ? source : drain});
    if (!pen) {
        return std::nullopt;
    }
    pen->line({{-1.2, -1.3}, {-1.2, 1.3}});
    pen->line({{-1.2, -0.9}, {0, -0.9}, {0, -3}}).line({{-1.2, 0.9}, {0, 0.9}, {0, 3}});
    if (n_type) {
        pen->arrow({-3, 0}, {-1.2, 0});
    } else {
        pen->line({{-3, 0}, {-2.6, 0}}).arrow({-1.2, 0}, {-2.6, 0});
    }
    if (request.ansi()) {
        pen->circle({-0.6, 0}, 1.9);
    }
    return pen->done();
}
std::optional<Symbol> n_jfet(const Request& request) {
    return jfet(request, true);
}
std::optional<Symbol> p_jfet(const Request& request) {
    return jfet(request, false);
}

constexpr double gate_y = 2.0;  // of a thyristor and a triac: at the cathode's end

// Anode on top. IEC: open; ANSI: filled.
std::optional<Symbol> thyristor(const Request& request) {
    std::optional<Pen> pen = three_pin(request,
                                       {find_pin(request.part, {"gate", "g"}),
                                        find_pin(request.part, {"anode", "a"}),
                                        find_pin(request.part, {"cathode", "k", "c"})},
                                       gate_y);
    if (!pen) {
        return std::nullopt;
    }
    pen->line({{0, -3}, {0, request.ansi() ? -0.9 : 0.9}}).line({{0, 0.9}, {0, 3}});
    pen->shape({{-1, -0.9}, {1, -0.9}, {0, 0.9}}, request.ansi());
    pen->line({{-1, 0.9}, {1, 0.9}});
    pen->line({{-0.5, 0.9}, {-1.6, gate_y}, {-3, gate_y}});
    return pen->done();
}

// Main terminal 2 on top, the gate beside main terminal 1.
std::optional<Symbol> triac(const Request& request) {
    std::optional<Pen> pen = three_pin(request,
                                       {find_pin(request.part, {"gate", "g"}),
                                        find_pin(request.part, {"mt2", "a2", "t2", "main 2"}),
                                        find_pin(request.part, {"mt1", "a1", "t1", "main 1"})},
                                       gate_y);
    if (!pen) {
        return std::nullopt;
    }
    pen->line({{0, -3}, {0, -0.9}}).line({{0, 0.9}, {0, 3}});
    pen->line({{-1.6, -0.9}, {1.6, -0.9}}).line({{-1.6, 0.9}, {1.6, 0.9}});
    pen->shape({{-1.6, 0.9}, {0, 0.9}, {-0.8, -0.9}}, request.ansi());
    pen->shape({{1.6, -0.9}, {0, -0.9}, {0.8, 0.9}}, request.ansi());
    pen->line({{-0.9, 0.9}, {-1.8, gate_y}, {-3, gate_y}});
    return pen->done();
}

// Like a Zener diode that stands on its anode, with the reference pin at its side.
std::optional<Symbol> shunt_regulator(const Request& request) {
    std::optional<Pen> pen = three_pin(request,
                                       {find_pin(request.part, {"reference", "ref", "r"}),
                                        find_pin(request.part, {"cathode", "k"}),
                                        find_pin(request.part, {"anode", "a"})});
    if (!pen) {
        return std::nullopt;
    }
    pen->line({{0, -3}, {0, request.ansi() ? -0.9 : 0.9}}).line({{0, 0.9}, {0, 3}});
    pen->shape({{-1, 0.9}, {1, 0.9}, {0, -0.9}}, request.ansi());
    if (request.ansi()) {
        pen->line({{-1.3, -0.45}, {-1, -0.9}, {1, -0.9}, {1.3, -1.35}});
    } else {
        pen->line({{-1, -0.4}, {-1, -0.9}, {1, -0.9}});
    }
    pen->line({{-3, 0}, {-0.5, 0}});
    return pen->done();
}

constexpr ShapeRow rows[] = {
    {"npn", npn},
    {"pnp", pnp},
    {"phototransistor", phototransistor},
    {"nmos", n_mosfet},
    {"pmos", p_mosfet},
    {"igbt", igbt},
    {"njfet", n_jfet},
    {"pjfet", p_jfet},
    {"thyristor", thyristor},
    {"triac", triac},
    {"shunt_regulator", shunt_regulator},
};

}  // namespace

std::span<const ShapeRow> transistor_shapes() {
    return rows;
}

}  // namespace etchback::drawing::detail
