#include "base/toml_reader.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <sstream>

#include "base/text.h"

namespace etchback::base {
namespace {

Place place_at(const toml::source_position& position, const std::string& file) {
    return {file, static_cast<int>(position.line), static_cast<int>(position.column)};
}

std::string_view type_name(const toml::node& node) {
    switch (node.type()) {
        case toml::node_type::table:
            return "a table";
        case toml::node_type::array:
            return "a list";
        case toml::node_type::string:
            return "text";
        case toml::node_type::integer:
            return "a whole number";
        case toml::node_type::floating_point:
            return "a number";
        case toml::node_type::boolean:
            return "true or false";
        case toml::node_type::date:
            return "a date";
        case toml::node_type::time:
            return "a time of day";
        case toml::node_type::date_time:
            return "a date with time";
        case toml::node_type::none:
            break;
    }
    return "nothing";
}

// The place of the first byte that is no UTF-8 or is NUL, which toml++ reports without a place.
std::optional<Place> bad_byte(std::string_view text, const std::string& file) {
    int line = 1;
    std::size_t line_start = 0;
    for (std::size_t at = 0; at < text.size(); ++at) {
        if (text[at] == '\n') {
            const std::string_view this_line = text.substr(line_start, at - line_start);
            if (!is_utf8(this_line)) {
                break;
            }
            ++line;
            line_start = at + 1;
        } else if (text[at] == '\0') {
            break;
        }
        if (at + 1 == text.size() && is_utf8(text.substr(line_start))) {
            return std::nullopt;
        }
    }
    if (text.empty()) {
        return std::nullopt;
    }
    std::size_t good = 0;
    const std::string_view rest = text.substr(line_start);
    while (good < rest.size() && rest[good] != '\0' && rest[good] != '\n') {
        std::size_t length = 1;
        while (length <= 4 && good + length <= rest.size() && !is_utf8(rest.substr(good, length))) {
            ++length;
        }
        if (length > 4 || good + length > rest.size()) {
            break;
        }
        good += length;
    }
    return Place{file, line, static_cast<int>(characters(rest.substr(0, good))) + 1};
}

// Whether the first bad byte, at `place`, is a NUL. All bytes before it are well-formed text.
bool is_nul(std::string_view text, const Place& place) {
    const std::size_t nul = text.find('\0');
    if (nul == std::string_view::npos || !is_utf8(text.substr(0, nul))) {
        return false;
    }
    const std::string_view before = text.substr(0, nul);
    const auto lines = std::count(before.begin(), before.end(), '\n');
    return lines + 1 == place.line;
}

// toml++ says "Error while parsing key: ..."; the person needs only what is wrong.
std::string plain_words(std::string_view description) {
    std::string text(description);
    if (const auto colon = text.find(": ");
        text.rfind("Error while parsing ", 0) == 0 && colon != std::string::npos) {
        const std::string what = text.substr(20, colon - 20);
        text = "in a " + what + ": " + text.substr(colon + 2);
    }
    return "this is not TOML: " + text;
}

}  // namespace

Result<toml::table> parse_toml(std::string_view text, const std::string& file) {
    if (const auto place = bad_byte(text, file)) {
        if (is_nul(text, *place)) {
            return Error{*place,
                         "the file holds a NUL byte, which no text has",
                         "take it out; if there are many, the file is no text or is UTF-16: save "
                         "it as UTF-8 text"};
        }
        return Error{*place,
                     "the file holds a byte that is not UTF-8 text",
                     "save the file as UTF-8 text and write the character at this place anew"};
    }
    try {
        return toml::parse(text, file);
    } catch (const toml::parse_error& error) {
        return Error{
            place_at(error.source().begin, file),
            plain_words(error.description()),
            "mend this line; quotation marks, brackets and equals signs are the usual cause"};
    }
}

Place place_of(const toml::node& node, const std::string& file) {
    return place_at(node.source().begin, file);
}

TableReader::TableReader(const toml::table& table,
                         std::string file,
                         std::string where,
                         Errors& errors)
    : table_(table), file_(std::move(file)), where_(std::move(where)), errors_(errors) {}

const toml::node* TableReader::node(std::string_view key) {
    know(key);
    return table_.get(key);
}

void TableReader::know(std::string_view key) {
    known_.emplace(key);
}

bool TableReader::has(std::string_view key) const {
    return table_.contains(key);
}

Place TableReader::place() const {
    return place_of(table_, file_);
}

Place TableReader::place(std::string_view key) const {
    const toml::node* found = table_.get(key);
    return found != nullptr ? place_of(*found, file_) : place();
}

Place TableReader::key_place(std::string_view key) const {
    for (const auto& [name, value] : table_) {
        if (name.str() == key) {
            return place_at(name.source().begin, file_);
        }
    }
    return place();
}

std::vector<std::string> TableReader::keys() const {
    struct Seen {
        toml::source_position position;
        std::string key;
    };
    std::vector<Seen> seen;
    for (const auto& [name, value] : table_) {
        seen.push_back({name.source().begin, std::string(name.str())});
    }
    std::stable_sort(seen.begin(), seen.end(), [](const Seen& a, const Seen& b) {
        return a.position < b.position;
    });
    std::vector<std::string> keys;
    for (Seen& one : seen) {
        keys.push_back(std::move(one.key));
    }
    return keys;
}

void TableReader::complain(const Place& place, std::string what, std::string todo) {
    errors_.push_back({place, where_.empty() ? what : where_ + ": " + what, std::move(todo)});
}

namespace {

std::string wrong_type(std::string_view key, const toml::node& found, std::string_view wanted) {
    return fmt::format("'{}' is {}, but {} is needed", key, type_name(found), wanted);
}

}  // namespace

std::optional<Placed<std::string>> TableReader::text(std::string_view key) {
    const toml::node* found = node(key);
    if (found == nullptr) {
        return std::nullopt;
    }
    if (const auto* value = found->as_string()) {
        return Placed<std::string>{value->get(), place_of(*found, file_)};
    }
    complain(
        place_of(*found, file_), wrong_type(key, *found, "text"), "put it between quotation marks");
    return std::nullopt;
}

std::optional<Placed<double>> TableReader::number(std::string_view key) {
    const toml::node* found = node(key);
    if (found == nullptr) {
        return std::nullopt;
    }
    const auto value = found->is_number() ? found->value<double>() : std::nullopt;
    if (value && std::isfinite(*value)) {
        return Placed<double>{*value, place_of(*found, file_)};
    }
    complain(place_of(*found, file_),
             value ? fmt::format("'{}' is not a finite number", key)
                   : wrong_type(key, *found, "a number"),
             "write a number without quotation marks or unit, such as 12.5");
    return std::nullopt;
}

std::optional<Placed<long long>> TableReader::integer(std::string_view key) {
    const toml::node* found = node(key);
    if (found == nullptr) {
        return std::nullopt;
    }
    if (const auto* value = found->as_integer()) {
        return Placed<long long>{value->get(), place_of(*found, file_)};
    }
    complain(place_of(*found, file_),
             wrong_type(key, *found, "a whole number"),
             "write a whole number without quotation marks, such as 3");
    return std::nullopt;
}

std::optional<Placed<bool>> TableReader::flag(std::string_view key) {
    const toml::node* found = node(key);
    if (found == nullptr) {
        return std::nullopt;
    }
    if (const auto* value = found->as_boolean()) {
        return Placed<bool>{value->get(), place_of(*found, file_)};
    }
    complain(place_of(*found, file_),
             wrong_type(key, *found, "true or false"),
             "write true or false without quotation marks");
    return std::nullopt;
}

std::optional<Placed<Quantity>> TableReader::quantity(std::string_view key, Unit expected) {
    const toml::node* found = node(key);
    if (found == nullptr) {
        return std::nullopt;
    }
    const Place at = place_of(*found, file_);
    if (found->is_number()) {
        if (const auto value = found->value<double>(); value && std::isfinite(*value)) {
            return Placed<Quantity>{Quantity::of(*value, expected), at};
        }
    }
    const auto* spelled = found->as_string();
    if (spelled == nullptr) {
        complain(at, wrong_type(key, *found, "a quantity"), "write it as text, such as \"4k7\"");
        return std::nullopt;
    }
    const Result<Quantity> parsed = parse_quantity(spelled->get(), expected);
    if (!parsed) {
        for (const Error& error : parsed.errors()) {
            complain(at, fmt::format("{}: {}", key, error.what), error.todo);
        }
        return std::nullopt;
    }
    return Placed<Quantity>{*parsed, at};
}

std::optional<Placed<std::string>> TableReader::word(std::string_view key,
                                                     std::span<const std::string> words) {
    const auto said = text(key);
    if (!said || std::find(words.begin(), words.end(), said->value) != words.end()) {
        return said;
    }
    const auto near = nearest_word(said->value, words);
    complain(said->place,
             fmt::format("{}: '{}' is not a word that is known here", key, said->value),
             near ? fmt::format("write \"{}\"", *near)
                  : fmt::format("write one of: {}", listed(words, "or")));
    return std::nullopt;
}

std::optional<Placed<std::string>> TableReader::spelled(std::string_view key) {
    const toml::node* found = node(key);
    if (found == nullptr) {
        return std::nullopt;
    }
    const Place at = place_of(*found, file_);
    if (const auto* value = found->as_string()) {
        return Placed<std::string>{value->get(), at};
    }
    if (found->is_table() || found->is_array()) {
        complain(at, wrong_type(key, *found, "text"), "put it between quotation marks");
        return std::nullopt;
    }
    std::ostringstream out;
    out.imbue(std::locale::classic());
    found->visit([&](const auto& value) { out << value; });
    return Placed<std::string>{out.str(), at};
}

std::vector<Placed<std::string>> TableReader::texts(std::string_view key) {
    const toml::node* found = node(key);
    std::vector<Placed<std::string>> list;
    if (found == nullptr) {
        return list;
    }
    const toml::array* array = found->as_array();
    if (array == nullptr) {
        complain(place_of(*found, file_),
                 wrong_type(key, *found, "a list of texts"),
                 "write a list, such as [\"a\", \"b\"]");
        return list;
    }
    for (const toml::node& element : *array) {
        if (const auto* value = element.as_string()) {
            list.push_back({value->get(), place_of(element, file_)});
        } else {
            complain(place_of(element, file_),
                     fmt::format("in the list '{}' stands {}", key, type_name(element)),
                     "put quotation marks around each entry");
        }
    }
    return list;
}

const toml::table* TableReader::table(std::string_view key) {
    const toml::node* found = node(key);
    if (found == nullptr) {
        return nullptr;
    }
    if (const toml::table* table = found->as_table()) {
        return table;
    }
    complain(place_of(*found, file_),
             wrong_type(key, *found, "a table"),
             fmt::format("begin it with a line [{}] or write {{ key = value }}", key));
    return nullptr;
}

const toml::array* TableReader::list(std::string_view key, std::string todo) {
    const toml::node* found = node(key);
    if (found == nullptr) {
        return nullptr;
    }
    if (const toml::array* array = found->as_array()) {
        return array;
    }
    complain(place_of(*found, file_), wrong_type(key, *found, "a list"), std::move(todo));
    return nullptr;
}

std::vector<const toml::table*> TableReader::tables(std::string_view key) {
    const toml::node* found = node(key);
    std::vector<const toml::table*> list;
    if (found == nullptr) {
        return list;
    }
    const toml::array* array = found->as_array();
    if (array == nullptr) {
        complain(place_of(*found, file_),
                 wrong_type(key, *found, "a list of tables"),
                 fmt::format("begin each entry with a line [[{}]]", key));
        return list;
    }
    for (const toml::node& element : *array) {
        if (const toml::table* table = element.as_table()) {
            list.push_back(table);
        } else {
            complain(place_of(element, file_),
                     fmt::format("in the list '{}' stands {}", key, type_name(element)),
                     fmt::format("begin each entry with a line [[{}]]", key));
        }
    }
    return list;
}

void TableReader::require(std::string_view key, std::string todo) {
    know(key);
    if (!has(key)) {
        complain(place(), fmt::format("'{}' is missing", key), std::move(todo));
    }
}

namespace {

// The nearest key; else the only one that begins with what was written, or the other way round:
// "earth" for "earthed".
std::optional<std::string> nearest_key(const std::string& key,
                                       const std::vector<std::string>& known) {
    if (auto near = nearest_word(key, known)) {
        return near;
    }
    constexpr std::size_t shortest = 4;
    std::optional<std::string> found;
    for (const std::string& word : known) {
        const bool alike = key.size() >= shortest && word.size() >= shortest &&
                           (word.starts_with(key) || key.starts_with(word));
        if (alike && found) {
            return std::nullopt;
        }
        if (alike) {
            found = word;
        }
    }
    return found;
}

}  // namespace

void TableReader::finish() {
    const std::vector<std::string> known(known_.begin(), known_.end());
    for (const std::string& key : keys()) {
        if (known_.contains(key)) {
            continue;
        }
        const auto near = nearest_key(key, known);
        complain(key_place(key),
                 fmt::format("'{}' is not a key that is known here", key),
                 near ? fmt::format("did you mean '{}'?", *near)
                      : fmt::format("known here: {}", listed(known)));
    }
}

}  // namespace etchback::base
