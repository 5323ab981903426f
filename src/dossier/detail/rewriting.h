// The steps by which a dossier's text is changed in place.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "dossier/detail/layout.h"
#include "dossier/detail/tree.h"

namespace etchback::dossier::detail {

// Replacements of stretches of a text. They may be noted in any order and must not overlap;
// insertions at one place stand in the order in which they were noted. Line breaks of new text
// become those of the old.
class Edits {
public:
    explicit Edits(std::string_view text);
    void replace(Span span, std::string text);
    // At one place, lines come before sections.
    enum class What { line, section };
    void insert(std::size_t at, std::string text, What what);
    void remove(Span span);
    std::string applied() const;

private:
    struct Edit {
        Span span;
        std::string text;
        What what = What::line;
    };
    std::string_view text_;
    bool windows_;
    std::vector<Edit> edits_;
};

bool has_windows_line_ends(std::string_view text);

// Which element of `before` each element of `after` was, in order, so that as much as possible
// stays the same; -1: it is new.
std::vector<int> aligned(const std::vector<Node>& before, const std::vector<Node>& after);

// The text of a value, inline table or list that reads as `before`, changed so that it reads as
// `after`.
std::string rewritten_value(std::string_view text,
                            const WrittenValue& value,
                            const Node& before,
                            const Node& after);

// Whether the fields that both tables have stand in one order.
bool same_order(const Node& before, const Node& after);

// Gives parts and nets that were renamed and nothing else their new names, in `text` and `before`.
void rename_tables(std::string& text, Node& before, const Node& after);
// Moves the tables of parts and nets into the order of `after`. False: their text is too tangled.
[[nodiscard]] bool reorder_tables(std::string& text, Node& before, const Node& after);
// All other changes. None: the text is too tangled.
std::optional<std::string> change_tables(std::string_view text,
                                         const Node& before,
                                         const Node& after);

// All of that: the text that reads as `after`, with everything else as it stood.
std::optional<std::string> rewritten_in_place(std::string_view text, Node before, Node after);

}  // namespace etchback::dossier::detail
