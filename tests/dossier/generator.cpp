#include "dossier/generator.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <set>

#include "base/text.h"
#include "dossier/words.h"

namespace etchback::dossier {

namespace {

using base::Unit;

const std::vector<std::string>& odd_words() {
    static const std::vector<std::string> words = {"plain",
                                                   "two words",
                                                   "with \"quotes\" and 'these'",
                                                   "back\\slash \\n no break",
                                                   "hash # no comment",
                                                   "Größe 4,7 µF, ±10 % — naïve",
                                                   "基板",
                                                   "smile \U0001F600 and \u00A0 blank",
                                                   "tab\there",
                                                   "[not.a.header]",
                                                   "= \"\"\" ''' {",
                                                   " blanks around ",
                                                   "bell \x07 and delete \x7F",
                                                   "return\rfeed",
                                                   "-",
                                                   "a.b.c",
                                                   "0123",
                                                   "true",
                                                   "1e5",
                                                   "2026-03-14"};
    return words;
}

const std::vector<std::string>& net_names() {
    static const std::vector<std::string> names = {
        "L", "N", "HV+", "HV-", "GND", "out +", "Ω\"net\"", "V.CC", "net#1", "1", "Änode", "a\\b"};
    return names;
}

// What a parser makes of a decimal text, so that no figure lies between two readable ones.
double decimal(std::size_t digits, int power) {
    const std::string text = std::to_string(digits) + "e" + std::to_string(power);
    return std::strtod(text.c_str(), nullptr);
}

std::vector<std::string> nets_of(const Dossier& dossier) {
    std::set<std::string> names;
    for (const Part& part : dossier.parts) {
        for (const PinUse& use : part.pins) {
            names.insert(use.net);
        }
    }
    return {names.begin(), names.end()};
}

Text text(std::string words) {
    return {std::move(words), {}};
}

}  // namespace

Generator::Generator(std::uint64_t seed, const parts::Catalogue& catalogue)
    : dice_(seed), catalogue_(catalogue) {}

std::string Generator::words(bool may_be_empty) {
    if (may_be_empty && dice_.chance(60)) {
        return {};
    }
    std::string all = dice_.one_of(odd_words());
    if (dice_.chance(20)) {
        all += dice_.one_of(odd_words());
    }
    return all;
}

std::string Generator::long_words() {
    std::string all = words(true);
    for (std::size_t lines = dice_.chance(30) ? dice_.below(4) : 0; lines > 0; --lines) {
        all += "\n" + (dice_.chance(20) ? "\"\"\"\"" : words(true));
    }
    return all + (dice_.chance(20) ? "\n" : "");
}

std::string Generator::net() {
    return dice_.one_of(net_names());
}

double Generator::figure() {
    const std::size_t digits = dice_.chance(80) ? 1 + dice_.below(999) : 1 + dice_.below(99999999);
    return decimal(digits, static_cast<int>(dice_.below(16)) - 11);
}

Quantity Generator::positive(Unit unit) {
    const double value = figure();
    switch (dice_.below(8)) {
        case 0: {
            const double high = value + figure();
            return {value + (high - value) / 2, unit, value, high, {}, false};
        }
        case 1: {
            if (unit == Unit::percent) {
                break;
            }
            const double half = value * static_cast<double>(dice_.below(80)) / 100;
            return {value, unit, value - half, value + half, {}, true};
        }
        case 2: {
            const double half = value / 4;
            return {value, unit, value - half, value + half, {}, true};
        }
        case 3: {
            const double other = figure();
            // A choice of 1 and 4 W would be a quarter of a watt.
            if (unit == Unit::watt || value == other) {
                break;
            }
            return {
                value, unit, std::min(value, other), std::max(value, other), {value, other}, false};
        }
        default:
            break;
    }
    return Quantity::of(value, unit);
}

std::optional<Amount> Generator::perhaps(Unit unit) {
    return dice_.chance(30) ? std::optional<Amount>(amount(unit)) : std::nullopt;
}

std::string Generator::free_part_name(const std::vector<Part>& taken) {
    static const std::vector<std::string> stems = {
        "R", "C", "my part ", "Ω", "D\"", "U.", "\\", "T-"};
    while (true) {
        const std::string name = dice_.one_of(stems) + std::to_string(++names_);
        const bool used = std::ranges::any_of(taken, [&](const Part& part) {
            return base::lowered(part.name) == base::lowered(name);
        });
        if (!used) {
            return name;
        }
    }
}

void Generator::add_pins(Part& part, const parts::Kind* kind) {
    if (kind != nullptr && !kind->pins.empty()) {
        std::vector<std::size_t> order;
        for (std::size_t i = 0; i < kind->pins.size(); ++i) {
            order.insert(order.begin() + static_cast<long>(dice_.below(order.size() + 1)), i);
        }
        for (const std::size_t i : order) {
            const parts::PinSpec& pin = kind->pins[i];
            std::string name = pin.name;
            if (!pin.aliases.empty() && dice_.chance(40)) {
                name = dice_.one_of(pin.aliases);
            }
            if (dice_.chance(85) && kind->pin(name) == i) {
                part.pins.push_back({name, net(), {}});
            }
        }
        return;
    }
    const std::size_t count = dice_.chance(10) ? 30 : dice_.below(6);
    for (std::size_t i = 0; i < count; ++i) {
        part.pins.push_back(
            {dice_.chance(80) ? std::to_string(i + 1) : "pin " + std::to_string(i + 1), net(), {}});
    }
}

void Generator::add_windings(Part& part) {
    for (std::size_t i = 0; i + 1 < part.pins.size() && i < 6; i += 2) {
        Winding winding;
        winding.name = text("winding " + std::to_string(i) + words(true));
        winding.pins = {text(part.pins[i].pin), text(part.pins[i + 1].pin)};
        if (dice_.chance(60)) {
            winding.turns = Placed<double>{figure(), {}};
        }
        winding.inductance = perhaps(Unit::henry);
        winding.resistance = perhaps(Unit::ohm);
        part.windings.push_back(winding);
    }
    part.leakage = perhaps(Unit::henry);
}

void Generator::add_properties(Part& part, const parts::Kind* kind) {
    if (kind == nullptr) {
        if (dice_.chance(30)) {
            part.properties.emplace("odd key", amount(Unit::volt));
            part.properties.emplace("length", amount(Unit::metre));
        }
        return;
    }
    for (const parts::Property& property : kind->properties) {
        if (dice_.chance(50)) {
            part.properties.emplace(property.key, amount(property.unit));
        }
    }
}

void Generator::add_known(Part& part) {
    const auto bases = basis_words();
    const auto any_basis = [&] { return *basis_named(bases[dice_.below(bases.size())]); };
    if (dice_.chance(30)) {
        part.known.emplace("", any_basis());
    }
    for (const std::string& fact : part_facts()) {
        if (dice_.chance(8)) {
            part.known.emplace(fact, any_basis());
        }
    }
    for (std::size_t i = dice_.chance(20) ? dice_.below(4) : 0; i > 0; --i) {
        part.alternatives.push_back({part_facts()[dice_.below(part_facts().size())],
                                     text("reading" + words(true)),
                                     text(long_words()),
                                     static_cast<double>(dice_.below(30)) / 100});
    }
}

Part Generator::part(const std::string& name) {
    Part part;
    part.name = name;
    const parts::Kind* kind = nullptr;
    if (dice_.chance(85)) {
        const auto& kinds = catalogue_.kinds();
        kind = &kinds[dice_.below(kinds.size())];
        kind = kind->id == "unknown" ? nullptr : kind;
    }
    part.kind = text(kind != nullptr ? kind->id : "");
    part.title = text(words(true));
    part.marking = text(words(true));
    part.type = text(words(true));
    const bool has_unit = kind != nullptr && kind->value_unit != Unit::none;
    part.value = perhaps(has_unit ? kind->value_unit : Unit::ohm);
    if (dice_.chance(20)) {
        part.tolerance =
            Amount{Quantity::of(static_cast<double>(1 + dice_.below(20)), Unit::percent), {}};
    }
    part.body = text(words(true));
    part.rated_voltage = perhaps(Unit::volt);
    part.rated_current = perhaps(Unit::ampere);
    part.rated_power = perhaps(Unit::watt);
    part.rated_temperature = perhaps(Unit::celsius);
    add_properties(part, kind);
    add_pins(part, kind);
    const auto is_of = [&](std::initializer_list<std::string_view> families) {
        return kind == nullptr || std::ranges::find(families, kind->family) != families.end();
    };
    if (is_of({"transformer", "inductor", "choke"}) && dice_.chance(50)) {
        add_windings(part);
    }
    const bool chip = is_of({"controller", "regulator", "amplifier"});
    part.family = text(chip ? words(true) : "");
    for (std::size_t i = chip && dice_.chance(40) ? dice_.below(6) : 0; i > 0; --i) {
        part.thresholds.emplace("threshold_" + std::to_string(i),
                                amount(i % 2 == 0 ? Unit::volt : Unit::hertz));
    }
    if (dice_.chance(30)) {
        part.position =
            Position{figure(), -figure(), dice_.chance(50) ? 90.0 : 0.0, dice_.chance(50)};
    }
    part.fitted = dice_.chance(95);
    part.touchable = dice_.chance(5);
    part.note = text(long_words());
    add_known(part);
    return part;
}

Item Generator::item() {
    static const std::vector<std::string> dates = {
        "", "2026", "2026-03", "2026-03-14", "2024-02-29"};
    Item item;
    item.name = text(words(false));
    item.story = text(long_words());
    item.maker = text(words(true));
    item.model = text(words(true));
    item.author = text(words(true));
    item.licence = text(words(true));
    item.date = text(dice_.one_of(dates));
    item.invented = dice_.chance(50);
    return item;
}

Claim Generator::claim() {
    const auto known = quantity_words();
    const QuantityWord& word = known[dice_.below(known.size())];
    Claim claim;
    claim.quantity = text(dice_.chance(80) ? std::string(word.word) : "standby loss");
    claim.value = claim.quantity.value == "protection class"
                      ? Amount{Quantity::of(2.0, Unit::none), {}}
                      : amount(claim.quantity.value == word.word ? word.unit : Unit::watt);
    claim.where = text(words(true));
    claim.note = text(long_words());
    return claim;
}

Supply Generator::supply() {
    Supply supply;
    supply.kind = dice_.chance(50) ? Supply::Kind::ac : Supply::Kind::dc;
    supply.voltage = perhaps(Unit::volt);
    if (supply.kind == Supply::Kind::ac) {
        supply.frequency = perhaps(Unit::hertz);
    }
    if (dice_.chance(50)) {
        supply.earthed = dice_.chance(50);
    }
    supply.note = text(long_words());
    return supply;
}

std::vector<Text> Generator::two_nets(const Dossier& dossier) {
    const std::vector<std::string> nets = nets_of(dossier);
    if (nets.size() < 2) {
        return {};
    }
    const std::size_t first = dice_.below(nets.size());
    const std::size_t second = (first + 1 + dice_.below(nets.size() - 1)) % nets.size();
    return {text(nets[first]), text(nets[second])};
}

Reading Generator::reading(const Dossier& dossier) {
    const auto known = quantity_words();
    const QuantityWord& word = known[dice_.below(known.size())];
    Reading reading;
    reading.quantity = text(std::string(word.word));
    reading.value = amount(word.unit);
    if (dice_.chance(50)) {
        const Unit unit = dice_.chance(50) ? Unit::percent : word.unit;
        reading.uncertainty = Amount{Quantity::of(figure(), unit), {}};
    }
    if (dice_.chance(40)) {
        reading.between = two_nets(dossier);
    }
    reading.meter = text(words(true));
    reading.conditions = words(true);
    reading.group = words(true);
    reading.note = text(long_words());
    return reading;
}

Continuity Generator::beep(const Dossier& dossier) {
    Continuity beep;
    beep.between = two_nets(dossier);
    for (const Part& part : dossier.parts) {
        if (!beep.between.empty() && !part.pins.empty() && dice_.chance(30)) {
            beep.between[0] = text(part.name + "." + part.pins[0].pin);
            break;
        }
    }
    beep.beeps = dice_.chance(50);
    beep.note = text(long_words());
    return beep;
}

Waveform Generator::waveform(const Dossier& dossier) {
    Waveform waveform;
    waveform.file = text("waves/" + std::to_string(dice_.below(100)) + " Größe.csv");
    waveform.what = text(words(true));
    if (dice_.chance(50)) {
        waveform.between = two_nets(dossier);
    }
    if (dice_.chance(50)) {
        waveform.probe = Placed<double>{figure(), {}};
    }
    if (dice_.chance(30) && !dossier.parts.empty()) {
        waveform.through = text(dossier.parts.front().name);
    }
    if (dice_.chance(30)) {
        waveform.meter = text(words(true));
        waveform.zero = Placed<double>{-figure(), {}};
        waveform.scenario = text("brown-out");
    }
    const auto once = [&](Unit unit) {
        return dice_.chance(30) ? std::optional(Amount{Quantity::of(figure(), unit), {}})
                                : std::nullopt;
    };
    waveform.sample_rate = once(Unit::hertz);
    waveform.current_delay = once(Unit::second);
    waveform.added_capacitance = once(Unit::farad);
    waveform.note = text(long_words());
    return waveform;
}

Photo Generator::photo() {
    const auto sides = photo_sides();
    Photo photo;
    photo.file = text("photos/" + std::to_string(dice_.below(100)) + ".jpg");
    photo.side = text(dice_.chance(80) ? sides[dice_.below(sides.size())] : std::string());
    if (dice_.chance(30)) {
        photo.shows = text("copper");
        photo.px_per_mm = Placed<double>{figure(), {}};
    }
    photo.seen_from = text(dice_.chance(30) ? (dice_.chance(50) ? "top" : "bottom") : "");
    for (std::size_t i = dice_.chance(40) ? dice_.below(5) : 0; i > 0; --i) {
        PhotoPoint point{
            text("point " + std::to_string(i) + words(true)), figure(), figure(), {}, {}};
        if (dice_.chance(40)) {
            point.x_mm = figure();
            point.y_mm = -figure();
        }
        photo.points.push_back(point);
    }
    photo.note = text(long_words());
    return photo;
}

// The name of a photo of a side; empty if there is none.
Text Generator::photo_of(const Dossier& dossier) {
    std::vector<std::string> files;
    for (const Photo& photo : dossier.photos) {
        const auto twin = std::ranges::find_if(
            dossier.photos, [&](const Photo& other) { return other.file == photo.file; });
        if (twin->side.value == "top" || twin->side.value == "bottom") {
            files.push_back(photo.file.value);
        }
    }
    return text(files.empty() ? std::string() : dice_.one_of(files));
}

KnownLength Generator::length(const Dossier& dossier) {
    KnownLength length;
    length.photo = photo_of(dossier);
    length.from_x_px = figure();
    length.from_y_px = figure();
    length.to_x_px = length.from_x_px + 1.0;
    length.to_y_px = figure();
    length.length = {Quantity::of(decimal(1 + dice_.below(999), -3), Unit::metre), {}};
    length.note = text(long_words());
    return length;
}

Board Generator::board(const Dossier& dossier) {
    Board board;
    if (dice_.chance(60)) {
        board.width = {Quantity::of(decimal(1 + dice_.below(999), -3), Unit::metre), {}};
    }
    if (dice_.chance(60)) {
        board.height = {Quantity::of(decimal(1 + dice_.below(99999), -5), Unit::metre), {}};
    }
    if (dice_.chance(60)) {
        board.sides = Placed<int>{static_cast<int>(1 + dice_.below(2)), {}};
    }
    board.mask = text(dice_.chance(60) ? mask_words()[dice_.below(mask_words().size())] : "");
    board.holes = text(dice_.chance(40) ? "photos/Löcher.csv" : "");
    for (std::size_t i = dice_.below(4); i > 0; --i) {
        if (const KnownLength one = length(dossier); !one.photo.value.empty()) {
            board.lengths.push_back(one);
        }
    }
    board.note = text(long_words());
    return board;
}

Stroke Generator::stroke(const Dossier& dossier) {
    Stroke stroke;
    stroke.photo = photo_of(dossier);
    stroke.says = text(stroke_words()[dice_.below(stroke_words().size())]);
    for (std::size_t i = 2 + dice_.below(6); i > 0; --i) {
        stroke.along.emplace_back(figure(), figure());
    }
    stroke.width_px = dice_.chance(50) ? figure() : 0.0;
    stroke.note = text(long_words());
    return stroke;
}

void Generator::add_pads(Part& part, const Dossier& dossier) {
    part.pads.clear();
    part.pads_on = text("");
    for (const PinUse& use : part.pins) {
        if (dice_.chance(80)) {
            part.pads.push_back({use.pin, figure(), figure(), {}});
        }
    }
    if (!part.pads.empty() && dice_.chance(50)) {
        part.pads_on = photo_of(dossier);
    }
}

Deed Generator::deed(const Dossier& dossier, double span_s) {
    Deed deed;
    deed.what =
        text(dice_.one_of(std::vector<std::string>(deed_words().begin(), deed_words().end())));
    const double at_s = figure();
    deed.at = {Quantity::of(at_s < span_s ? at_s : 0.0, Unit::second), {}};
    if (deed.what.value == "scale supply") {
        deed.factor = Placed<double>{figure(), {}};
    } else if (!dossier.parts.empty() && dice_.chance(50)) {
        deed.load = text(dossier.parts[dice_.below(dossier.parts.size())].name);
    }
    return deed;
}

Scenario Generator::scenario(const Dossier& dossier) {
    const auto supplies = supply_words();
    Scenario scenario;
    scenario.id = text("scenario " + std::to_string(++names_));
    scenario.title = text(words(true));
    scenario.words = text(long_words());
    if (dice_.chance(30)) {
        scenario.supply_voltage = {Quantity::of(figure(), Unit::volt), {}};
    } else if (dice_.chance(50)) {
        scenario.supply = text(supplies[dice_.below(supplies.size())]);
    }
    if (dice_.chance(30)) {
        scenario.supply_phase = {Quantity::of(figure(), Unit::degree), {}};
    }
    scenario.from = text(dice_.chance(50) ? "steady" : "");
    scenario.span = {Quantity::of(figure(), Unit::second), {}};
    if (const double measure_s = figure(); measure_s <= scenario.span.value.value) {
        scenario.measure = {Quantity::of(measure_s, Unit::second), {}};
    }
    scenario.steady_at_end = dice_.chance(30);
    for (std::size_t i = dice_.below(4); i > 0; --i) {
        scenario.deeds.push_back(deed(dossier, scenario.span.value.value));
    }
    return scenario;
}

// `earlier` parts come before this one in every direction, so that nothing is contradicted.
PartWish Generator::part_wish(const std::vector<std::string>& earlier, int column) {
    PartWish wish;
    if (dice_.chance(30)) {
        wish.at = Placed<std::pair<int, int>>{{column, 3 * column}, {}};
    } else if (!earlier.empty() && dice_.chance(30)) {
        wish.from = text(dice_.one_of(earlier));
        wish.by = Placed<std::pair<int, int>>{{1 + column, column}, {}};
    } else if (!earlier.empty()) {
        wish.right_of = text(dice_.chance(50) ? dice_.one_of(earlier) : "");
        wish.below = text(dice_.chance(50) ? dice_.one_of(earlier) : "");
    }
    if (dice_.chance(40)) {
        wish.turn = Placed<int>{90 * static_cast<int>(dice_.below(4)), {}};
    }
    if (dice_.chance(40)) {
        wish.flip = Placed<bool>{dice_.chance(50), {}};
    }
    return wish;
}

DrawingWishes Generator::wishes(const Dossier& dossier) {
    DrawingWishes made;
    made.symbols = text(dice_.chance(50) ? symbol_words()[dice_.below(2)] : "");
    made.paper = text(dice_.chance(50) ? paper_words()[dice_.below(4)] : "");
    made.revision = text(words(true));
    for (const std::string& layer : layer_words()) {
        if (dice_.chance(30)) {
            made.show.push_back(text(layer));
        }
    }
    for (std::size_t i = dice_.below(3); i > 0; --i) {
        made.notes.push_back(text(words(false)));
    }
    std::vector<std::string> earlier;
    for (const Part& part : dossier.parts) {
        if (part.fitted && earlier.size() < 9 && dice_.chance(60)) {
            made.parts[part.name] = part_wish(earlier, 1 << earlier.size());
            earlier.push_back(part.name);
        }
    }
    if (earlier.size() > 1 && dice_.chance(60)) {
        made.together.push_back({text(earlier.front()), text(earlier.back())});
    }
    return made;
}

NetNote Generator::net_note(const std::string& name) {
    const auto roles = net_roles();
    NetNote note;
    note.name = name;
    if (dice_.chance(40)) {
        note.also = {text("also " + name), text(name + " too")};
    }
    note.role = text(dice_.chance(40) ? roles[dice_.below(roles.size())] : std::string());
    note.voltage = perhaps(Unit::volt);
    note.touchable = dice_.chance(20);
    note.note = text(long_words());
    return note;
}

void Generator::add_nets(Dossier& dossier) {
    for (const std::string& name : nets_of(dossier)) {
        if (dice_.chance(40)) {
            const auto at = static_cast<long>(dice_.below(dossier.nets.size() + 1));
            dossier.nets.insert(dossier.nets.begin() + at, net_note(name));
        }
    }
}

Dossier Generator::dossier() {
    Dossier made;
    made.item = item();
    for (std::size_t i = dice_.below(4); i > 0; --i) {
        made.claims.push_back(claim());
    }
    if (dice_.chance(70)) {
        made.supply = supply();
    }
    for (std::size_t i = dice_.below(9); i > 0; --i) {
        made.parts.push_back(part(free_part_name(made.parts)));
    }
    add_nets(made);
    for (std::size_t i = dice_.below(4); i > 0; --i) {
        made.readings.push_back(reading(made));
        made.waveforms.push_back(waveform(made));
        made.photos.push_back(photo());
        made.scenarios.push_back(scenario(made));
        if (const Continuity one = beep(made); !one.between.empty()) {
            made.continuity.push_back(one);
        }
    }
    if (dice_.chance(60)) {
        made.board = board(made);
    }
    for (std::size_t i = dice_.below(4); i > 0; --i) {
        if (const Stroke one = stroke(made); !one.photo.value.empty()) {
            made.strokes.push_back(one);
        }
    }
    for (Part& one : made.parts) {
        if (dice_.chance(30)) {
            add_pads(one, made);
        }
    }
    if (dice_.chance(50)) {
        made.drawing = wishes(made);
    }
    if (dice_.chance(30)) {
        made.reference = Reference{text(words(true)), text(words(true)), {}};
        for (std::size_t i = dice_.below(4); i > 0; --i) {
            made.reference->parts.push_back(part(free_part_name(made.reference->parts)));
        }
    }
    return made;
}

}  // namespace etchback::dossier
