#include "behaviour/detail/model_tables.h"

#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "base/file.h"
#include "base/toml_reader.h"
#include "behaviour/models.h"

namespace etchback::behaviour {
namespace detail {
namespace {

using base::TableReader;

// Letters' case, blanks and hyphens do not make another type or body.
std::string folded(std::string_view text) {
    std::string out;
    for (const char c : text) {
        if (c != ' ' && c != '-' && c != '_') {
            out += static_cast<char>(c >= 'A' && c <= 'Z' ? c - 'A' + 'a' : c);
        }
    }
    return out;
}

// The type itself or a variant of it: 4N65 fits 4N65G and 4N65-TO252, and not 4N650.
bool fits_type(std::string_view row, std::string_view written) {
    const std::string known = folded(row), said = folded(written);
    if (!said.starts_with(known)) {
        return false;
    }
    return said.size() == known.size() || !(said[known.size()] >= '0' && said[known.size()] <= '9');
}

class DeviceLoader {
public:
    DeviceLoader(std::string file, const parts::Catalogue& catalogue)
        : file_(std::move(file)), catalogue_(catalogue) {}

    base::Result<Devices> read(const toml::table& table) {
        TableReader reader(table, file_, "", errors_);
        for (const toml::table* each : reader.tables("parameters")) {
            read_parameter(*each);
        }
        for (const toml::table* each : reader.tables("chips")) {
            read_chip(*each);
        }
        reader.finish();
        if (!errors_.empty()) {
            base::sort_by_place(errors_);
            return errors_;
        }
        return std::move(devices_);
    }

private:
    std::string required(TableReader& reader, std::string_view key, std::string todo) {
        reader.require(key, std::move(todo));
        const auto said = reader.text(key);
        return said ? said->value : std::string();
    }

    void read_parameter(const toml::table& table) {
        const std::string name = table["name"].value<std::string>().value_or("without name");
        TableReader reader(table, file_, fmt::format("parameter {}", name), errors_);
        DeviceParameter parameter;
        parameter.name = required(reader, "name", "name the parameter: name = \"on_resistance\"");
        parameter.title =
            required(reader, "title", "write its name for people: title = \"on-resistance\"");
        const std::string unit =
            required(reader, "unit", "write its unit: unit = \"ohm\", or \"none\"");
        if (const auto known = base::unit_named(unit)) {
            parameter.unit = *known;
        } else if (!unit.empty()) {
            reader.complain(reader.place("unit"),
                            fmt::format("'{}' is no unit", unit),
                            "write a unit's name: ohm, farad, henry, volt, ampere ... or none");
        }
        if (!names_.insert(parameter.name).second) {
            reader.complain(reader.place(),
                            "the parameter is in the file twice",
                            "write its rows in one place");
        }
        for (const toml::table* row : reader.tables("rows")) {
            read_row(*row, parameter);
        }
        reader.finish();
        devices_.parameters.push_back(std::move(parameter));
    }

    void read_row(const toml::table& table, DeviceParameter& parameter) {
        TableReader reader(table, file_, fmt::format("a row of {}", parameter.name), errors_);
        DeviceRow row;
        const auto text = [&](std::string_view key, std::string& to) {
            if (const auto said = reader.text(key)) {
                to = said->value;
            }
        };
        text("type", row.type);
        text("body", row.body);
        text("family", row.family);
        text("kind", row.kind);
        if (const parts::Kind* kind = row.kind.empty() ? nullptr : catalogue_.find(row.kind)) {
            row.kind = kind->id;
        } else if (!row.kind.empty()) {
            const auto near = catalogue_.suggestion(row.kind);
            reader.complain(
                reader.place("kind"),
                fmt::format("'{}' is no kind of part", row.kind),
                near ? fmt::format("did you mean '{}'?", *near) : "write a kind of data/parts");
        }
        row.source = required(reader, "source", "say where the number comes from");
        reader.require("value", "give the usual value");
        read_value(reader, parameter, row);
        reader.finish();
        parameter.rows.push_back(std::move(row));
    }

    void read_value(TableReader& reader, const DeviceParameter& parameter, DeviceRow& row) {
        const auto value = reader.quantity("value", parameter.unit);
        const auto low = reader.quantity("low", parameter.unit);
        const auto high = reader.quantity("high", parameter.unit);
        if (!value) {
            return;
        }
        row.value = value->value;
        row.value.low = low ? low->value.value : row.value.value;
        row.value.high = high ? high->value.value : row.value.value;
        row.value.nominal = !row.value.exact();
        if (row.value.low > row.value.value || row.value.high < row.value.value) {
            reader.complain(
                value->place, "the usual value is not between low and high", "put it between them");
        }
    }

    void read_chip(const toml::table& table) {
        const std::string name = table["type"].value<std::string>().value_or("without type");
        TableReader reader(table, file_, fmt::format("chip {}", name), errors_);
        Chip chip;
        chip.type = required(reader, "type", "name the type: type = \"LM358\"");
        chip.source = required(reader, "source", "say where the pins come from");
        for (const toml::table* unit : reader.tables("units")) {
            read_unit(*unit, chip);
        }
        reader.finish();
        devices_.chips.push_back(std::move(chip));
    }

    void read_unit(const toml::table& table, Chip& chip) {
        TableReader reader(table, file_, fmt::format("a unit of {}", chip.type), errors_);
        ChipUnit unit;
        unit.kind = required(reader, "kind", "name the kind that it is: kind = \"op_amp\"");
        const parts::Kind* kind = catalogue_.find(unit.kind);
        if (kind == nullptr) {
            reader.complain(reader.place("kind"),
                            fmt::format("'{}' is no kind of part", unit.kind),
                            "write a kind of data/parts");
            return;
        }
        unit.kind = kind->id;
        for (const parts::PinSpec& pin : kind->pins) {
            if (const auto said = reader.spelled(pin.name)) {
                unit.pins.emplace_back(pin.name, said->value);
            }
        }
        reader.finish();
        chip.units.push_back(std::move(unit));
    }

    std::string file_;
    const parts::Catalogue& catalogue_;
    base::Errors errors_;
    Devices devices_;
    std::set<std::string> names_;
};

}  // namespace

const DeviceParameter* Devices::parameter(std::string_view name) const {
    const auto it = std::find_if(
        parameters.begin(), parameters.end(), [&](const auto& p) { return p.name == name; });
    return it == parameters.end() ? nullptr : &*it;
}

const DeviceRow* Devices::row(const DeviceParameter& parameter, const circuit::Part& part) const {
    const DeviceRow* best = nullptr;
    int best_rank = -1;
    for (const DeviceRow& row : parameter.rows) {
        const std::string& type = part.said.type.value;
        const std::string& body = part.said.body.value;
        const bool fits = (row.type.empty() || (!type.empty() && fits_type(row.type, type))) &&
                          (row.body.empty() || folded(row.body) == folded(body)) &&
                          (row.kind.empty() || row.kind == part.kind.id) &&
                          (row.family.empty() || row.family == part.kind.family);
        const int rank = (row.type.empty() ? 0 : 8) + (row.body.empty() ? 0 : 4) +
                         (row.kind.empty() ? 0 : 2) + (row.family.empty() ? 0 : 1);
        if (fits && rank > best_rank) {
            best = &row;
            best_rank = rank;
        }
    }
    return best;
}

const Chip* Devices::chip(std::string_view type) const {
    const auto it = std::find_if(
        chips.begin(), chips.end(), [&](const Chip& c) { return fits_type(c.type, type); });
    return type.empty() || it == chips.end() ? nullptr : &*it;
}

base::Result<Devices> read_devices(std::string_view text,
                                   const std::string& file,
                                   const parts::Catalogue& catalogue) {
    const auto table = base::parse_toml(text, file);
    if (!table) {
        return table.errors();
    }
    return DeviceLoader(file, catalogue).read(*table);
}

base::Result<Devices> load_devices(const std::filesystem::path& file,
                                   const parts::Catalogue& catalogue) {
    return read_devices(base::read_file(file), file.string(), catalogue);
}

}  // namespace detail

base::Result<std::shared_ptr<const Tables>> load_tables(const std::filesystem::path& data_folder) {
    auto catalogue = parts::load_catalogue(data_folder / "parts");
    auto families = load_families(data_folder / "controllers");
    base::Errors errors;
    if (!catalogue) {
        errors = catalogue.errors();
    }
    if (!families) {
        errors.insert(errors.end(), families.errors().begin(), families.errors().end());
    }
    if (!errors.empty()) {
        return errors;
    }
    auto devices = detail::load_devices(data_folder / "behaviour" / "devices.toml", *catalogue);
    if (!devices) {
        return devices.errors();
    }
    return std::shared_ptr<const Tables>(std::make_shared<Tables>(
        Tables{*std::move(devices), *std::move(families), *std::move(catalogue)}));
}

}  // namespace etchback::behaviour
