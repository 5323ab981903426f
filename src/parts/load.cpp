// Reading the catalogue from its data files.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <set>

#include "base/file.h"
#include "base/text.h"
#include "base/toml_reader.h"
#include "parts/catalogue.h"
#include "parts/detail/folded.h"

namespace etchback::parts {
namespace {

using base::Errors;
using base::Place;
using base::Placed;
using base::TableReader;

constexpr std::array roles = {PinRole::passive,
                              PinRole::positive,
                              PinRole::negative,
                              PinRole::input,
                              PinRole::output,
                              PinRole::supply,
                              PinRole::ground,
                              PinRole::line,
                              PinRole::earth};
constexpr std::array couplings = {Coupling::conductive,
                                  Coupling::capacitive,
                                  Coupling::magnetic,
                                  Coupling::optical,
                                  Coupling::gap,
                                  Coupling::none};

// The one of `all` that the key names, or `otherwise` where the key is absent.
template <typename T, std::size_t n>
T one_of(TableReader& reader, std::string_view key, const std::array<T, n>& all, T otherwise) {
    std::vector<std::string> words;
    for (const T one : all) {
        words.emplace_back(name_of(one));
    }
    const auto said = reader.word(key, words);
    for (const T one : all) {
        if (said && said->value == name_of(one)) {
            return one;
        }
    }
    return otherwise;
}

base::Unit unit_of(TableReader& reader, std::string_view key) {
    const auto said = reader.text(key);
    if (!said) {
        return base::Unit::none;
    }
    const auto unit = base::unit_named(said->value);
    if (!unit) {
        reader.complain(said->place,
                        fmt::format("{}: '{}' is no unit", key, said->value),
                        "write a unit's name, such as ohm or volt");
    }
    return unit.value_or(base::Unit::none);
}

std::string text_or_empty(TableReader& reader, std::string_view key) {
    const auto said = reader.text(key);
    return said ? said->value : std::string();
}

bool flag_or_false(TableReader& reader, std::string_view key) {
    const auto said = reader.flag(key);
    return said && said->value;
}

double number_or_zero(TableReader& reader, std::string_view key) {
    const auto said = reader.number(key);
    if (said && said->value < 0) {
        reader.complain(
            said->place, fmt::format("'{}' is negative", key), "leave out what is not known");
    }
    return said ? said->value : 0.0;
}

std::vector<std::string> plain_texts(TableReader& reader, std::string_view key) {
    std::vector<std::string> list;
    for (const Placed<std::string>& text : reader.texts(key)) {
        list.push_back(text.value);
    }
    return list;
}

class Loader {
public:
    void read_file(const std::filesystem::path& path) {
        file_ = path.string();
        const auto table = base::parse_toml(base::read_file(path), file_);
        if (!table) {
            errors_.insert(errors_.end(), table.errors().begin(), table.errors().end());
            return;
        }
        TableReader reader(*table, file_, "", errors_);
        file_source_ = text_or_empty(reader, "source");
        for (const toml::table* row : reader.tables("kind")) {
            read_kind(*row);
        }
        for (const toml::table* row : reader.tables("body")) {
            read_body(*row);
        }
        if (const toml::table* names = reader.table("pin_names")) {
            read_pin_names(*names);
        }
        reader.know("types");  // parts/types.h reads these
        reader.finish();
    }

    base::Result<Catalogue> finish() {
        if (!errors_.empty()) {
            base::sort_by_place(errors_);
            return errors_;
        }
        return Catalogue(std::move(kinds_), std::move(bodies_), std::move(pin_names_));
    }

private:
    void read_kind(const toml::table& table) {
        const auto id = table["id"].value<std::string>();
        TableReader reader(
            table, file_, fmt::format("kind {}", id.value_or("without id")), errors_);
        for (const std::string_view key : {"id", "title", "family", "prefix", "symbol"}) {
            reader.require(key, "every kind needs it");
        }
        need_source(reader);
        Kind kind;
        kind.id = text_or_empty(reader, "id");
        kind.title = text_or_empty(reader, "title");
        kind.family = text_or_empty(reader, "family");
        kind.aliases = plain_texts(reader, "aliases");
        kind.prefix = text_or_empty(reader, "prefix");
        kind.symbol = text_or_empty(reader, "symbol");
        kind.value_unit = unit_of(reader, "value_unit");
        kind.value_needed = flag_or_false(reader, "value_needed");
        kind.polarised = flag_or_false(reader, "polarised");
        kind.off_board = flag_or_false(reader, "off_board");
        kind.open_pins = flag_or_false(reader, "open_pins");
        kind.coupling = one_of(reader, "coupling", couplings, Coupling::conductive);
        kind.safety_class = text_or_empty(reader, "safety_class");
        read_pins(reader, kind);
        read_properties(reader, kind);
        reader.finish();
        note_spellings(kind, reader);
        kinds_.push_back(std::move(kind));
    }

    void read_pins(TableReader& kind_reader, Kind& kind) {
        std::set<std::string> seen;
        for (const toml::table* table : kind_reader.tables("pins")) {
            TableReader reader(*table, file_, kind_reader.where() + ", pin", errors_);
            reader.require("name", "name the pin");
            PinSpec pin;
            pin.name = text_or_empty(reader, "name");
            pin.aliases = plain_texts(reader, "aliases");
            pin.role = one_of(reader, "role", roles, PinRole::passive);
            pin.side = text_or_empty(reader, "side");
            pin.optional = flag_or_false(reader, "optional");
            reader.finish();
            std::set<std::string> own = {base::lowered(pin.name)};
            for (const std::string& alias : pin.aliases) {
                own.insert(base::lowered(alias));
            }
            for (const std::string& name : own) {
                if (!seen.insert(name).second) {
                    reader.complain(reader.place(),
                                    fmt::format("two pins are called '{}'", name),
                                    "letters' case does not tell pins apart; take one away");
                }
            }
            kind.pins.push_back(std::move(pin));
        }
    }

    void read_properties(TableReader& kind_reader, Kind& kind) {
        for (const toml::table* table : kind_reader.tables("properties")) {
            TableReader reader(*table, file_, kind_reader.where() + ", property", errors_);
            reader.require("key", "name the property");
            reader.require("title", "say what the property is");
            Property property;
            property.key = text_or_empty(reader, "key");
            property.unit = unit_of(reader, "unit");
            property.title = text_or_empty(reader, "title");
            reader.finish();
            kind.properties.push_back(std::move(property));
        }
    }

    void note_spellings(const Kind& kind, TableReader& reader) {
        std::set<std::string> own = {folded(kind.id), folded(kind.title)};
        for (const std::string& alias : kind.aliases) {
            own.insert(folded(alias));
        }
        for (const std::string& word : own) {
            const auto [other, is_new] = spelled_.emplace(word, kind.id);
            if (!is_new) {
                reader.complain(reader.place(),
                                fmt::format("'{}' is also a spelling of {}", word, other->second),
                                "each spelling may mean one kind only");
            }
        }
    }

    void read_body(const toml::table& table) {
        const auto id = table["id"].value<std::string>();
        TableReader reader(
            table, file_, fmt::format("body {}", id.value_or("without id")), errors_);
        reader.require("id", "name the body");
        need_source(reader);
        Body body;
        body.id = text_or_empty(reader, "id");
        body.aliases = plain_texts(reader, "aliases");
        body.family = text_or_empty(reader, "family");
        body.usual_power_w = number_or_zero(reader, "usual_power_w");
        body.usual_voltage_v = number_or_zero(reader, "usual_voltage_v");
        body.length_mm = number_or_zero(reader, "length_mm");
        body.width_mm = number_or_zero(reader, "width_mm");
        body.pin_pitch_mm = number_or_zero(reader, "pin_pitch_mm");
        body.row_mm = number_or_zero(reader, "row_mm");
        body.leads = text_or_empty(reader, "leads");
        body.through_hole = flag_or_false(reader, "through_hole");
        body.pins = static_cast<int>(std::clamp(number_or_zero(reader, "pins"), 0.0, 1000.0));
        const auto source = reader.text("source");
        body.source = source ? source->value : file_source_;
        body.from_memory = flag_or_false(reader, "from_memory");
        reader.finish();
        note_spellings(body, reader);
        bodies_.push_back(std::move(body));
    }

    void note_spellings(const Body& body, TableReader& reader) {
        std::set<std::string> own = {folded_body(body.id)};
        for (const std::string& alias : body.aliases) {
            own.insert(folded_body(alias));
        }
        for (const std::string& word : own) {
            const auto [other, is_new] = body_spelled_.emplace(body.family + "/" + word, body.id);
            if (!is_new) {
                reader.complain(reader.place(),
                                fmt::format("'{}' is also a spelling of {}", word, other->second),
                                "each spelling may mean one body of a family only");
            }
        }
    }

    void read_pin_names(const toml::table& table) {
        TableReader reader(table, file_, "pin_names", errors_);
        for (const PinRole role : roles) {
            for (const std::string& name : plain_texts(reader, name_of(role))) {
                pin_names_.push_back({name, role});
            }
        }
        reader.finish();
    }

    void need_source(TableReader& reader) {
        reader.know("source");
        if (file_source_.empty() && !reader.has("source")) {
            reader.complain(reader.place(),
                            "no source is given",
                            "write source = \"...\" in the row or at the top of the file");
        }
    }

    std::string file_;
    std::string file_source_;
    Errors errors_;
    std::vector<Kind> kinds_;
    std::vector<Body> bodies_;
    std::vector<PinName> pin_names_;
    std::map<std::string, std::string> spelled_;       // folded spelling -> kind
    std::map<std::string, std::string> body_spelled_;  // family/folded spelling -> body
};

}  // namespace

base::Result<Catalogue> load_catalogue(const std::filesystem::path& folder) {
    if (!std::filesystem::is_directory(folder)) {
        return base::Error{{.file = folder.string()},
                           "there is no such folder, so the kinds of part are not known",
                           "install the data files or say where they are"};
    }
    std::vector<std::filesystem::path> files;
    for (const auto& entry : std::filesystem::recursive_directory_iterator(folder)) {
        if (entry.is_regular_file() && entry.path().extension() == ".toml") {
            files.push_back(entry.path());
        }
    }
    std::sort(files.begin(), files.end());
    Loader loader;
    for (const std::filesystem::path& file : files) {
        loader.read_file(file);
    }
    return loader.finish();
}

}  // namespace etchback::parts
