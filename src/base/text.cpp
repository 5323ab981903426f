#include "base/text.h"

#include <algorithm>
#include <cctype>
#include <limits>

namespace etchback::base {
namespace {

char lower(char c) {
    return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
}
bool digit(char c) {
    return c >= '0' && c <= '9';
}

// Restricted Damerau-Levenshtein distance: insert, delete, replace, swap of neighbours.
std::size_t edit_distance(std::string_view a, std::string_view b) {
    std::vector<std::size_t> before(b.size() + 1);
    std::vector<std::size_t> last(b.size() + 1);
    std::vector<std::size_t> now(b.size() + 1);
    for (std::size_t j = 0; j <= b.size(); ++j) {
        last[j] = j;
    }
    for (std::size_t i = 1; i <= a.size(); ++i) {
        now[0] = i;
        for (std::size_t j = 1; j <= b.size(); ++j) {
            const bool same = lower(a[i - 1]) == lower(b[j - 1]);
            now[j] = std::min({last[j] + 1, now[j - 1] + 1, last[j - 1] + (same ? 0 : 1)});
            if (i > 1 && j > 1 && lower(a[i - 1]) == lower(b[j - 2]) &&
                lower(a[i - 2]) == lower(b[j - 1])) {
                now[j] = std::min(now[j], before[j - 2] + 1);
            }
        }
        std::swap(before, last);
        std::swap(last, now);
    }
    return last[b.size()];
}

// Length of the well-formed UTF-8 character at `at`; 0 if there is none.
std::size_t utf8_length(std::string_view text, std::size_t at) {
    const auto byte = [&](std::size_t i) { return static_cast<unsigned char>(text[i]); };
    const unsigned char first = byte(at);
    if (first < 0x80) {
        return 1;
    }
    std::size_t length = 0;
    unsigned long code = 0;
    if ((first & 0xE0) == 0xC0) {
        length = 2;
        code = first & 0x1F;
    } else if ((first & 0xF0) == 0xE0) {
        length = 3;
        code = first & 0x0F;
    } else if ((first & 0xF8) == 0xF0) {
        length = 4;
        code = first & 0x07;
    } else {
        return 0;
    }
    if (at + length > text.size()) {
        return 0;
    }
    for (std::size_t i = 1; i < length; ++i) {
        if ((byte(at + i) & 0xC0) != 0x80) {
            return 0;
        }
        code = (code << 6) | (byte(at + i) & 0x3F);
    }
    constexpr unsigned long least[] = {0, 0, 0x80, 0x800, 0x10000};
    const bool surrogate = code >= 0xD800 && code <= 0xDFFF;
    return code < least[length] || surrogate || code > 0x10FFFF ? 0 : length;
}

// One field of a CSV row, starting at `at`, which is left on the separator or the line's end.
std::string csv_field(std::string_view text, std::size_t& at, int& line, bool& closed) {
    std::string field;
    closed = true;
    if (at >= text.size() || text[at] != '"') {
        while (at < text.size() && text[at] != ',' && text[at] != '\n' && text[at] != '\r') {
            field += text[at++];
        }
        return std::string(trimmed(field));
    }
    closed = false;
    for (++at; at < text.size(); ++at) {
        if (text[at] != '"') {
            line += text[at] == '\n' ? 1 : 0;
            field += text[at];
        } else if (at + 1 < text.size() && text[at + 1] == '"') {
            field += text[at++];
        } else {
            ++at;
            closed = true;
            break;
        }
    }
    return field;
}

}  // namespace

std::optional<std::string> nearest_word(std::string_view word, std::span<const std::string> known) {
    // Longer words than this are no misspelling of anything, and the distance costs their square.
    constexpr std::size_t longest = 64;
    if (word.empty() || word.size() > longest) {
        return std::nullopt;
    }
    const std::string* best = nullptr;
    std::size_t best_distance = std::numeric_limits<std::size_t>::max();
    for (const std::string& candidate : known) {
        if (candidate.size() > longest) {
            continue;
        }
        const std::size_t distance = edit_distance(word, candidate);
        const bool closer = distance < best_distance;
        const bool tie_break = distance == best_distance && best != nullptr && candidate < *best;
        if (closer || tie_break) {
            best = &candidate;
            best_distance = distance;
        }
    }
    const std::size_t allowed = std::max<std::size_t>(1, word.size() / 3);
    if (best == nullptr || best_distance > allowed || best_distance >= best->size()) {
        return std::nullopt;
    }
    return *best;
}

std::string listed(std::span<const std::string> words, std::string_view last_joint) {
    std::string text;
    for (std::size_t i = 0; i < words.size(); ++i) {
        if (i > 0) {
            text += i + 1 == words.size() ? " " + std::string(last_joint) + " " : ", ";
        }
        text += words[i];
    }
    return text;
}

bool natural_less(std::string_view a, std::string_view b) {
    std::size_t i = 0;
    std::size_t j = 0;
    while (i < a.size() && j < b.size()) {
        if (digit(a[i]) && digit(b[j])) {
            std::size_t end_a = i;
            std::size_t end_b = j;
            while (end_a < a.size() && digit(a[end_a])) {
                ++end_a;
            }
            while (end_b < b.size() && digit(b[end_b])) {
                ++end_b;
            }
            std::string_view number_a = a.substr(i, end_a - i);
            std::string_view number_b = b.substr(j, end_b - j);
            number_a.remove_prefix(std::min(number_a.find_first_not_of('0'), number_a.size()));
            number_b.remove_prefix(std::min(number_b.find_first_not_of('0'), number_b.size()));
            if (number_a.size() != number_b.size()) {
                return number_a.size() < number_b.size();
            }
            if (number_a != number_b) {
                return number_a < number_b;
            }
            i = end_a;
            j = end_b;
        } else if (a[i] != b[j]) {
            return static_cast<unsigned char>(a[i]) < static_cast<unsigned char>(b[j]);
        } else {
            ++i;
            ++j;
        }
    }
    if (a.size() - i != b.size() - j) {
        return a.size() - i < b.size() - j;
    }
    return a < b;  // R1 and R01 differ after all
}

std::size_t characters(std::string_view utf8) {
    std::size_t count = 0;
    for (std::size_t at = 0; at < utf8.size(); ++count) {
        at += std::max<std::size_t>(1, utf8_length(utf8, at));
    }
    return count;
}

bool is_utf8(std::string_view text) {
    for (std::size_t at = 0; at < text.size();) {
        const std::size_t length = utf8_length(text, at);
        if (length == 0) {
            return false;
        }
        at += length;
    }
    return true;
}

std::string_view trimmed(std::string_view text) {
    constexpr std::string_view blank = " \t\r\n\f\v";
    const std::size_t first = text.find_first_not_of(blank);
    if (first == std::string_view::npos) {
        return {};
    }
    return text.substr(first, text.find_last_not_of(blank) - first + 1);
}

std::string lowered(std::string_view ascii) {
    std::string text(ascii);
    std::transform(text.begin(), text.end(), text.begin(), lower);
    return text;
}

std::optional<std::size_t> Csv::column(std::string_view name) const {
    const auto at = std::find_if(header.begin(), header.end(), [&](const std::string& column) {
        return lowered(column) == lowered(name);
    });
    if (at == header.end()) {
        return std::nullopt;
    }
    return static_cast<std::size_t>(at - header.begin());
}

Result<Csv> parse_csv(std::string_view text, std::string file) {
    constexpr std::string_view byte_order_mark = "\xEF\xBB\xBF";
    if (text.substr(0, 3) == byte_order_mark) {
        text.remove_prefix(3);
    }
    if (!is_utf8(text)) {
        return Error{{file, 0, 0}, "the table is not UTF-8 text", "save it as UTF-8"};
    }
    Csv csv;
    Errors errors;
    int line = 1;
    for (std::size_t at = 0; at < text.size(); ++line) {
        CsvRow row{{file, line, 1}, {}};
        bool more = true;
        while (more) {
            bool closed = true;
            row.fields.push_back(csv_field(text, at, line, closed));
            const bool ended =
                at >= text.size() || text[at] == ',' || text[at] == '\n' || text[at] == '\r';
            if (!closed) {
                errors.push_back({row.place, "a quotation mark is not closed", "close it"});
            } else if (!ended) {
                errors.push_back({{file, line, 1},
                                  "text follows a closing quotation mark",
                                  "put a comma after it, or double the quotation marks inside"});
                at = std::min(text.find('\n', at), text.size());
            }
            more = at < text.size() && text[at] == ',';
            at += more ? 1 : 0;
        }
        at += at < text.size() && text[at] == '\r' ? 1 : 0;
        at += at < text.size() && text[at] == '\n' ? 1 : 0;
        const bool blank = row.fields.size() == 1 && row.fields[0].empty();
        if (blank) {
            continue;
        }
        if (csv.header.empty()) {
            csv.header = row.fields;
        } else if (row.fields.size() != csv.header.size()) {
            errors.push_back({row.place,
                              "the row has " + std::to_string(row.fields.size()) +
                                  " fields, the header has " + std::to_string(csv.header.size()),
                              "give every row one field for each column"});
        } else {
            csv.rows.push_back(std::move(row));
        }
    }
    if (csv.header.empty() && errors.empty()) {
        errors.push_back({{file, 1, 1}, "the table is empty", "begin with a line of column names"});
    }
    if (!errors.empty()) {
        return errors;
    }
    return csv;
}

}  // namespace etchback::base
