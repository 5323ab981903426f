// Columns of text for a terminal.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace etchback::cli {

// Each row on a line, indented by two; columns as wide as their widest cell, two spaces between.
// The last column runs free. Widths count characters, not bytes: cells hold µ and Ω.
std::string text_table(const std::vector<std::vector<std::string>>& rows);

// Words in lines of at most 100 characters, indented by two; a longer word has a line of its own.
std::string wrapped(std::string_view words);

}  // namespace etchback::cli
