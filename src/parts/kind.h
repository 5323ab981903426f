// What kinds of part there are: their pins, the quantities that describe them, how they are drawn
// and what they do to galvanic isolation. All of it is data (data/parts/*.toml).
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/quantity.h"

namespace etchback::parts {

// What a pin is for, as far as drawing and sanity need it.
enum class PinRole {
    passive,   // either way round: a resistor's ends
    positive,  // the end that should be the more positive: anode of an electrolytic's plate,
               // anode of a conducting diode, plus of a supply
    negative,
    input,   // takes a signal: gate, base, inverting input
    output,  // gives one
    supply,  // feeds a chip: VCC
    ground,  // a chip's return
    line,    // mains live or neutral
    earth,   // protective earth
};

std::string_view name_of(PinRole role);

struct PinSpec {
    std::string name;                  // "anode"; what the dossier and messages use
    std::vector<std::string> aliases;  // "a", "A", "+", "1"
    PinRole role = PinRole::passive;
    std::string side;  // for galvanic isolation: pins of one `side` are conductively tied inside
                       // the part ("primary", "secondary"); empty: all pins are tied together
    bool optional = false;  // often left open or drawn elsewhere: protective earth, spare contact
    bool operator==(const PinSpec&) const = default;
};

// A quantity that a part of this kind may state under its own key, besides the common ones.
struct Property {
    std::string key;  // "forward_voltage"
    base::Unit unit = base::Unit::none;
    std::string title;
    bool operator==(const Property&) const = default;
};

// How current passes between pins of different `side`s, or across a two-pin part.
enum class Coupling {
    conductive,  // resistor, diode, coil: a galvanic path
    capacitive,  // capacitor: no galvanic path for DC, a path for AC
    magnetic,    // transformer between its windings
    optical,     // optocoupler
    gap,         // spark gap, varistor, open relay contact to coil: an insulation until it fires
    none,        // connector pins, test point: pins are not tied to each other at all
};

std::string_view name_of(Coupling coupling);

struct Kind {
    std::string id;      // "x2_capacitor": lower case, words joined by underscore
    std::string title;   // "X2 capacitor": as people read it
    std::string family;  // "capacitor": what rules ask for; one of a short list, see data/parts
    std::vector<std::string> aliases;  // other spellings that the dossier accepts
    std::string prefix;  // letter of its names, IEC 81346-2/usual practice: "R", "C", "D", "Q" ...
    std::string symbol;  // id of the drawing symbol; "box" if it has none of its own
    base::Unit value_unit = base::Unit::none;  // of `value`; none: the value is a type name
    bool value_needed = false;                 // the circuit can't be computed without it
    bool polarised = false;
    bool off_board = false;  // mains, LED string, battery: not soldered to this board
    bool open_pins =
        false;  // may have pins beyond those listed (controller, connector, transformer)
    Coupling coupling = Coupling::conductive;
    std::string safety_class;  // "X1", "X2", "Y1", "Y2" or empty
    std::vector<PinSpec> pins;
    std::vector<Property> properties;

    // The pin called `name` or having it as alias (case ignored), if any.
    std::optional<std::size_t> pin(std::string_view name) const;
    bool operator==(const Kind&) const = default;
};

}  // namespace etchback::parts
