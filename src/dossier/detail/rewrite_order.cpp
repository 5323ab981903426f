// Renaming and moving whole tables of parts and nets.
#include <algorithm>

#include "dossier/detail/rewriting.h"
#include "dossier/detail/seats.h"
#include "dossier/detail/toml_text.h"

namespace etchback::dossier::detail {

namespace {

// Calls `work` on each table whose fields are named by the person and stand in their order:
// parts, nets, the reference's parts.
template <typename Work>
bool for_each_ordered(std::string& text, Node& before, const Node& after, Work work) {
    for (auto& [key, node] : before.fields) {
        const Node* other = after.find(key);
        if (other == nullptr || node.kind != Node::Kind::table) {
            continue;
        }
        if (node.ordered && !work(text, std::vector<std::string>{key}, node, *other)) {
            return false;
        }
        if (key == "reference") {
            for (auto& [inner_key, inner] : node.fields) {
                const Node* inner_other = other->find(inner_key);
                if (inner.ordered && inner_other != nullptr &&
                    !work(text, std::vector<std::string>{key, inner_key}, inner, *inner_other)) {
                    return false;
                }
            }
        }
    }
    return true;
}

const Written* found_at(const Written& root, const std::vector<std::string>& path) {
    const Written* at = &root;
    for (const std::string& key : path) {
        at = at != nullptr ? at->find(key) : nullptr;
    }
    return at;
}

bool rename_one(std::string& text,
                const std::vector<std::string>& path,
                const std::string& from,
                const std::string& to) {
    const auto sections = sections_of(text);
    const Written root = written_tree(sections);
    const Written* table = found_at(root, path);
    const Written* written = table != nullptr ? table->find(from) : nullptr;
    if (written == nullptr) {
        return false;  // within a table on one line: its values are changed with it
    }
    Edits edits(text);
    for (const Span& span : written->names) {
        edits.replace(span, key_text(to));
    }
    text = edits.applied();
    return true;
}

// Whether the field at `position` is gone from `after`, and another with the same content came.
const std::string* new_name(const Node& before, const Node& after, std::size_t position) {
    const auto& [name, node] = before.fields[position];
    if (after.find(name) != nullptr) {
        return nullptr;
    }
    for (const auto& [other_name, other] : after.fields) {
        if (other == node && before.find(other_name) == nullptr) {
            return &other_name;
        }
    }
    return nullptr;
}

// The stretch of text that belongs to one table, if it is one.
class Chunks {
public:
    Chunks(std::string_view text, const std::deque<Section>& sections)
        : text_(text), sections_(sections) {}

    std::optional<Span> of(const Written& table) const {
        const std::vector<const Section*> headers = headers_of(table);
        if (headers.empty()) {
            return of_lines(loose_lines(table));
        }
        std::vector<std::size_t> places;
        for (const Section* header : headers) {
            places.push_back(index_of(header));
        }
        std::ranges::sort(places);
        if (places.back() - places.front() + 1 != places.size() ||
            has_lines_elsewhere(table, headers)) {
            return std::nullopt;
        }
        return Span{sections_[places.front()].header.begin, sections_[places.back()].body_end};
    }

    // `begin` moved up over the comment lines that stand directly above it.
    std::size_t with_comments_above(std::size_t begin) const {
        while (begin > 0) {
            const std::size_t before =
                begin >= 2 ? text_.rfind('\n', begin - 2) : std::string::npos;
            const std::size_t line = before == std::string_view::npos ? 0 : before + 1;
            if (text_.substr(line, begin - line).find_first_not_of(" \t") ==
                    std::string_view::npos ||
                text_[line + std::min(text_.substr(line).find_first_not_of(" \t"),
                                      begin - line - 1)] != '#') {
                break;
            }
            begin = line;
        }
        return begin;
    }

private:
    // Lines of one section that follow each other directly.
    static std::optional<Span> of_lines(const std::vector<Written::Line>& lines) {
        for (std::size_t i = 0; i + 1 < lines.size(); ++i) {
            if (lines[i].second != lines[i + 1].second ||
                lines[i].first->lines.end != lines[i + 1].first->lines.begin) {
                return std::nullopt;
            }
        }
        if (lines.empty()) {
            return std::nullopt;
        }
        return Span{lines.front().first->lines.begin, lines.back().first->lines.end};
    }

    std::size_t index_of(const Section* section) const {
        std::size_t index = 0;
        while (&sections_[index] != section) {
            ++index;
        }
        return index;
    }

    static bool has_lines_elsewhere(const Written& table,
                                    const std::vector<const Section*>& headers) {
        std::vector<Written::Line> lines;
        table.collect_lines(lines);
        return std::ranges::any_of(lines, [&](const Written::Line& line) {
            return std::ranges::find(headers, line.second) == headers.end();
        });
    }

    std::string_view text_;
    const std::deque<Section>& sections_;
};

std::vector<std::string> common_keys(const Node& of, const Node& with) {
    std::vector<std::string> keys;
    for (const auto& [key, node] : of.fields) {
        if (with.find(key) != nullptr) {
            keys.push_back(key);
        }
    }
    return keys;
}

Node with_order(const Node& before,
                const std::vector<std::string>& slots,
                const std::vector<std::string>& wanted) {
    Node result = before;
    for (auto& [key, node] : result.fields) {
        const auto slot = std::ranges::find(slots, key);
        if (slot != slots.end()) {
            const std::string& other = wanted[static_cast<std::size_t>(slot - slots.begin())];
            node = *before.find(other);
            key = other;
        }
    }
    return result;
}

bool reorder_one(std::string& text,
                 const std::vector<std::string>& path,
                 Node& before,
                 const Node& after) {
    if (same_order(before, after)) {
        return true;
    }
    const auto sections = sections_of(text);
    const Written root = written_tree(sections);
    const Written* table = found_at(root, path);
    if (table == nullptr || table->entry != nullptr) {
        return table != nullptr;  // a table within a line is put in order with its values
    }
    const std::vector<std::string> slots = common_keys(before, after);
    const std::vector<std::string> wanted = common_keys(after, before);
    const Chunks chunks(text, sections);
    std::vector<Span> spans;
    std::size_t on_lines = 0;
    for (const std::string& key : slots) {
        const Written* written = table->find(key);
        const auto span = written != nullptr ? chunks.of(*written) : std::nullopt;
        if (!span) {
            return false;
        }
        spans.push_back(*span);
        on_lines += headers_of(*written).empty() ? 1 : 0;
    }
    if (on_lines != 0 && on_lines != slots.size()) {
        return false;  // a line behind a header would be in that table
    }
    // The comment above the first table may speak of all of them: it stays where it is.
    for (std::size_t i = 1; i < spans.size(); ++i) {
        spans[i].begin = chunks.with_comments_above(spans[i].begin);
    }
    Edits edits(text);
    for (std::size_t i = 0; i < slots.size(); ++i) {
        const auto from = std::ranges::find(slots, wanted[i]) - slots.begin();
        const Span& source = spans[static_cast<std::size_t>(from)];
        std::string moved = text.substr(source.begin, source.end - source.begin);
        if (!moved.ends_with('\n')) {
            moved += '\n';
        }
        edits.replace(spans[i], std::move(moved));
    }
    text = edits.applied();
    before = with_order(before, slots, wanted);
    return true;
}

}  // namespace

void rename_tables(std::string& text, Node& before, const Node& after) {
    for_each_ordered(
        text,
        before,
        after,
        [](std::string& whole, const std::vector<std::string>& path, Node& from, const Node& to) {
            for (std::size_t i = 0; i < from.fields.size(); ++i) {
                const std::string* name = new_name(from, to, i);
                if (name != nullptr && rename_one(whole, path, from.fields[i].first, *name)) {
                    from.fields[i].first = *name;
                }
            }
            return true;
        });
}

bool reorder_tables(std::string& text, Node& before, const Node& after) {
    return for_each_ordered(text, before, after, reorder_one);
}

}  // namespace etchback::dossier::detail
