// Reading data/controllers/*.toml.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "base/file.h"
#include "base/text.h"
#include "base/toml_reader.h"
#include "behaviour/controllers.h"
#include "behaviour/detail/controller_behaviours.h"

namespace etchback::behaviour {

namespace {

using base::TableReader;

const std::vector<std::string>& roles() {
    static const std::vector<std::string> all = {"supply",
                                                 "return",
                                                 "drive",
                                                 "sense",
                                                 "feedback",
                                                 "compensation",
                                                 "detect",
                                                 "enable",
                                                 "output",
                                                 "high_voltage",
                                                 "drain",
                                                 "source",
                                                 "drain_2",
                                                 "drain_3",
                                                 "drain_4",
                                                 "frequency"};
    return all;
}

std::string text_of(TableReader& reader, std::string_view key, std::string_view todo) {
    reader.require(key, std::string(todo));
    const auto said = reader.text(key);
    return said ? std::string(base::trimmed(said->value)) : std::string();
}

class FamilyReader {
public:
    FamilyReader(std::string file, base::Errors& errors)
        : file_(std::move(file)), errors_(errors) {}

    Family read(const toml::table& table) {
        TableReader reader(table, file_, "", errors_);
        family_.family = text_of(reader, "family", "say what dossiers call the family");
        for (const auto& other : reader.texts("also")) {
            family_.also.push_back(other.value);
        }
        const auto known = detail::behaviours();
        reader.require("behaviour", "name the machine that plays the family");
        if (const auto behaviour = reader.word("behaviour", known)) {
            family_.behaviour = behaviour->value;
        }
        family_.words = text_of(reader, "words", "say in sentences how the family works");
        source_ = text_of(reader, "source", "say where its numbers come from");
        pins(reader);
        for (const auto& role : reader.texts("needed")) {
            needed(reader, role);
        }
        for (const toml::table* row : reader.tables("number")) {
            number(*row);
        }
        reader.finish();
        return std::move(family_);
    }

private:
    void pins(TableReader& reader) {
        reader.require("pins", "list the names of each pin by role");
        const toml::table* table = reader.table("pins");
        if (table == nullptr) {
            return;
        }
        TableReader list(*table, file_, "pins", errors_);
        for (const std::string& role : roles()) {
            for (const auto& name : list.texts(role)) {
                family_.pins[role].push_back(name.value);
            }
        }
        list.finish();
    }

    void needed(TableReader& reader, const base::Placed<std::string>& role) {
        if (!family_.pins.contains(role.value)) {
            reader.complain(role.place,
                            fmt::format("the role '{}' is needed but has no pin", role.value),
                            "list its names under pins");
        }
        family_.needed.push_back(role.value);
    }

    void number(const toml::table& row) {
        TableReader reader(row, file_, "number", errors_);
        FamilyNumber number;
        number.name = text_of(reader, "name", "give the number a name");
        number.words = text_of(reader, "words", "say what the number is");
        const auto own = reader.text("source");
        number.source = own ? own->value : source_;
        base::Unit unit = base::Unit::none;
        if (const auto said = reader.text("unit")) {
            if (const auto known = base::unit_named(said->value)) {
                unit = *known;
            } else {
                reader.complain(said->place,
                                fmt::format("'{}' is no unit", said->value),
                                "write a unit's name, such as volt or second");
            }
        }
        reader.require("usual", "give the value to use where nothing is known");
        const auto usual = reader.quantity("usual", unit);
        const auto low = reader.quantity("low", unit);
        const auto high = reader.quantity("high", unit);
        if (usual) {
            number.usual = usual->value;
            number.usual.low = low ? low->value.value : number.usual.value;
            number.usual.high = high ? high->value.value : number.usual.value;
            if (number.usual.low > number.usual.value || number.usual.high < number.usual.value) {
                reader.complain(
                    usual->place,
                    fmt::format("the usual value of '{}' is outside its range", number.name),
                    "check usual, low and high");
            }
        }
        if (!seen_.insert(number.name).second) {
            reader.complain(
                reader.place(), fmt::format("'{}' is given twice", number.name), "keep one");
        }
        reader.finish();
        family_.numbers.push_back(std::move(number));
    }

    std::string file_;
    base::Errors& errors_;
    Family family_;
    std::string source_;
    std::set<std::string> seen_;
};

}  // namespace

base::Result<std::vector<Family>> load_families(const std::filesystem::path& folder) {
    std::vector<std::filesystem::path> files;
    std::error_code missing;
    for (const auto& entry : std::filesystem::directory_iterator(folder, missing)) {
        if (entry.path().extension() == ".toml") {
            files.push_back(entry.path());
        }
    }
    if (missing) {
        return base::Error{{folder.string(), 0, 0},
                           "there is no such folder of families of controllers",
                           "reinstall Etchback's data, or name its data folder"};
    }
    std::sort(files.begin(), files.end());
    base::Errors errors;
    std::vector<Family> families;
    std::set<std::string> names;
    for (const auto& file : files) {
        const auto table = base::parse_toml(base::read_file(file), file.string());
        if (!table) {
            errors.insert(errors.end(), table.errors().begin(), table.errors().end());
            continue;
        }
        families.push_back(FamilyReader(file.string(), errors).read(*table));
        if (!names.insert(families.back().family).second) {
            errors.push_back(
                {{file.string(), 1, 1},
                 fmt::format("another file has the family '{}' too", families.back().family),
                 "give each family one file"});
        }
    }
    if (families.empty() && errors.empty()) {
        errors.push_back({{folder.string(), 0, 0},
                          "there are no families of controllers in this folder",
                          "reinstall Etchback's data, or name its data folder"});
    }
    if (!errors.empty()) {
        return errors;
    }
    return families;
}

}  // namespace etchback::behaviour
