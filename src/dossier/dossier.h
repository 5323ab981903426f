// A dossier: the evidence about one item, as its owner wrote it down. Nothing in here is derived.
//
// The file format is described in docs/dossier-format.md. Every value that the person wrote keeps
// its place in the file (base::Placed), so that any later complaint can point at it; equality
// ignores places.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "base/error.h"
#include "base/quantity.h"
#include "parts/kind.h"

namespace etchback::dossier {

using base::Place;
using base::Placed;
using base::Quantity;
using Text = Placed<std::string>;
using Amount = Placed<Quantity>;

constexpr int format_version = 1;

// How a fact is known. `assumed` is the weakest; everything that rests on it says so.
enum class Basis { seen, marking, measured, traced, told, datasheet, assumed };
std::string_view name_of(Basis basis);

struct Item {
    Text name;
    Text story;  // a few sentences or paragraphs, plain text
    Text maker;  // empty: not known
    Text model;
    Text author;
    Text licence;  // of the dossier and its report: "CC-BY-4.0"
    Text date;
    bool invented = false;  // an example or a test, not a real item
    bool operator==(const Item&) const = default;
};

// What the label, the box or the shop says: to be believed only after a look.
struct Claim {
    Text quantity;  // "input power": one of the words of docs/dossier-format.md, or free
    Amount value;
    Text where;  // "label on the housing"
    Text note;
    Place place;
    bool operator==(const Claim& o) const {
        return quantity == o.quantity && value == o.value && where == o.where && note == o.note;
    }
};

// What feeds the item.
struct Supply {
    enum class Kind { ac, dc };
    Kind kind = Kind::ac;
    std::optional<Amount> voltage;  // RMS for ac; a range for a wide-range input
    std::optional<Amount> frequency;
    std::optional<bool> earthed;  // has a protective earth
    Text note;
    bool operator==(const Supply&) const = default;
};

struct PinUse {
    std::string pin;  // as written: a pin's name, alias or number
    std::string net;
    Place place;  // of the net's name
    bool operator==(const PinUse& o) const { return pin == o.pin && net == o.net; }
};

// Another reading of a fact, with the weight that the person gives it (0 to 1).
struct Alternative {
    std::string field;  // "value", "marking", "kind" ...
    Text reading;       // "10k"
    Text because;
    double weight = 0.0;
    bool operator==(const Alternative&) const = default;
};

struct Winding {
    Text name;               // "primary"
    std::vector<Text> pins;  // two, three with a tap; the first carries the dot
    std::optional<Placed<double>> turns;
    std::optional<Amount> inductance;
    std::optional<Amount> resistance;
    bool operator==(const Winding&) const = default;
};

// Where a part sits, in mm on the board as seen from the top side.
struct Position {
    double x_mm = 0.0;
    double y_mm = 0.0;
    double turn_deg = 0.0;
    bool bottom = false;
    bool operator==(const Position&) const = default;
};

// Where a pin's pad lies: in mm on the board, or in pixels of the upright photo that
// Part::pads_on names.
struct PadPlace {
    std::string pin;
    double x = 0.0;
    double y = 0.0;
    Place place;
    bool operator==(const PadPlace& o) const { return pin == o.pin && x == o.x && y == o.y; }
};

struct Part {
    std::string name;  // "R1"
    Text kind;         // a kind's id as the catalogue has it; unknown kinds keep their spelling
    Text title;        // "start-up resistor": the person's own words
    Text marking;      // what is printed on it
    Text type;         // "1N4007": maker's or registered type
    std::optional<Amount> value;      // resistance, capacitance, Zener voltage, fuse current ...
    std::optional<Amount> tolerance;  // percent
    Text body;
    std::optional<Amount> rated_voltage;
    std::optional<Amount> rated_current;
    std::optional<Amount> rated_power;
    std::optional<Amount> rated_temperature;
    std::map<std::string, Amount> properties;  // the kind's own: forward_voltage, count, ctr ...
    std::vector<PinUse> pins;                  // in the file's order
    std::vector<Winding> windings;             // of a transformer or coupled inductor
    std::optional<Amount> leakage;  // of a transformer, henry, seen from the first winding
    Text family;                    // of a controller: "flyback, boundary mode"
    std::map<std::string, Amount> thresholds;  // of a controller: start, stop, over_voltage ...
    std::optional<Position> position;
    std::vector<PadPlace> pads;  // of some pins or all; the body gives the rest
    Text pads_on;                // the photo whose pixels `pads` counts; empty: mm on the board
    bool fitted = true;          // false: an empty place on the board
    bool touchable = false;      // a person can touch it in use
    Text note;
    std::map<std::string, Basis> known;  // field -> how it is known; "" is the part's default
    std::vector<Alternative> alternatives;
    Place place;

    // How `field` is known: its own entry, the part's default, or `seen`.
    Basis basis(std::string_view field) const;
    bool operator==(const Part& o) const;  // all but the place
};

// What the person says about a net besides the pins on it. A net needs no entry.
struct NetNote {
    std::string name;
    std::vector<Text> also;  // other names of the same net
    Text role;               // "live", "neutral", "earth", "return" (0 V of its domain), "" unknown
    std::optional<Amount> voltage;  // measured or printed, against the return of its domain
    bool touchable = false;
    Text note;
    Place place;
    bool operator==(const NetNote& o) const;
};

// A number from a meter.
struct Reading {
    Text quantity;  // "input power", "supply voltage", "supply current", "power factor" ...
    Amount value;
    std::optional<Amount> uncertainty;  // percent, or in the unit of the value; as half-width (k=2)
    Text meter;
    std::vector<Text> between;  // nets, for a voltage between them
    std::string conditions;     // free words: "231 V, after 30 min"
    std::string group;          // readings taken at one moment share a group: "warm, 231 V"
    Text note;
    Place place;
    bool operator==(const Reading& o) const;
};

struct Continuity {
    std::vector<Text> between;  // two: "R1.1", "C2.2" (part.pin) or net names
    bool beeps = true;
    Text note;
    Place place;
    bool operator==(const Continuity& o) const {
        return between == o.between && beeps == o.beeps && note == o.note;
    }
};

struct Waveform {
    Text file;  // relative to the dossier's folder
    Text what;  // "drain voltage"
    std::vector<Text> between;
    Text through;                         // part; the current is that into its first pin
    std::optional<Placed<double>> probe;  // attenuation: 10
    Text meter;                           // what recorded it, a word of data/meters: "oscilloscope"
    std::optional<Amount> sample_rate;    // hertz, where the file does not say it
    std::optional<Amount> current_delay;  // by which the current stands later than the voltage
    std::optional<Placed<double>> zero;   // what the first channel shows of nothing
    std::optional<Amount> added_capacitance;  // across what rings, for this record alone
    Text scenario;                            // id of what was simulated the same way
    Text note;
    Place place;
    bool operator==(const Waveform& o) const;  // all but the place
};

// Something that is done to the simulated circuit at an instant of a scenario.
struct Deed {
    Text what;                             // one of deed_words(): "open load", "scale supply" ...
    Amount at;                             // seconds after the beginning
    std::optional<Placed<double>> factor;  // of "scale supply": 0.7 for a dip to 70 %
    Text load;                             // part; empty: every load
    bool operator==(const Deed&) const = default;
};

// A course of events to simulate, besides those that every circuit gets.
struct Scenario {
    Text id;                               // "brown-out": the word by which commands name it
    Text title;                            // "Brown-out"; empty: as the id
    Text words;                            // what is done, in a sentence
    Text supply;                           // "nominal", "low", "high"; empty: nominal
    std::optional<Amount> supply_voltage;  // instead; RMS for ac
    std::optional<Amount> supply_phase;    // where the wave stands when it is switched on; usual: 0
    Text from;                             // "cold", "steady": where it begins; empty: cold
    Amount span;                           // simulated time after the beginning
    std::optional<Amount> measure;         // the last stretch, of which the figures are
    bool steady_at_end = false;            // figures are those of the periodic steady state
    std::vector<Deed> deeds;
    Place place;
    bool operator==(const Scenario& o) const;  // all but the place
};

// A point that the person found on a photo, in pixels of the upright photo from its upper left
// corner. Points of one name on several photos are one spot of the board.
struct PhotoPoint {
    Text name;
    double x_px = 0.0;
    double y_px = 0.0;
    std::optional<double> x_mm;  // where it lies on the board, both or neither
    std::optional<double> y_mm;
    bool operator==(const PhotoPoint&) const = default;
};

struct Photo {
    Text file;
    Text side;       // "top", "bottom", "label", "other"
    Text shows;      // "copper": a picture of copper alone, white on black; empty: a photograph
    Text seen_from;  // "top", "bottom"; empty: the side itself. Of copper pictures: empty is top
    std::optional<Placed<double>> px_per_mm;  // of a copper picture, which has no perspective
    std::vector<PhotoPoint> points;
    Text note;
    Place place;
    bool operator==(const Photo& o) const;  // all but the place
};

// A length that is known between two points of a photo (pixels of the upright photo).
struct KnownLength {
    Text photo;
    double from_x_px = 0.0;
    double from_y_px = 0.0;
    double to_x_px = 0.0;
    double to_y_px = 0.0;
    Amount length;  // metres
    Text note;
    bool operator==(const KnownLength&) const = default;
};

// The bare board.
struct Board {
    std::optional<Amount> width;       // metres, from left to right as seen from the top
    std::optional<Amount> height;      // metres
    std::optional<Placed<int>> sides;  // with copper: 1 or 2
    Text mask;  // colour of the solder mask: "green", "blue", "red", "white", "black", "none"
    Text
        holes;  // a CSV file of drilled holes (x_mm, y_mm, diameter_mm, plated), beside the dossier
    std::vector<KnownLength> lengths;
    Text note;
    bool operator==(const Board&) const = default;
};

// A line that the person draws on a photo to say what lies there.
struct Stroke {
    Text photo;
    Text says;  // "copper", "laminate", "cut", "goes on" ...: one of stroke_words()
    std::vector<std::pair<double, double>> along;  // pixels of the upright photo
    double width_px = 0.0;                         // 0: three thousandths of the photo's diagonal
    Text note;
    Place place;
    bool operator==(const Stroke& o) const;  // all but the place
};

// How the person wants one part to stand in the drawing. Steps are those of the drawing's grid, x
// to the right and y down, between the middles of the symbols as the drawing counts them.
struct PartWish {
    std::optional<Placed<std::pair<int, int>>> at;  // against all others that say `at`
    Text from;                                      // another part; `by` says how far from it
    std::optional<Placed<std::pair<int, int>>> by;
    Text right_of, left_of, above, below;  // another part
    std::optional<Placed<int>> turn;       // degrees clockwise: 0, 90, 180, 270
    std::optional<Placed<bool>> flip;      // left and right exchanged, after it is turned
    Place place;
    bool operator==(const PartWish& o) const;  // all but the place
};

// What the person says about the drawing. Only what is said is kept; all else finds its place.
struct DrawingWishes {
    Text symbols;                             // "iec", "ansi"; empty: iec
    Text paper;                               // "fit", "A4", "A3", "letter"; empty: fit
    Text revision;                            // of the sheet
    std::vector<Text> show;                   // layers: "tolerances", "doubts", "voltages" ...
    std::vector<Text> notes;                  // sentences on the sheet
    std::vector<std::vector<Text>> together;  // parts that stay near each other
    std::map<std::string, PartWish> parts;    // by the part's name
    bool operator==(const DrawingWishes&) const = default;
};

// The chip maker's or another known circuit, to compare with.
struct Reference {
    Text title;
    Text source;
    std::vector<Part> parts;
    bool operator==(const Reference&) const = default;
};

struct Dossier {
    Item item;
    std::vector<Claim> claims;
    Supply supply;
    std::vector<Part> parts;  // in the file's order
    std::vector<NetNote> nets;
    std::vector<Reading> readings;
    std::vector<Continuity> continuity;
    std::vector<Waveform> waveforms;
    std::vector<Photo> photos;
    Board board;
    std::vector<Stroke> strokes;
    std::vector<Scenario> scenarios;
    DrawingWishes drawing;
    std::optional<Reference> reference;

    const Part* part(std::string_view name) const;
    bool operator==(const Dossier&) const = default;
};

}  // namespace etchback::dossier
