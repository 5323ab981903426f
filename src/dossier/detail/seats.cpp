#include "dossier/detail/seats.h"

#include <algorithm>

namespace etchback::dossier::detail {

std::vector<const Section*> headers_of(const Written& written) {
    std::vector<const Section*> headers;
    written.collect_headers(headers);
    return headers;
}

std::size_t end_of(const Written& written) {
    std::size_t end = 0;
    for (const Section* header : headers_of(written)) {
        end = std::max(end, header->body_end);
    }
    return end;
}

std::size_t begin_of(const Written& written) {
    std::size_t begin = std::string::npos;
    for (const Section* header : headers_of(written)) {
        begin = std::min(begin, header->header.begin);
    }
    return begin;
}

std::vector<std::string> fields_before(const Node& siblings, const std::string& key) {
    std::vector<std::string> keys;
    for (const auto& [name, node] : siblings.fields) {
        if (name == key) {
            break;
        }
        keys.insert(keys.begin(), name);
    }
    return keys;
}

Seat seat_of_section(const Written& table,
                     const std::string& key,
                     const Node& siblings,
                     std::size_t text_end) {
    for (const std::string& name : fields_before(siblings, key)) {
        const Written* sibling = table.find(name);
        if (sibling != nullptr && !headers_of(*sibling).empty()) {
            return {end_of(*sibling), false};
        }
    }
    if (!table.headers.empty()) {
        return {table.headers.front()->body_end, false};
    }
    const bool has_sections = !headers_of(table).empty();
    return has_sections ? Seat{begin_of(table), true} : Seat{text_end, false};
}

std::vector<Written::Line> loose_lines(const Written& written) {
    std::vector<Written::Line> lines;
    if (headers_of(written).empty()) {
        written.collect_lines(lines);
    }
    std::ranges::sort(lines, {}, [](const Written::Line& line) { return line.first->lines.begin; });
    return lines;
}

bool has_lines(const Written& table, const Node& siblings) {
    return std::ranges::any_of(siblings.fields, [&](const auto& field) {
        const Written* written = table.find(field.first);
        return written != nullptr && !loose_lines(*written).empty();
    });
}

}  // namespace etchback::dossier::detail
