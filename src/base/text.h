// Small things about words and lines.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "base/error.h"

namespace etchback::base {

// The word of `known` nearest to `word` by edit distance (Damerau-Levenshtein, letters' case
// ignored), if near enough that a person may have meant it: at most a third of its letters differ.
std::optional<std::string> nearest_word(std::string_view word, std::span<const std::string> known);

// "a, b and c".
std::string listed(std::span<const std::string> words, std::string_view last_joint = "and");

// `name` order as people expect: R2 before R10.
bool natural_less(std::string_view a, std::string_view b);

// Number of characters (Unicode code points) in valid UTF-8; bytes that are no UTF-8 count one.
std::size_t characters(std::string_view utf8);
bool is_utf8(std::string_view text);

std::string_view trimmed(std::string_view text);
std::string lowered(std::string_view ascii);

// Comma-separated values with a header line (RFC 4180: quotes, doubled quotes, CRLF). Every row
// has as many fields as the header; `place` of a row is its line.
struct CsvRow {
    Place place;
    std::vector<std::string> fields;
};
struct Csv {
    std::vector<std::string> header;
    std::vector<CsvRow> rows;

    // Index of the column called `name`, if any.
    std::optional<std::size_t> column(std::string_view name) const;
};
Result<Csv> parse_csv(std::string_view text, std::string file);

}  // namespace etchback::base
