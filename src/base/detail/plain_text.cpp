#include "base/detail/plain_text.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cstdint>
#include <optional>

namespace etchback::base {
namespace {

constexpr std::size_t longest = 100;

struct Sign {
    char32_t code;
    std::string_view plain;
};
constexpr std::array<Sign, 31> signs = {{
    {U'\u00A0', " "}, {U'\u00B0', "deg"},  {U'\u00B1', "+-"},  {U'\u00B2', "2"},
    {U'\u00B5', "u"}, {U'\u00B7', " "},    {U'\u00BA', "deg"}, {U'\u03A9', "ohm"},
    {U'\u03BC', "u"}, {U'\u2002', " "},    {U'\u2003', " "},   {U'\u2004', " "},
    {U'\u2005', " "}, {U'\u2006', " "},    {U'\u2007', " "},   {U'\u2008', " "},
    {U'\u2009', " "}, {U'\u200A', " "},    {U'\u2010', "-"},   {U'\u2011', "-"},
    {U'\u2012', "-"}, {U'\u2013', "-"},    {U'\u2014', "-"},   {U'\u2026', "..."},
    {U'\u202F', " "}, {U'\u2103', "degC"}, {U'\u2126', "ohm"}, {U'\u2212', "-"},
    {U'\u22C5', " "}, {U'\u3000', " "},    {U'\u223C', "~"},
}};

// Number of bytes of the character that begins with this byte; 0: none begins so.
std::size_t length_by(std::uint8_t first) {
    if (first < 0x80) {
        return 1;
    }
    if (first < 0xC2) {
        return 0;
    }
    return first < 0xE0 ? 2 : first < 0xF0 ? 3 : first < 0xF5 ? 4 : 0;
}

// Reads one code point and moves `at` behind it; nothing for bytes that are no UTF-8.
std::optional<char32_t> next_code(std::string_view text, std::size_t& at) {
    const auto byte = [&](std::size_t i) { return static_cast<std::uint8_t>(text[i]); };
    const std::uint8_t first = byte(at);
    const std::size_t length = length_by(first);
    if (length == 0 || at + length > text.size()) {
        return std::nullopt;
    }
    char32_t code = length == 1 ? first : first & (0xFFU >> (length + 1));
    for (std::size_t i = 1; i < length; ++i) {
        if ((byte(at + i) & 0xC0U) != 0x80U) {
            return std::nullopt;
        }
        code = (code << 6U) | (byte(at + i) & 0x3FU);
    }
    constexpr std::array<char32_t, 5> least = {0, 0, 0x80, 0x800, 0x10000};
    if (code < least[length] || code > 0x10FFFF || (code >= 0xD800 && code < 0xE000)) {
        return std::nullopt;
    }
    at += length;
    return code;
}

std::optional<std::string_view> plain_of(char32_t code) {
    const auto found =
        std::find_if(signs.begin(), signs.end(), [&](const Sign& s) { return s.code == code; });
    return found == signs.end() ? std::nullopt : std::optional<std::string_view>(found->plain);
}

Error no_utf8() {
    return {{},
            "the quantity holds bytes that are no UTF-8 text",
            "save the file as UTF-8 and write the quantity again"};
}

Error strange_sign(std::string_view text, std::string_view sign, char32_t code) {
    const bool visible = code > 0x20 && code != 0x7F && !(code >= 0x80 && code < 0xA0);
    return {{},
            visible
                ? fmt::format(
                      "{} holds the character '{}' (U+{:04X}), which has no meaning in a quantity",
                      quoted(text),
                      sign,
                      static_cast<std::uint32_t>(code))
                : fmt::format("the quantity holds the invisible character U+{:04X}",
                              static_cast<std::uint32_t>(code)),
            "write digits, a decimal point, a prefix and a unit, such as 4.7 uF"};
}

std::string single_spaced(std::string_view text) {
    std::string result;
    for (const char c : text) {
        if (c != ' ' || (!result.empty() && result.back() != ' ')) {
            result += c;
        }
    }
    while (!result.empty() && result.back() == ' ') {
        result.pop_back();
    }
    return result;
}

void replace_all(std::string& text, std::string_view from, std::string_view to) {
    for (std::size_t at = text.find(from); at != std::string::npos;
         at = text.find(from, at + to.size())) {
        text.replace(at, from.size(), to);
    }
}

}  // namespace

std::string quoted(std::string_view text) {
    constexpr std::size_t shown = 40;
    if (text.size() <= shown) {
        return fmt::format("'{}'", text);
    }
    std::size_t end = shown;
    while (end > 0 && (static_cast<std::uint8_t>(text[end]) & 0xC0U) == 0x80U) {
        --end;  // not through the middle of a character
    }
    return fmt::format("'{}...'", text.substr(0, end));
}

Result<std::string> plain_text(std::string_view text) {
    if (text.size() > longest) {
        return Error{{},
                     fmt::format("the quantity is {} bytes long", text.size()),
                     "write one quantity; words about it go into a note"};
    }
    std::string plain;
    for (std::size_t at = 0; at < text.size();) {
        const std::size_t start = at;
        const std::optional<char32_t> code = next_code(text, at);
        if (!code) {
            return no_utf8();
        }
        if (*code == '\t' || *code == '\n' || *code == '\r') {
            plain += ' ';
        } else if (*code >= 0x20 && *code < 0x7F) {
            plain += static_cast<char>(*code);
        } else if (const auto found = plain_of(*code)) {
            plain += *found;
        } else {
            return strange_sign(text, text.substr(start, at - start), *code);
        }
    }
    replace_all(plain, "+/-", "+-");
    replace_all(plain, "+ -", "+-");
    return single_spaced(plain);
}

}  // namespace etchback::base
