// Where in a dossier's text each table, key and value stands, so that a change can touch just
// these bytes. The text must be valid TOML.
#pragma once

#include <cstddef>
#include <deque>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace etchback::dossier::detail {

struct Span {
    std::size_t begin = 0;
    std::size_t end = 0;
};

struct KeyPiece {
    std::string name;  // without quotes
    Span span;         // with them
};
using KeyPath = std::vector<KeyPiece>;

struct WrittenEntry;

// What stands behind an equals sign or in a list.
struct WrittenValue {
    enum class Kind { value, table, list };
    Kind kind = Kind::value;
    Span span;
    std::vector<WrittenEntry> entries;   // of an inline table
    std::vector<WrittenValue> elements;  // of a list
};

// "key = value" in a section or an inline table.
struct WrittenEntry {
    KeyPath key;
    WrittenValue value;
    Span lines;  // in a section: from the key's line to the end of the value's line
};

// A header line and the entries below it; the first section of a file has no header.
struct Section {
    KeyPath path;
    bool is_element = false;  // [[path]]
    Span header;              // its line with the line break
    std::vector<WrittenEntry> entries;
    std::size_t body_end = 0;  // behind the last entry and the comments that follow it directly
};

std::deque<Section> sections_of(std::string_view text);

// A table, list or value of the file with all that makes it up. Dotted keys and header lines are
// sorted into the tables that they speak of.
struct Written {
    enum class Kind { value, table, list };
    Kind kind = Kind::table;
    std::vector<std::pair<std::string, Written>> fields;
    std::vector<Written> elements;
    std::vector<const Section*> headers;  // that begin just this table
    const WrittenEntry* entry = nullptr;  // the line that holds all of it
    const Section* entry_section = nullptr;
    std::vector<Span> names;  // where its own name stands, in each header and entry

    Written* find(std::string_view key);
    const Written* find(std::string_view key) const;
    // Every header of this table and of those in it.
    void collect_headers(std::vector<const Section*>& all) const;
    // Every line in a section that holds a part of it, with its section.
    using Line = std::pair<const WrittenEntry*, const Section*>;
    void collect_lines(std::vector<Line>& all) const;
};

Written written_tree(const std::deque<Section>& sections);

}  // namespace etchback::dossier::detail
