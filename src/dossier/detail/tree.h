// A dossier as a tree of tables, lists and values, in the order in which a new file has them.
// Writing prints the tree; rewriting compares two of them.
#pragma once

#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "dossier/dossier.h"
#include "parts/catalogue.h"

namespace etchback::dossier::detail {

struct Node {
    enum class Kind { value, table, list };
    // How a new file has it: within a line, or under header lines of its own. A list with a line
    // for each element is written over several lines.
    enum class Manner { inline_, headed, line_each };

    Kind kind = Kind::value;
    Manner manner = Manner::inline_;
    bool ordered = false;  // a table of which the order is part of what it says: pins, parts
    std::string text;      // a value as TOML spells it
    std::vector<std::pair<std::string, Node>> fields;
    std::vector<Node> elements;

    static Node value_of(std::string text);
    static Node table_of(Manner manner, bool ordered = false);
    static Node list_of(Manner manner);

    const Node* find(std::string_view key) const;
    bool operator==(const Node& other) const = default;
};

Node tree_of(const Dossier& dossier, const parts::Catalogue& catalogue);

// A value, table or list as it stands behind an equals sign.
std::string inline_text(const Node& node);

// Whether a table must get header lines of its own because it is too wide for one line.
bool is_headed(std::string_view key, const Node& node);

// The lines "key = value" of a table, without those of headed tables in it.
std::string lines_text(const Node& table);
// A headed table or list with its header lines and all that is below it. Every header line but
// the first has an empty line before it.
std::string section_text(const std::vector<std::string>& path, const Node& node);
std::string element_text(const std::vector<std::string>& path, const Node& element);

}  // namespace etchback::dossier::detail
