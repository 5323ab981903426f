#include "dossier/dossier.h"

#include <algorithm>
#include <tuple>

namespace etchback::dossier {

namespace {

auto described(const Part& p) {
    return std::tie(p.name, p.kind, p.title, p.marking, p.type, p.value, p.tolerance, p.body);
}

auto rated(const Part& p) {
    return std::tie(p.rated_voltage, p.rated_current, p.rated_power, p.rated_temperature);
}

auto built(const Part& p) {
    return std::tie(p.properties, p.pins, p.windings, p.leakage, p.family, p.thresholds);
}

auto noted(const Part& p) {
    return std::tie(
        p.position, p.pads, p.pads_on, p.fitted, p.touchable, p.note, p.known, p.alternatives);
}

}  // namespace

std::string_view name_of(Basis basis) {
    switch (basis) {
        case Basis::seen:
            return "seen";
        case Basis::marking:
            return "marking";
        case Basis::measured:
            return "measured";
        case Basis::traced:
            return "traced";
        case Basis::told:
            return "told";
        case Basis::datasheet:
            return "datasheet";
        case Basis::assumed:
            return "assumed";
    }
    return "seen";
}

Basis Part::basis(std::string_view field) const {
    auto entry = known.find(std::string(field));
    if (entry == known.end()) {
        entry = known.find("");
    }
    return entry == known.end() ? Basis::seen : entry->second;
}

bool Part::operator==(const Part& o) const {
    return described(*this) == described(o) && rated(*this) == rated(o) &&
           built(*this) == built(o) && noted(*this) == noted(o);
}

bool NetNote::operator==(const NetNote& o) const {
    return std::tie(name, also, role, voltage, touchable, note) ==
           std::tie(o.name, o.also, o.role, o.voltage, o.touchable, o.note);
}

bool Reading::operator==(const Reading& o) const {
    return std::tie(quantity, value, uncertainty, meter, between, conditions, group, note) ==
           std::tie(o.quantity,
                    o.value,
                    o.uncertainty,
                    o.meter,
                    o.between,
                    o.conditions,
                    o.group,
                    o.note);
}

bool Waveform::operator==(const Waveform& o) const {
    const auto all = [](const Waveform& w) {
        return std::tie(w.file,
                        w.what,
                        w.between,
                        w.through,
                        w.probe,
                        w.meter,
                        w.sample_rate,
                        w.current_delay,
                        w.zero,
                        w.added_capacitance,
                        w.scenario,
                        w.note);
    };
    return all(*this) == all(o);
}

bool Photo::operator==(const Photo& o) const {
    return std::tie(file, side, shows, seen_from, px_per_mm, points, note) ==
           std::tie(o.file, o.side, o.shows, o.seen_from, o.px_per_mm, o.points, o.note);
}

bool Stroke::operator==(const Stroke& o) const {
    return std::tie(photo, says, along, width_px, note) ==
           std::tie(o.photo, o.says, o.along, o.width_px, o.note);
}

bool Scenario::operator==(const Scenario& o) const {
    return std::tie(id, title, words, supply, supply_voltage, supply_phase) ==
               std::tie(o.id, o.title, o.words, o.supply, o.supply_voltage, o.supply_phase) &&
           std::tie(from, span, measure, steady_at_end, deeds) ==
               std::tie(o.from, o.span, o.measure, o.steady_at_end, o.deeds);
}

bool PartWish::operator==(const PartWish& o) const {
    return std::tie(at, from, by, right_of, left_of, above, below, turn, flip) ==
           std::tie(o.at, o.from, o.by, o.right_of, o.left_of, o.above, o.below, o.turn, o.flip);
}

const Part* Dossier::part(std::string_view name) const {
    const auto found = std::ranges::find(parts, name, &Part::name);
    return found == parts.end() ? nullptr : &*found;
}

}  // namespace etchback::dossier
