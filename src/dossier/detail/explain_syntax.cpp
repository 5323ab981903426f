#include "dossier/detail/explain_syntax.h"

#include <fmt/format.h>

#include <array>
#include <string_view>

namespace etchback::dossier::detail {

namespace {

struct Usual {
    std::string_view sign;  // in the parser's words
    std::string_view what;
    std::string_view todo;
};

constexpr std::string_view use_quotes =
    "put texts and quantities between quotation marks: value = \"4k7\"";

constexpr std::array<Usual, 15> usual_faults = {{
    {"unescaped control characters",
     "a text does not end on its line",
     "close it with a quotation mark; a text of several lines needs three at each end"},
    {"encountered end-of-file",
     "the file ends within a text, list or table",
     "close its quotation marks or brackets"},
    {"in a key-value pair: expected value",
     "there is no value behind the equals sign",
     "write the value, or take the line out if you do not know it"},
    {"in a key-value pair: expected '='",
     "there is no equals sign behind the key",
     "write key = value; a key with blanks or signs in it needs quotation marks"},
    {"in a key-value pair: expected a comment or whitespace",
     "something follows the value on its line",
     "begin a new line for the next key, and a comment with #"},
    {"integer:", "a number is followed by other signs", use_quotes},
    {"floating-point", "a number is followed by other signs", use_quotes},
    {"boolean", "a word stands where a value should", use_quotes},
    {"could not determine value type", "this is no value", use_quotes},
    {"exceeded maximum nested value depth",
     "lists or tables lie too deep within each other",
     "no dossier needs more than a few levels: close the brackets"},
    {"expected keys, tables, whitespace or comments",
     "this is no key",
     "begin the line with a key, a [table] or a # for a comment; a key with signs in it needs "
     "quotation marks"},
    {"dangling comma", "a comma stands before the closing brace", "take the last comma out"},
    {"in a inline table: expected key or closing",
     "a table in braces is not closed on its line",
     "close it with }, or begin it with a [table] line and give each key a line"},
    {"in a array: expected comma or closing",
     "a list goes on without a comma, or is not closed",
     "put a comma between its entries and ] behind the last"},
    {"expected bare key starting character or string delimiter",
     "this is no key",
     "begin the line with a key, a [table] or a # for a comment; a key with signs in it needs "
     "quotation marks"},
}};

// The name between the first two apostrophes of the parser's words.
std::string name_in(std::string_view text) {
    const auto begin = text.find('\'');
    const auto end = text.find('\'', begin + 1);
    return begin == std::string_view::npos || end == std::string_view::npos
               ? std::string()
               : std::string(text.substr(begin + 1, end - begin - 1));
}

}  // namespace

base::Error explained(base::Error error) {
    if (const auto at = error.what.find("cannot redefine existing"); at != std::string::npos) {
        const std::string name = name_in(std::string_view(error.what).substr(at));
        const bool table = error.what.find("existing table") != std::string::npos;
        error.what = fmt::format("{} '{}' is there a second time", table ? "table" : "key", name);
        error.todo =
            table ? "put both into one, or give one of them another name" : "keep one of them";
        return error;
    }
    for (const Usual& usual : usual_faults) {
        if (error.what.find(usual.sign) != std::string::npos) {
            error.what = usual.what;
            error.todo = usual.todo;
            return error;
        }
    }
    return error;
}

}  // namespace etchback::dossier::detail
