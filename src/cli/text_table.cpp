#include "cli/text_table.h"

#include <algorithm>

#include "base/text.h"

namespace etchback::cli {

std::string text_table(const std::vector<std::vector<std::string>>& rows) {
    std::vector<std::size_t> widths;
    for (const auto& row : rows) {
        widths.resize(std::max(widths.size(), row.size()), 0);
        for (std::size_t i = 0; i + 1 < row.size(); ++i) {
            widths[i] = std::max(widths[i], base::characters(row[i]));
        }
    }
    std::string text;
    for (const auto& row : rows) {
        std::string line = "  ";
        for (std::size_t i = 0; i < row.size(); ++i) {
            line += row[i];
            if (i + 1 < row.size()) {
                line += std::string(widths[i] + 2 - base::characters(row[i]), ' ');
            }
        }
        line.erase(line.find_last_not_of(' ') + 1);
        text.append(line).append("\n");
    }
    return text;
}

std::string wrapped(std::string_view words) {
    constexpr std::size_t most = 100;
    // `line` holds all but the blank that each line begins with.
    std::string text, line;
    while (!words.empty()) {
        const std::size_t end = std::min(words.find(' '), words.size());
        const std::string_view word = words.substr(0, end);
        if (base::characters(line) + 2 + base::characters(word) > most && !line.empty()) {
            text.append(" ").append(line).append("\n");
            line.clear();
        }
        line += ' ';
        line += word;
        words.remove_prefix(std::min(end + 1, words.size()));
    }
    return text.append(" ").append(line).append("\n");
}

}  // namespace etchback::cli
