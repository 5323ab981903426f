// How TOML spells keys and values.
#pragma once

#include <string>
#include <string_view>

namespace etchback::dossier::detail {

// `name` as a key: bare where TOML allows it, else in quotes.
std::string key_text(std::string_view name);

// `text` in quotes, on one line.
std::string string_text(std::string_view text);

// The same over several lines, between triple quotes, if `text` has several.
std::string long_string_text(std::string_view text);

// The shortest spelling of a finite number that reads back as the same double.
std::string number_text(double number);

// A date without quotes if it is a full one (2026-03-14), else in quotes.
std::string date_text(std::string_view date);

}  // namespace etchback::dossier::detail
