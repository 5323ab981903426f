#include "dossier/detail/toml_text.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>

#include "dossier/detail/calendar.h"

namespace etchback::dossier::detail {

namespace {

bool is_digit(char c) {
    return c >= '0' && c <= '9';
}

bool is_bare(char c) {
    return is_digit(c) || (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c == '_' || c == '-';
}

std::string escaped(char c) {
    switch (c) {
        case '"':
            return "\\\"";
        case '\\':
            return "\\\\";
        case '\n':
            return "\\n";
        case '\t':
            return "\\t";
        case '\r':
            return "\\r";
        default:
            break;
    }
    const auto byte = static_cast<unsigned char>(c);
    if (byte < 0x20 || byte == 0x7F) {
        return fmt::format("\\u{:04X}", byte);
    }
    return {c};
}

}  // namespace

std::string key_text(std::string_view name) {
    // A key of signs alone ("-") would be valid without quotes, but hard to read.
    const bool bare = std::ranges::all_of(name, is_bare) &&
                      name.find_first_not_of("-_") != std::string_view::npos;
    return bare ? std::string(name) : string_text(name);
}

std::string string_text(std::string_view text) {
    std::string out = "\"";
    for (const char c : text) {
        out += escaped(c);
    }
    return out + "\"";
}

std::string long_string_text(std::string_view text) {
    if (text.find('\n') == std::string_view::npos) {
        return string_text(text);
    }
    std::string out = "\"\"\"\n";
    for (std::size_t at = 0; at < text.size(); ++at) {
        const char c = text[at];
        // A lone quotation mark is safe; two together or one at the end might close the string.
        const bool lone_quote = c == '"' && at + 1 < text.size() && text[at + 1] != '"' &&
                                (at == 0 || text[at - 1] != '"');
        out += c == '\n' || lone_quote ? std::string(1, c) : escaped(c);
    }
    return out + "\"\"\"";
}

std::string number_text(double number) {
    std::array<char, 32> buffer{};
    const auto end = std::to_chars(buffer.data(), buffer.data() + buffer.size(), number).ptr;
    return {buffer.data(), end};
}

std::string date_text(std::string_view date) {
    return is_day(date) ? std::string(date) : string_text(date);
}

}  // namespace etchback::dossier::detail
