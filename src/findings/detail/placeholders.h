// {placeholders} in the texts of rules.
#pragma once

#include <map>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace etchback::findings::detail {

// Names between braces, in order; an unclosed brace gives the rest of the text, brace included.
std::vector<std::string> placeholders_in(std::string_view text);

// Every {name} replaced by its word. A name without a word is a mistake of our own.
std::string filled(std::string_view text,
                   const std::map<std::string, std::string, std::less<>>& words);

// The ids that data/findings must hold and the placeholders that each may use.
struct TextSpec {
    std::string_view id;
    std::vector<std::string_view> placeholders;
};
std::span<const TextSpec> text_specs();

}  // namespace etchback::findings::detail
