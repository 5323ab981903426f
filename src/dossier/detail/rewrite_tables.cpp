// Changes of keys and tables in the sections of a file.
#include <algorithm>
#include <map>
#include <set>

#include "dossier/detail/rewriting.h"
#include "dossier/detail/seats.h"
#include "dossier/detail/toml_text.h"

namespace etchback::dossier::detail {

namespace {

using Path = std::vector<std::string>;

Path below(Path path, const std::string& key) {
    path.push_back(key);
    return path;
}

Node empty_like(const Node& node) {
    Node empty;
    empty.kind = node.kind;
    return empty;
}

class TableEditor {
public:
    explicit TableEditor(std::string_view text)
        : text_(text), sections_(sections_of(text)), root_(written_tree(sections_)), edits_(text) {
        for (std::size_t i = 0; i < sections_.size(); ++i) {
            index_[&sections_[i]] = i;
        }
    }

    std::optional<std::string> changed(const Node& before, const Node& after) {
        change_table(root_, {}, before, after);
        remove_loose_lines();
        return tangled_ ? std::nullopt : std::optional<std::string>(edits_.applied());
    }

private:
    void change_table(const Written& table,
                      const Path& path,
                      const Node& before,
                      const Node& after) {
        for (const auto& [key, node] : before.fields) {
            const Written* written = table.find(key);
            if (after.find(key) == nullptr && written != nullptr) {
                remove(*written);
            }
        }
        // Lines before sections: a line that came behind one would be in the wrong table.
        std::string homeless;
        for (const bool headed : {false, true}) {
            for (const auto& [key, node] : after.fields) {
                if (is_headed(key, node) == headed) {
                    homeless += change_field(table, path, key, before.find(key), node, after);
                }
            }
        }
        if (!homeless.empty()) {
            add_home(table, path, homeless);
        }
    }

    // This and the next return lines that found no place.
    std::string change_field(const Written& table,
                             const Path& path,
                             const std::string& key,
                             const Node* before,
                             const Node& after,
                             const Node& siblings) {
        const Written* written = table.find(key);
        if (written == nullptr) {
            return add(table, path, key, after, siblings);
        }
        if (before != nullptr && *before == after) {
            return {};
        }
        const Node none = empty_like(after);
        return change(
            table, *written, path, key, before != nullptr ? *before : none, after, siblings);
    }

    std::string change(const Written& table,
                       const Written& written,
                       const Path& path,
                       const std::string& key,
                       const Node& before,
                       const Node& after,
                       const Node& siblings) {
        if (written.entry != nullptr) {
            edits_.replace(written.entry->value.span,
                           rewritten_value(text_, written.entry->value, before, after));
            return {};
        }
        const bool same_kind = before.kind == after.kind;
        const bool in_order = !after.ordered || same_order(before, after);
        if (same_kind && after.kind == Node::Kind::table && in_order &&
            written.kind == Written::Kind::table) {
            change_table(written, below(path, key), before, after);
            return {};
        }
        if (same_kind && after.kind == Node::Kind::list && written.kind == Written::Kind::list) {
            change_list(written, below(path, key), before, after);
            return {};
        }
        remove(written);
        return add(table, path, key, after, siblings);
    }

    void change_list(const Written& list, const Path& path, const Node& before, const Node& after) {
        if (list.elements.size() != before.elements.size()) {
            tangled_ = true;
            return;
        }
        const std::vector<int> origin = aligned(before.elements, after.elements);
        std::set<int> kept(origin.begin(), origin.end());
        for (std::size_t i = 0; i < list.elements.size(); ++i) {
            if (!kept.contains(static_cast<int>(i))) {
                remove(list.elements[i]);
            }
        }
        const Written* previous = nullptr;
        for (std::size_t j = 0; j < after.elements.size(); ++j) {
            const Node& node = after.elements[j];
            if (origin[j] < 0) {
                insert_section(previous != nullptr ? Seat{end_of(*previous), false}
                                                   : Seat{begin_of(list), true},
                               element_text(path, node));
                continue;
            }
            const auto from = static_cast<std::size_t>(origin[j]);
            previous = &list.elements[from];
            if (!(before.elements[from] == node)) {
                change_table(*previous, path, before.elements[from], node);
            }
        }
    }

    std::string add(const Written& table,
                    const Path& path,
                    const std::string& key,
                    const Node& node,
                    const Node& siblings) {
        const bool among_lines = siblings.ordered && has_lines(table, siblings);
        if (is_headed(key, node) && !among_lines) {
            insert_section(seat_of_section(table, key, siblings, text_.size()),
                           section_text(below(path, key), node));
            return {};
        }
        const std::string line = key_text(key) + " = " + inline_text(node) + "\n";
        return insert_line(table, path, key, siblings, line) ? std::string() : line;
    }

    // Behind the lines of the field that comes before, else as the table's first.
    bool insert_line(const Written& table,
                     const Path& path,
                     const std::string& key,
                     const Node& siblings,
                     const std::string& line) {
        for (const std::string& name : fields_before(siblings, key)) {
            const Written* sibling = table.find(name);
            const auto lines =
                sibling != nullptr ? loose_lines(*sibling) : std::vector<Written::Line>{};
            if (!lines.empty()) {
                const Written::Line& last = lines.back();
                insert(last.first->lines.end,
                       indent_of(*last.first) + dots(*last.second, path) + line);
                return true;
            }
        }
        if (!table.headers.empty()) {
            insert(table.headers.front()->header.end, line);
            return true;
        }
        const auto lines = loose_lines(table);
        if (!lines.empty()) {
            insert(lines.front().first->lines.begin, dots(*lines.front().second, path) + line);
        }
        return !lines.empty();
    }

    std::string indent_of(const WrittenEntry& entry) const {
        return std::string(
            text_.substr(entry.lines.begin, entry.key[0].span.begin - entry.lines.begin));
    }

    // What a line within `section` has before the key of a table further down.
    static std::string dots(const Section& section, const Path& path) {
        std::string prefix;
        for (std::size_t i = section.path.size(); i < path.size(); ++i) {
            prefix += key_text(path[i]) + ".";
        }
        return prefix;
    }

    // A header for a table that had none, since only tables within it were begun.
    void add_home(const Written& table, const Path& path, const std::string& lines) {
        std::string header;
        for (const std::string& key : path) {
            header += (header.empty() ? "" : ".") + key_text(key);
        }
        insert_section({begin_of(table), true}, "[" + header + "]\n" + lines);
    }

    void insert_section(Seat seat, const std::string& section) {
        const bool before = seat.before_header;
        insert(seat.at, before ? section + "\n" : "\n" + section, Edits::What::section);
    }

    void insert(std::size_t at, std::string added, Edits::What what = Edits::What::line) {
        const bool line_open = at > 0 && at == text_.size() && text_.back() != '\n';
        if (line_open && !line_closed_) {
            edits_.insert(at, "\n", Edits::What::line);
            line_closed_ = true;
        }
        edits_.insert(at, std::move(added), what);
    }

    void remove(const Written& written) {
        std::set<std::size_t> all;
        for (const Section* header : headers_of(written)) {
            all.insert(index_.at(header));
        }
        removed_.insert(all.begin(), all.end());
        remove_stretches(all);
        std::vector<Written::Line> lines;
        written.collect_lines(lines);
        for (const auto& [entry, section] : lines) {
            loose_.emplace_back(entry, section);
        }
    }

    // Sections of one table in a row go with the comments between them.
    void remove_stretches(const std::set<std::size_t>& all) {
        for (auto first = all.begin(); first != all.end();) {
            auto last = first;
            while (std::next(last) != all.end() && *std::next(last) == *last + 1) {
                ++last;
            }
            remove_stretch(sections_[*first].header.begin, sections_[*last].body_end);
            first = std::next(last);
        }
    }

    void remove_loose_lines() {
        for (const auto& [entry, section] : loose_) {
            if (!removed_.contains(index_.at(section))) {
                edits_.remove(entry->lines);
            }
        }
    }

    // With the empty lines that follow; at the end of the file, those before.
    void remove_stretch(std::size_t begin, std::size_t end) {
        std::size_t after = end;
        while (after < text_.size() && (text_[after] == '\n' || text_[after] == '\r')) {
            ++after;
        }
        if (after == text_.size()) {
            while (begin > 1 && (text_[begin - 1] == '\n' || text_[begin - 1] == '\r') &&
                   (text_[begin - 2] == '\n' || text_[begin - 2] == '\r')) {
                --begin;
            }
        }
        edits_.remove({begin, after});
    }

    std::string_view text_;
    std::deque<Section> sections_;
    Written root_;
    std::map<const Section*, std::size_t> index_;
    Edits edits_;
    std::set<std::size_t> removed_;
    std::vector<Written::Line> loose_;
    bool line_closed_ = false;
    bool tangled_ = false;
};

}  // namespace

std::optional<std::string> change_tables(std::string_view text,
                                         const Node& before,
                                         const Node& after) {
    return TableEditor(text).changed(before, after);
}

}  // namespace etchback::dossier::detail
