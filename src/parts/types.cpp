#include "parts/types.h"

#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "base/file.h"
#include "base/text.h"
#include "base/toml_reader.h"
#include "parts/detail/folded.h"

namespace etchback::parts {
namespace {

using base::TableReader;

// The keys that both a group and a type in it may have; a type's own go before its group's.
void read_ratings(TableReader& reader, RegisteredType& type) {
    const auto number = [&](std::string_view key, double& to) {
        if (const auto said = reader.number(key)) {
            to = said->value;
            if (to <= 0) {
                reader.complain(said->place,
                                fmt::format("'{}' is not above zero", key),
                                "leave out what is not known");
            }
        }
    };
    const auto text = [&](std::string_view key, std::string& to) {
        if (const auto said = reader.text(key)) {
            to = said->value;
        }
    };
    text("kind", type.kind);
    text("body", type.body);
    number("reverse_voltage_v", type.reverse_voltage_v);
    number("zener_voltage_v", type.zener_voltage_v);
    number("zener_current_a", type.zener_current_a);
    number("tolerance_percent", type.tolerance_percent);
    number("main_voltage_v", type.main_voltage_v);
    number("current_a", type.current_a);
    number("surge_current_a", type.surge_current_a);
    number("forward_voltage_v", type.forward_voltage_v);
    number("recovery_s", type.recovery_s);
    number("on_resistance_ohm", type.on_resistance_ohm);
    number("power_w", type.power_w);
    text("leads", type.leads);
    text("note", type.note);
    text("source", type.source);
    if (const auto said = reader.flag("from_memory")) {
        type.from_memory = said->value;
    }
}

class TypeLoader {
public:
    TypeLoader(std::string file, const Catalogue& catalogue)
        : file_(std::move(file)), catalogue_(catalogue) {}

    base::Result<std::vector<RegisteredType>> read(const toml::table& table) {
        TableReader reader(table, file_, "", errors_);
        for (const toml::table* group : reader.tables("types")) {
            read_group(*group);
        }
        reader.finish();
        if (!errors_.empty()) {
            base::sort_by_place(errors_);
            return errors_;
        }
        std::sort(types_.begin(), types_.end(), [](const auto& a, const auto& b) {
            return base::natural_less(a.type, b.type);
        });
        return std::move(types_);
    }

private:
    void read_group(const toml::table& table) {
        TableReader reader(table, file_, "types", errors_);
        RegisteredType group;
        read_ratings(reader, group);
        const auto rows = reader.tables("rows");
        reader.finish();
        for (const toml::table* row : rows) {
            read_row(*row, group);
        }
    }

    void read_row(const toml::table& table, const RegisteredType& group) {
        const std::string name = table["type"].value<std::string>().value_or("without name");
        TableReader reader(table, file_, fmt::format("type {}", name), errors_);
        reader.require("type", "name the type: type = \"1N4007\"");
        RegisteredType type = group;
        if (const auto said = reader.text("type")) {
            type.type = said->value;
        }
        read_ratings(reader, type);
        reader.finish();
        check(type, reader);
        types_.push_back(std::move(type));
    }

    void check(RegisteredType& type, TableReader& reader) {
        const Kind* kind = catalogue_.find(type.kind);
        if (kind == nullptr) {
            const auto near = catalogue_.suggestion(type.kind);
            reader.complain(
                reader.place("kind"),
                fmt::format("'{}' is no kind of part", type.kind),
                near ? fmt::format("did you mean '{}'?", *near) : "write a kind of data/parts");
        } else {
            type.kind = kind->id;
        }
        if (type.source.empty()) {
            reader.complain(
                reader.place(), "no source is given", "write source = \"...\" in it or its group");
        }
        if (!names_.insert(folded(type.type)).second) {
            reader.complain(reader.place(), "the type is in the file twice", "take one away");
        }
    }

    std::string file_;
    const Catalogue& catalogue_;
    base::Errors errors_;
    std::vector<RegisteredType> types_;
    std::set<std::string> names_;
};

// What stands behind the type in a maker's full name: W, -7-F, BU. A digit would be another type,
// and of names such as M7 the beginning says too little.
bool is_variant(std::string_view name, std::string_view type) {
    return type.size() >= 4 && name.size() > type.size() && name.starts_with(type) &&
           !(name[type.size()] >= '0' && name[type.size()] <= '9');
}

// 1N4733 and 1N4733C beside 1N4733A: the last letter tells the tolerance.
bool is_other_tolerance(std::string_view name, const RegisteredType& type, std::string_view known) {
    if (type.zener_voltage_v == 0.0) {
        return false;
    }
    const std::string_view stem = known.substr(0, known.size() - 1);
    return name == stem || is_variant(name, stem);
}

}  // namespace

base::Result<std::vector<RegisteredType>> load_types(const std::filesystem::path& file,
                                                     const Catalogue& catalogue) {
    const auto table = base::parse_toml(base::read_file(file), file.string());
    if (!table) {
        return table.errors();
    }
    return TypeLoader(file.string(), catalogue).read(*table);
}

std::optional<TypeMatch> find_type(std::span<const RegisteredType> types,
                                   std::string_view written) {
    const std::string name = folded(written);
    const RegisteredType* variant = nullptr;
    for (const RegisteredType& type : types) {
        const std::string known = folded(type.type);
        if (known == name) {
            return TypeMatch{&type, true};
        }
        const bool longer = variant == nullptr || type.type.size() > variant->type.size();
        if (longer && (is_variant(name, known) || is_other_tolerance(name, type, known))) {
            variant = &type;
        }
    }
    return variant == nullptr ? std::nullopt : std::optional(TypeMatch{variant, false});
}

}  // namespace etchback::parts
