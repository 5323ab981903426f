// Where in a file something new belongs.
#pragma once

#include <string>
#include <vector>

#include "dossier/detail/layout.h"
#include "dossier/detail/tree.h"

namespace etchback::dossier::detail {

struct Seat {
    std::size_t at = 0;
    bool before_header = false;  // the new section comes directly before another's header
};

// All headers of a table or list and of what is in it, and where the first begins and the last
// ends.
std::vector<const Section*> headers_of(const Written& written);
std::size_t begin_of(const Written& written);
std::size_t end_of(const Written& written);

// The fields that a new file has before `key`, the nearest first.
std::vector<std::string> fields_before(const Node& siblings, const std::string& key);

// Where the new table `key` goes, among those `siblings` that `table` has already.
Seat seat_of_section(const Written& table,
                     const std::string& key,
                     const Node& siblings,
                     std::size_t text_end);

// The lines of a table or value that is written without a header, in the file's order; none if
// it has a header.
std::vector<Written::Line> loose_lines(const Written& written);

// Whether any of the `siblings` is written on lines rather than under a header.
bool has_lines(const Written& table, const Node& siblings);

}  // namespace etchback::dossier::detail
