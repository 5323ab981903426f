// Reading TOML so that one pass tells everything that is wrong, each with its place.
//
// Both the dossier and the data files are read through this. Only .cpp files include it: it
// brings in toml++.
#pragma once

#include <toml++/toml.h>

#include <optional>
#include <set>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "base/error.h"
#include "base/quantity.h"

namespace etchback::base {

// Parses text. A TOML syntax error is one Error with its place (toml++ stops at the first).
Result<toml::table> parse_toml(std::string_view text, const std::string& file);

// Place of a node, its column counted in characters.
Place place_of(const toml::node& node, const std::string& file);

// Reads the keys of one table. Each getter notes the key as known; a value of the wrong type is
// an error and reads as absent. `finish` complains about every key that nobody asked for and
// suggests the nearest known one.
class TableReader {
public:
    // `where` names the table in messages: "part R1". The errors go to `errors`.
    TableReader(const toml::table& table, std::string file, std::string where, Errors& errors);

    std::optional<Placed<std::string>> text(std::string_view key);
    std::optional<Placed<double>> number(std::string_view key);
    std::optional<Placed<long long>> integer(std::string_view key);
    std::optional<Placed<bool>> flag(std::string_view key);
    // A quantity written as text ("4k7") or as a bare number in the expected unit.
    std::optional<Placed<Quantity>> quantity(std::string_view key, Unit expected);
    // One of `words`; anything else is an error that suggests the nearest.
    std::optional<Placed<std::string>> word(std::string_view key,
                                            std::span<const std::string> words);
    // A text, number or date as it is spelled, for values that may be either ("1N4007", 104).
    std::optional<Placed<std::string>> spelled(std::string_view key);
    std::vector<Placed<std::string>> texts(std::string_view key);  // array of texts; absent: empty
    const toml::table* table(std::string_view key);
    const toml::array* list(std::string_view key, std::string todo);  // of anything
    // An array of tables, or an empty list. Elements that are no tables are errors.
    std::vector<const toml::table*> tables(std::string_view key);

    bool has(std::string_view key) const;
    // Key present? If not, an error at the table's own place with `todo`.
    void require(std::string_view key, std::string todo);
    // Where the key's value stands, or the table's place if it is absent.
    Place place(std::string_view key) const;
    Place place() const;
    // Where the key itself stands (before the equals sign), or the table's place.
    Place key_place(std::string_view key) const;
    const std::string& where() const { return where_; }
    // The table's keys in the order in which the file has them.
    std::vector<std::string> keys() const;

    void complain(const Place& place, std::string what, std::string todo);
    // Marks keys as known that are read in another way.
    void know(std::string_view key);
    void finish();

private:
    const toml::node* node(std::string_view key);

    const toml::table& table_;
    std::string file_;
    std::string where_;
    Errors& errors_;
    std::set<std::string, std::less<>> known_;
};

}  // namespace etchback::base
