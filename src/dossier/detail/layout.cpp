#include "dossier/detail/layout.h"

namespace etchback::dossier::detail {

namespace {

Written& child(Written& table, const KeyPiece& piece) {
    Written* found = table.find(piece.name);
    if (found == nullptr) {
        table.fields.emplace_back(piece.name, Written{});
        found = &table.fields.back().second;
    }
    found->names.push_back(piece.span);
    return *found;
}

// A step of a header's path: into the table, or into the last element of a list of tables.
Written& last_table(Written& node) {
    return node.kind == Written::Kind::list && !node.elements.empty() ? node.elements.back() : node;
}

void add_entry(Written& table, const WrittenEntry& entry, const Section& section) {
    Written* at = &table;
    for (const KeyPiece& piece : entry.key) {
        at = &child(*at, piece);
    }
    at->entry = &entry;
    at->entry_section = &section;
    at->kind = entry.value.kind == WrittenValue::Kind::table  ? Written::Kind::table
               : entry.value.kind == WrittenValue::Kind::list ? Written::Kind::list
                                                              : Written::Kind::value;
}

Written& headed_table(Written& root, const Section& section) {
    Written* at = &root;
    for (std::size_t i = 0; i < section.path.size(); ++i) {
        at = &child(last_table(*at), section.path[i]);
    }
    if (section.is_element) {
        at->kind = Written::Kind::list;
        at->elements.emplace_back();
        at = &at->elements.back();
    }
    at->headers.push_back(&section);
    return *at;
}

}  // namespace

Written* Written::find(std::string_view key) {
    for (auto& [name, node] : fields) {
        if (name == key) {
            return &node;
        }
    }
    return nullptr;
}

const Written* Written::find(std::string_view key) const {
    return const_cast<Written*>(this)->find(key);
}

void Written::collect_headers(std::vector<const Section*>& all) const {
    all.insert(all.end(), headers.begin(), headers.end());
    for (const auto& [name, node] : fields) {
        node.collect_headers(all);
    }
    for (const Written& element : elements) {
        element.collect_headers(all);
    }
}

void Written::collect_lines(std::vector<Line>& all) const {
    if (entry != nullptr) {
        all.emplace_back(entry, entry_section);
    }
    for (const auto& [name, node] : fields) {
        node.collect_lines(all);
    }
    for (const Written& element : elements) {
        element.collect_lines(all);
    }
}

Written written_tree(const std::deque<Section>& sections) {
    Written root;
    for (const Section& section : sections) {
        Written& table = section.path.empty() ? root : headed_table(root, section);
        if (section.path.empty()) {
            root.headers.push_back(&section);
        }
        for (const WrittenEntry& entry : section.entries) {
            add_entry(table, entry, section);
        }
    }
    return root;
}

}  // namespace etchback::dossier::detail
