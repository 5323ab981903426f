// Changes within one value: a number, an inline table, a list.
#include <algorithm>

#include "base/text.h"
#include "dossier/detail/rewriting.h"
#include "dossier/detail/toml_text.h"

namespace etchback::dossier::detail {

namespace {

std::string_view cut(std::string_view text, Span span) {
    return text.substr(span.begin, span.end - span.begin);
}

Node empty_like(const Node& node) {
    Node empty;
    empty.kind = node.kind;
    return empty;
}

class TableText {
public:
    TableText(std::string_view text,
              const WrittenValue& table,
              const Node& before,
              const Node& after)
        : text_(text), table_(table), before_(before), after_(after) {}

    std::string rewritten() const {
        const bool dotted = std::ranges::any_of(
            table_.entries, [](const WrittenEntry& entry) { return entry.key.size() > 1; });
        if (dotted) {
            return inline_text(after_);
        }
        return keeps_shape() ? with_new_values() : joined(pieces());
    }

private:
    const WrittenEntry* written(std::string_view key) const {
        const auto found = std::ranges::find(
            table_.entries, key, [](const WrittenEntry& entry) { return entry.key[0].name; });
        return found == table_.entries.end() ? nullptr : &*found;
    }

    // A key that says what is so without saying it is in neither tree, and stays.
    bool stays(const std::string& key) const {
        return after_.find(key) != nullptr || before_.find(key) == nullptr;
    }

    bool keeps_shape() const {
        const bool all_stay = std::ranges::all_of(
            table_.entries, [&](const WrittenEntry& entry) { return stays(entry.key[0].name); });
        const bool none_new = std::ranges::all_of(
            after_.fields, [&](const auto& field) { return written(field.first) != nullptr; });
        return all_stay && none_new && (!after_.ordered || same_order(before_, after_));
    }

    std::string value_text(const WrittenEntry& entry) const {
        const Node* before = before_.find(entry.key[0].name);
        const Node* after = after_.find(entry.key[0].name);
        if (after == nullptr || (before != nullptr && *before == *after)) {
            return std::string(cut(text_, entry.value.span));
        }
        return rewritten_value(
            text_, entry.value, before != nullptr ? *before : empty_like(*after), *after);
    }

    std::string with_new_values() const {
        std::string result;
        std::size_t at = table_.span.begin;
        for (const WrittenEntry& entry : table_.entries) {
            result += cut(text_, {at, entry.value.span.begin});
            result += value_text(entry);
            at = entry.value.span.end;
        }
        return result + std::string(cut(text_, {at, table_.span.end}));
    }

    std::string piece_of(const WrittenEntry& entry) const {
        return std::string(cut(text_, {entry.key[0].span.begin, entry.value.span.begin})) +
               value_text(entry);
    }

    // The fields in their new order: what stays, and each new one behind the field that a new
    // file has before it.
    std::vector<std::string> pieces() const {
        std::vector<std::pair<std::string, std::string>> all;
        if (!after_.ordered) {
            for (const WrittenEntry& entry : table_.entries) {
                if (stays(entry.key[0].name)) {
                    all.emplace_back(entry.key[0].name, piece_of(entry));
                }
            }
        }
        std::string previous;
        for (const auto& [key, node] : after_.fields) {
            const WrittenEntry* entry = written(key);
            if (after_.ordered || entry == nullptr) {
                const auto behind =
                    std::ranges::find(all, previous, [](const auto& piece) { return piece.first; });
                const auto at = behind == all.end() ? (previous.empty() ? all.begin() : all.end())
                                                    : std::next(behind);
                all.emplace(at,
                            key,
                            entry != nullptr ? piece_of(*entry)
                                             : key_text(key) + " = " + inline_text(node));
            }
            previous = key;
        }
        std::vector<std::string> texts;
        for (auto& [key, piece] : all) {
            texts.push_back(std::move(piece));
        }
        return texts;
    }

    static std::string joined(const std::vector<std::string>& pieces) {
        std::string text;
        for (const std::string& piece : pieces) {
            text += (text.empty() ? "" : ", ") + piece;
        }
        return text.empty() ? "{}" : "{ " + text + " }";
    }

    std::string_view text_;
    const WrittenValue& table_;
    const Node& before_;
    const Node& after_;
};

class ListText {
public:
    ListText(std::string_view text, const WrittenValue& list, const Node& before, const Node& after)
        : text_(text),
          list_(list),
          before_(before),
          after_(after),
          origin_(aligned(before.elements, after.elements)) {}

    std::string rewritten() const {
        if (list_.elements.size() != before_.elements.size() || list_.elements.empty()) {
            return inline_text(after_);
        }
        if (keeps_shape()) {
            return with_new_values();
        }
        return has_line_each() ? on_lines() : on_one_line();
    }

private:
    bool keeps_shape() const {
        for (std::size_t i = 0; i < origin_.size(); ++i) {
            if (origin_[i] != static_cast<int>(i)) {
                return false;
            }
        }
        return origin_.size() == list_.elements.size();
    }

    bool has_line_each() const {
        const Span first{list_.span.begin, list_.elements.front().span.begin};
        return cut(text_, first).find('\n') != std::string_view::npos;
    }

    std::string element_text(std::size_t i) const {
        if (origin_[i] < 0) {
            return inline_text(after_.elements[i]);
        }
        const auto from = static_cast<std::size_t>(origin_[i]);
        return rewritten_value(
            text_, list_.elements[from], before_.elements[from], after_.elements[i]);
    }

    std::string with_new_values() const {
        std::string result;
        std::size_t at = list_.span.begin;
        for (std::size_t i = 0; i < list_.elements.size(); ++i) {
            result += cut(text_, {at, list_.elements[i].span.begin});
            result += element_text(i);
            at = list_.elements[i].span.end;
        }
        return result + std::string(cut(text_, {at, list_.span.end}));
    }

    std::string on_one_line() const {
        std::string text;
        for (std::size_t i = 0; i < after_.elements.size(); ++i) {
            text += (text.empty() ? "" : ", ") + element_text(i);
        }
        return "[" + text + "]";
    }

    // The line on which `at` stands, with its line break, but not beyond the list.
    std::size_t line_end(std::size_t at) const {
        const auto end = text_.find('\n', at);
        return end == std::string_view::npos || end >= list_.span.end ? list_.span.end - 1
                                                                      : end + 1;
    }

    // Comments above an element and the comment behind it go where the element goes.
    std::string on_lines() const {
        const std::size_t body = line_end(list_.span.begin);
        std::string text(cut(text_, {list_.span.begin, body}));
        for (std::size_t i = 0; i < after_.elements.size(); ++i) {
            text += origin_[i] < 0 ? indent() + element_text(i) + ",\n" : kept_lines(i);
        }
        const std::size_t rest = line_end(list_.elements.back().span.end);
        return text + std::string(cut(text_, {rest, list_.span.end}));
    }

    std::string indent() const {
        const std::size_t element = list_.elements.front().span.begin;
        const std::size_t line = text_.rfind('\n', element) + 1;
        return std::string(cut(text_, {line, element}));
    }

    std::string kept_lines(std::size_t i) const {
        const auto from = static_cast<std::size_t>(origin_[i]);
        const WrittenValue& element = list_.elements[from];
        const std::size_t begin = from == 0 ? line_end(list_.span.begin)
                                            : std::max(line_end(list_.elements[from - 1].span.end),
                                                       list_.elements[from - 1].span.end);
        const std::size_t end = line_end(element.span.end);
        std::string behind(cut(text_, {element.span.end, end}));
        const auto first = behind.find_first_not_of(" \t");
        if (first != std::string::npos && behind[first] == ',') {
            behind.erase(first, 1);
        }
        const std::string lead(begin <= element.span.begin ? cut(text_, {begin, element.span.begin})
                                                           : indent());
        return lead + element_text(i) + "," + behind + (behind.ends_with('\n') ? "" : "\n");
    }

    std::string_view text_;
    const WrittenValue& list_;
    const Node& before_;
    const Node& after_;
    std::vector<int> origin_;
};

}  // namespace

std::string rewritten_value(std::string_view text,
                            const WrittenValue& value,
                            const Node& before,
                            const Node& after) {
    if (before == after) {
        return std::string(cut(text, value.span));
    }
    const bool same_kind = before.kind == after.kind;
    if (same_kind && after.kind == Node::Kind::table && value.kind == WrittenValue::Kind::table) {
        return TableText(text, value, before, after).rewritten();
    }
    if (same_kind && after.kind == Node::Kind::list && value.kind == WrittenValue::Kind::list) {
        return ListText(text, value, before, after).rewritten();
    }
    return inline_text(after);
}

}  // namespace etchback::dossier::detail
