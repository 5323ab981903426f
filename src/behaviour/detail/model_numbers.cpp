// Where a model's numbers come from.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "behaviour/detail/model_builder.h"

namespace etchback::behaviour::detail {
namespace {

// Tolerances that are usual where none is written, in percent.
constexpr std::string_view tolerance_key = "tolerance";

}  // namespace

const parts::RegisteredType* Builder::type(PartId id) const {
    const auto match = parts::find_type(types, part(id).said.type.value);
    return match && match->type->kind == part(id).kind.id ? match->type : nullptr;
}

std::optional<Known> Builder::typed(PartId id,
                                    double parts::RegisteredType::*field,
                                    base::Unit unit) const {
    const parts::RegisteredType* found = type(id);
    if (found == nullptr || found->*field <= 0.0) {
        return std::nullopt;
    }
    return Known{base::Quantity::of(found->*field, unit),
                 true,
                 fmt::format("{}: {}", found->type, found->source)};
}

double Builder::booked(PartId id, std::string_view key, const base::Quantity& value, bool assumed) {
    const std::string full = name(id, key);
    const auto replaced = options.values.find(full);
    const double now = replaced == options.values.end() ? value.value : replaced->second;
    const auto same = [&](const Parameter& p) { return p.part == part(id).name && p.name == key; };
    if (std::none_of(model.parameters.begin(), model.parameters.end(), same)) {
        model.parameters.push_back({part(id).name,
                                    std::string(key),
                                    value.value,
                                    value.low,
                                    value.high,
                                    value.unit,
                                    assumed});
    }
    return now;
}

std::optional<double> Builder::perhaps(PartId id,
                                       std::string_view key,
                                       const std::optional<Known>& known) {
    const auto before =
        std::find_if(model.parameters.begin(), model.parameters.end(), [&](const Parameter& p) {
            return p.part == part(id).name && p.name == key;
        });
    if (before != model.parameters.end()) {  // asked before: it stays what it was
        const auto replaced = options.values.find(name(id, key));
        return replaced == options.values.end() ? before->nominal : replaced->second;
    }
    const auto said = part(id).said.properties.find(std::string(key));
    if (said != part(id).said.properties.end()) {
        return booked(id, key, said->second.value, false);
    }
    const DeviceParameter* parameter = tables.devices.parameter(key);
    const auto assume = [&](const base::Quantity& value, const std::string& source) {
        std::string title(key);
        if (parameter != nullptr) {
            title = parameter->title;
        } else {
            std::replace(title.begin(), title.end(), '_', ' ');
        }
        const Assumed row{part(id).name, title, value, source};
        if (std::find(model.assumed.begin(), model.assumed.end(), row) == model.assumed.end()) {
            model.assumed.push_back(row);
        }
        return booked(id, key, value, true);
    };
    if (known) {
        return known->assumed ? assume(known->value, known->source)
                              : booked(id, key, known->value, false);
    }
    const DeviceRow* row =
        parameter == nullptr ? nullptr : tables.devices.row(*parameter, part(id));
    if (row == nullptr) {
        return std::nullopt;
    }
    return assume(row->value, row->source);
}

double Builder::number(PartId id, std::string_view key, const std::optional<Known>& known) {
    const auto found = perhaps(id, key, known);
    if (!found || !std::isfinite(*found)) {
        complain(id,
                 fmt::format("its {} is not known", key),
                 "add a row for it to data/behaviour/devices.toml");
        return 1.0;
    }
    return *found;
}

std::optional<double> Builder::perhaps_value(PartId id) {
    const circuit::Part& p = part(id);
    if (!p.said.value) {
        return std::nullopt;
    }
    base::Quantity value = p.said.value->value;
    if (value.exact()) {
        double percent = 0.0;
        if (p.said.tolerance) {
            percent = p.said.tolerance->value.value;
        } else if (const DeviceParameter* usual = tables.devices.parameter(tolerance_key)) {
            const DeviceRow* row = tables.devices.row(*usual, p);
            percent = row == nullptr ? 0.0 : row->value.value;
        }
        value.low = value.value * (1.0 - percent / 100.0);
        value.high = value.value * (1.0 + percent / 100.0);
    }
    return booked(id, "value", value, false);
}

double Builder::value(PartId id) {
    const auto found = perhaps_value(id);
    if (!found) {
        complain(id, "it has no value", "write what it has: value = \"...\"");
        return 1.0;
    }
    if (!std::isfinite(*found) || *found <= 0.0) {
        complain(id,
                 fmt::format("its value is {}", *found),
                 "write a value above zero: nothing less can be computed");
        return 1.0;
    }
    return *found;
}

}  // namespace etchback::behaviour::detail
