// A tree as text.
#include "base/text.h"
#include "dossier/detail/toml_text.h"
#include "dossier/detail/tree.h"

namespace etchback::dossier::detail {

namespace {

constexpr std::size_t widest_line = 100;

std::string joined(const std::vector<std::string>& path) {
    std::string text;
    for (const std::string& key : path) {
        text += (text.empty() ? "" : ".") + key_text(key);
    }
    return text;
}

std::string table_inline(const Node& table) {
    std::string text;
    for (const auto& [key, node] : table.fields) {
        text += (text.empty() ? "" : ", ") + key_text(key) + " = " + inline_text(node);
    }
    return text.empty() ? "{}" : "{ " + text + " }";
}

std::string list_inline(const Node& list) {
    const bool line_each = list.manner == Node::Manner::line_each;
    std::string text;
    for (const Node& element : list.elements) {
        if (line_each) {
            text += "\n  " + inline_text(element) + ",";
        } else {
            text += (text.empty() ? "" : ", ") + inline_text(element);
        }
    }
    return "[" + text + (line_each && !text.empty() ? "\n]" : "]");
}

// The headed tables and lists in `table`, each after an empty line.
std::string sections_within(const std::vector<std::string>& path, const Node& table) {
    std::string text;
    for (const auto& [key, node] : table.fields) {
        if (is_headed(key, node)) {
            std::vector<std::string> below = path;
            below.push_back(key);
            const std::string section = section_text(below, node);
            text += (section.empty() ? "" : "\n") + section;
        }
    }
    return text;
}

bool has_only_sections(const Node& table) {
    for (const auto& [key, node] : table.fields) {
        if (!is_headed(key, node)) {
            return false;
        }
    }
    return !table.fields.empty();
}

}  // namespace

std::string inline_text(const Node& node) {
    switch (node.kind) {
        case Node::Kind::value:
            return node.text;
        case Node::Kind::table:
            return table_inline(node);
        case Node::Kind::list:
            return list_inline(node);
    }
    return {};
}

bool is_headed(std::string_view key, const Node& node) {
    if (node.manner == Node::Manner::headed) {
        return node.kind != Node::Kind::value;
    }
    return node.kind == Node::Kind::table &&
           base::characters(key_text(key) + " = " + inline_text(node)) > widest_line;
}

std::string lines_text(const Node& table) {
    std::string text;
    for (const auto& [key, node] : table.fields) {
        if (!is_headed(key, node)) {
            text += key_text(key) + " = " + inline_text(node) + "\n";
        }
    }
    return text;
}

std::string element_text(const std::vector<std::string>& path, const Node& element) {
    return "[[" + joined(path) + "]]\n" + lines_text(element) + sections_within(path, element);
}

std::string section_text(const std::vector<std::string>& path, const Node& node) {
    if (node.kind == Node::Kind::list) {
        std::string text;
        for (const Node& element : node.elements) {
            text += (text.empty() ? "" : "\n") + element_text(path, element);
        }
        return text;
    }
    if (node.ordered && node.manner == Node::Manner::headed && has_only_sections(node)) {
        return sections_within(path, node).substr(1);  // "parts" itself needs no header
    }
    return "[" + joined(path) + "]\n" + lines_text(node) + sections_within(path, node);
}

}  // namespace etchback::dossier::detail
