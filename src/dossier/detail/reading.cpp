#include "dossier/detail/reading.h"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>

#include "base/text.h"
#include "dossier/words.h"

namespace etchback::dossier::detail {

namespace {

constexpr std::size_t longest_quote = 60;

bool has_control_characters(std::string_view text) {
    return std::ranges::any_of(text, [](char c) {
        const auto byte = static_cast<unsigned char>(c);
        return byte < 0x20 || byte == 0x7F;
    });
}

// Why `path` is no file within the dossier's folder; empty if it is one.
std::string fault_of_path(const std::string& path) {
    const bool has_drive = path.size() > 1 && path[1] == ':';
    if (path.starts_with('/') || path.starts_with('~') || has_drive) {
        return "is an absolute path";
    }
    if (path.find('\\') != std::string::npos) {
        return "has a backslash";
    }
    for (const auto& step : std::filesystem::path(path)) {
        if (step == "..") {
            return "leads out of the dossier's folder";
        }
    }
    if (path.ends_with('/') || path == ".") {
        return "is a folder";
    }
    return has_control_characters(path) ? "has a control character" : "";
}

}  // namespace

void Context::complain(const Place& place, std::string what, std::string todo) const {
    errors.push_back({.place = place, .what = std::move(what), .todo = std::move(todo)});
}

Text text_of(TableReader& reader, std::string_view key) {
    return reader.text(key).value_or(Text{});
}

bool flag_of(TableReader& reader, std::string_view key, bool otherwise) {
    const auto flag = reader.flag(key);
    return flag ? flag->value : otherwise;
}

Text needed_text(TableReader& reader, std::string_view key, std::string todo) {
    if (!reader.has(key)) {
        reader.know(key);
        reader.require(key, std::move(todo));
        return {};
    }
    auto text = reader.text(key);
    if (text && base::trimmed(text->value).empty()) {
        reader.complain(text->place, fmt::format("{} is empty", key), std::move(todo));
    }
    return text.value_or(Text{});
}

std::optional<Amount> amount_of(TableReader& reader,
                                std::string_view key,
                                base::Unit unit,
                                Least least,
                                const Context& context) {
    auto amount = reader.quantity(key, unit);
    if (!amount) {
        return std::nullopt;
    }
    const double low = amount->value.low;
    if (low < 0.0 || (low == 0.0 && least == Least::above_zero)) {
        context.complain(amount->place,
                         fmt::format("{}: {} is {}",
                                     reader.where(),
                                     key,
                                     low < 0.0 ? "negative" : "zero, which it cannot be"),
                         low < 0.0 ? "write it without the minus sign"
                                   : "write its value, or leave it out if you do not know it");
    }
    return amount;
}

Text quantity_word_of(TableReader& reader) {
    Text word = needed_text(
        reader, "quantity", "say what is meant: quantity = \"input power\", \"voltage\" ...");
    const std::string small = base::lowered(base::trimmed(word.value));
    for (const QuantityWord& known : quantity_words()) {
        if (known.word == small) {
            word.value = small;
        }
    }
    return word;
}

std::vector<Text> pair_of(TableReader& reader, std::string_view meaning, const Context& context) {
    std::vector<Text> ends = reader.texts("between");
    if (!reader.has("between") || (ends.size() == 2 && ends[0].value != ends[1].value)) {
        return ends;
    }
    context.complain(reader.place("between"),
                     ends.size() == 2 ? fmt::format("{}: both ends of between are {}",
                                                    reader.where(),
                                                    in_quotes(ends[0].value))
                                      : fmt::format("{}: between has {} {}, not two",
                                                    reader.where(),
                                                    ends.size(),
                                                    ends.size() == 1 ? "end" : "ends"),
                     fmt::format("write two {}, as in between = [\"A\", \"B\"]", meaning));
    return ends;
}

Text file_within(TableReader& reader, std::string todo, const Context& context) {
    Text file = needed_text(reader, "file", std::move(todo));
    check_path(file, reader.where(), "photos/top.jpg", context);
    return file;
}

void check_path(const Text& file,
                std::string_view where,
                std::string_view example,
                const Context& c) {
    const std::string fault = fault_of_path(file.value);
    if (!fault.empty()) {
        c.complain(file.place,
                   fmt::format("{}: file {} {}", where, in_quotes(file.value), fault),
                   fmt::format("put the file into the dossier's folder and write its path from "
                               "there, with forward slashes: \"{}\"",
                               example));
    }
}

void check_name(std::string_view name,
                std::string_view what,
                const Place& place,
                const Context& c) {
    if (base::trimmed(name).empty()) {
        c.complain(place, fmt::format("{} has an empty name", what), "give it a name");
    } else if (base::trimmed(name) != name) {
        c.complain(place,
                   fmt::format("{} {} has blanks around its name", what, in_quotes(name)),
                   fmt::format("write \"{}\"", base::trimmed(name)));
    } else if (has_control_characters(name)) {
        c.complain(place,
                   fmt::format("{} {} has a control character in its name", what, in_quotes(name)),
                   "use letters, digits and signs that can be seen");
    }
}

std::string did_you_mean(std::string_view word, std::span<const std::string> known) {
    const auto near = base::nearest_word(word, known);
    return near ? fmt::format("did you mean '{}'?", *near) : std::string();
}

std::string with_article(std::string_view noun) {
    // A word in capitals is spelled out: an LED, an NPN transistor, an X2 capacitor, a UV lamp.
    const auto is_capital = [](char c) { return (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9'); };
    const bool spelled_out =
        noun.size() > 1 && is_capital(noun[0]) && (is_capital(noun[1]) || noun[1] == '-');
    const std::string_view vowels = spelled_out ? "AEFHILMNORSX" : "aeiouAEIO";
    const bool an = !noun.empty() && vowels.find(noun.front()) != std::string_view::npos;
    return (an ? "an " : "a ") + std::string(noun);
}

std::string in_quotes(std::string_view word) {
    std::string shown;
    std::size_t characters = 0;
    for (const char c : word) {
        const auto byte = static_cast<unsigned char>(c);
        const bool begins_character = (byte & 0xC0U) != 0x80U;
        if (begins_character && ++characters > longest_quote) {
            return "'" + shown + "...'";
        }
        shown += byte < 0x20 || byte == 0x7F ? '?' : c;
    }
    return "'" + shown + "'";
}

}  // namespace etchback::dossier::detail
