#include <filesystem>

#include "report/detail/json.h"

namespace etchback::report::detail {
namespace {

void set_text(Json& object, const char* key, const dossier::Text& text) {
    detail::set_text(object, key, text.value);
}

void set_amount(Json& object, const char* key, const std::optional<dossier::Amount>& amount) {
    if (amount) {
        object[key] = json_of(amount->value);
    }
}

Json amounts(const std::map<std::string, dossier::Amount>& all) {
    Json object = Json::object();
    for (const auto& [key, amount] : all) {
        object[key] = json_of(amount.value);
    }
    return object;
}

Json texts(const std::vector<dossier::Text>& all) {
    Json list = Json::array();
    for (const dossier::Text& text : all) {
        list.push_back(text.value);
    }
    return list;
}

Json json_of(const dossier::Winding& winding) {
    Json object = Json::object();
    set_text(object, "name", winding.name);
    object["pins"] = texts(winding.pins);
    if (winding.turns) {
        object["turns"] = winding.turns->value;
    }
    set_amount(object, "inductance", winding.inductance);
    set_amount(object, "resistance", winding.resistance);
    return object;
}

Json json_of(const dossier::Position& position) {
    return {{"x_mm", position.x_mm},
            {"y_mm", position.y_mm},
            {"turn_deg", position.turn_deg},
            {"side", position.bottom ? "bottom" : "top"}};
}

Json json_of(const dossier::Alternative& other) {
    Json object = {{"field", other.field}, {"reading", other.reading.value}};
    set_text(object, "because", other.because);
    object["weight"] = other.weight;
    return object;
}

void set_ratings(Json& object, const dossier::Part& part) {
    set_amount(object, "rated_voltage", part.rated_voltage);
    set_amount(object, "rated_current", part.rated_current);
    set_amount(object, "rated_power", part.rated_power);
    set_amount(object, "rated_temperature", part.rated_temperature);
}

void set_lists(Json& object, const dossier::Part& part) {
    if (!part.properties.empty()) {
        object["properties"] = amounts(part.properties);
    }
    for (const dossier::Winding& winding : part.windings) {
        object["windings"].push_back(json_of(winding));
    }
    set_amount(object, "leakage", part.leakage);
    set_text(object, "family", part.family);
    if (!part.thresholds.empty()) {
        object["thresholds"] = amounts(part.thresholds);
    }
    for (const dossier::Alternative& other : part.alternatives) {
        object["alternatives"].push_back(json_of(other));
    }
}

}  // namespace

void set_text(Json& object, const char* key, const std::string& text) {
    if (!text.empty()) {
        object[key] = text;
    }
}

Json json_of(const base::Place& place) {
    Json object = Json::object();
    // Only the last name: the same dossier gives the same bytes wherever it lies.
    set_text(object, "file", std::filesystem::path(place.file).filename().string());
    if (place.line > 0) {
        object["line"] = place.line;
        object["column"] = place.column;
    }
    return object;
}

Json json_of(const base::Quantity& quantity) {
    Json object = {{"value", quantity.value}, {"unit", base::name_of(quantity.unit)}};
    if (!quantity.exact()) {
        object["low"] = quantity.low;
        object["high"] = quantity.high;
    }
    if (!quantity.choices.empty()) {
        object["choices"] = quantity.choices;
    }
    object["text"] = base::to_text(quantity);
    return object;
}

Json json_of(const dossier::Item& item) {
    Json object = {{"name", item.name.value}};
    set_text(object, "maker", item.maker);
    set_text(object, "model", item.model);
    set_text(object, "author", item.author);
    set_text(object, "licence", item.licence);
    set_text(object, "date", item.date);
    set_text(object, "story", item.story);
    object["invented"] = item.invented;
    return object;
}

Json json_of(const dossier::Supply& supply) {
    Json object = {{"kind", supply.kind == dossier::Supply::Kind::ac ? "ac" : "dc"}};
    set_amount(object, "voltage", supply.voltage);
    set_amount(object, "frequency", supply.frequency);
    if (supply.earthed) {
        object["earthed"] = *supply.earthed;
    }
    set_text(object, "note", supply.note);
    return object;
}

Json json_of(const dossier::Claim& claim) {
    Json object = {{"quantity", claim.quantity.value}, {"value", json_of(claim.value.value)}};
    set_text(object, "where", claim.where);
    set_text(object, "note", claim.note);
    object["place"] = json_of(claim.place);
    return object;
}

Json json_of(const dossier::Reading& reading) {
    Json object = {{"quantity", reading.quantity.value}, {"value", json_of(reading.value.value)}};
    set_amount(object, "uncertainty", reading.uncertainty);
    set_text(object, "meter", reading.meter);
    if (!reading.between.empty()) {
        object["between"] = texts(reading.between);
    }
    set_text(object, "conditions", reading.conditions);
    set_text(object, "group", reading.group);
    set_text(object, "note", reading.note);
    object["place"] = json_of(reading.place);
    return object;
}

Json json_of(const dossier::Continuity& check) {
    Json object = {{"between", texts(check.between)}, {"beeps", check.beeps}};
    set_text(object, "note", check.note);
    object["place"] = json_of(check.place);
    return object;
}

Json json_of(const dossier::Waveform& wave) {
    Json object = {{"file", wave.file.value}};
    set_text(object, "what", wave.what);
    if (!wave.between.empty()) {
        object["between"] = texts(wave.between);
    }
    set_text(object, "through", wave.through);
    if (wave.probe) {
        object["probe"] = wave.probe->value;
    }
    set_text(object, "meter", wave.meter);
    set_amount(object, "sample_rate", wave.sample_rate);
    set_amount(object, "current_delay", wave.current_delay);
    if (wave.zero) {
        object["zero"] = wave.zero->value;
    }
    set_amount(object, "added_capacitance", wave.added_capacitance);
    set_text(object, "scenario", wave.scenario);
    set_text(object, "note", wave.note);
    object["place"] = json_of(wave.place);
    return object;
}

Json json_of(const dossier::Photo& photo) {
    Json object = {{"file", photo.file.value}};
    set_text(object, "side", photo.side);
    set_text(object, "note", photo.note);
    object["place"] = json_of(photo.place);
    return object;
}

Json json_of(const dossier::Reference& reference) {
    Json object = Json::object();
    set_text(object, "title", reference.title);
    set_text(object, "source", reference.source);
    object["parts"] = reference.parts.size();
    return object;
}

Json json_of_said(const dossier::Part& part) {
    Json object = {{"name", part.name}};
    set_text(object, "kind", part.kind);
    set_text(object, "title", part.title);
    set_text(object, "marking", part.marking);
    set_text(object, "type", part.type);
    set_amount(object, "value", part.value);
    set_amount(object, "tolerance", part.tolerance);
    set_text(object, "body", part.body);
    set_ratings(object, part);
    set_lists(object, part);
    if (part.position) {
        object["position"] = json_of(*part.position);
    }
    object["fitted"] = part.fitted;
    object["touchable"] = part.touchable;
    set_text(object, "note", part.note);
    Json known = Json::object();
    for (const auto& [field, basis] : part.known) {
        known[field.empty() ? "default" : field] = dossier::name_of(basis);
    }
    if (!known.empty()) {
        object["known"] = std::move(known);
    }
    object["place"] = json_of(part.place);
    return object;
}

}  // namespace etchback::report::detail
