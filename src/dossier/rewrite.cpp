// Saving a changed dossier so that what did not change stands as it stood.
#include "base/toml_reader.h"
#include "dossier/detail/rewriting.h"
#include "dossier/detail/toml_text.h"
#include "dossier/read.h"
#include "dossier/write.h"

namespace etchback::dossier {

namespace {

using detail::Node;

// Long texts on one line: a line break within quotes would change with the file's line ends.
void put_on_one_line(Node& node) {
    if (node.text.starts_with("\"\"\"")) {
        const toml::table parsed = toml::parse("k = " + node.text);
        node.text = detail::string_text(parsed["k"].value_or(std::string()));
    }
    for (auto& [key, field] : node.fields) {
        put_on_one_line(field);
    }
    for (Node& element : node.elements) {
        put_on_one_line(element);
    }
}

// Whether `text` says what `dossier` says. What cannot be read back at all (a dossier that is not
// yet in order) is taken on trust if a new file of it could not be read either.
bool reads_as(std::string_view text, const Dossier& dossier, const parts::Catalogue& catalogue) {
    const auto back = read(text, "", catalogue);
    if (back) {
        return *back == dossier;
    }
    return base::parse_toml(text, "") && !read(write(dossier, catalogue), "", catalogue);
}

}  // namespace

std::optional<std::string> detail::rewritten_in_place(std::string_view text,
                                                      Node before,
                                                      Node after) {
    if (has_windows_line_ends(text)) {
        put_on_one_line(before);
        put_on_one_line(after);
    }
    std::string changed(text);
    rename_tables(changed, before, after);
    if (!reorder_tables(changed, before, after)) {
        return std::nullopt;
    }
    return change_tables(changed, before, after);
}

std::string rewrite(std::string_view text,
                    const Dossier& before,
                    const Dossier& after,
                    const parts::Catalogue& catalogue) {
    if (before == after) {
        return std::string(text);
    }
    if (base::parse_toml(text, "")) {
        const auto result = detail::rewritten_in_place(
            text, detail::tree_of(before, catalogue), detail::tree_of(after, catalogue));
        if (result && reads_as(*result, after, catalogue)) {
            return *result;
        }
    }
    return write(after, catalogue);
}

}  // namespace etchback::dossier
