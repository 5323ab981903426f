#include "gallery/fewest_file.h"

#include <fmt/format.h>

#include <toml++/toml.h>
#include <stdexcept>

#include "base/file.h"

namespace etchback::gallery {
namespace {

template <typename Value>
Value value_of(const toml::table& row, const char* key, const std::string& where) {
    const auto value = row[key].value<Value>();
    if (!value) {
        throw std::runtime_error(fmt::format("{} has no {}", where, key));
    }
    return *value;
}

// Calls visit(id, its table, "file: id") for each.
template <typename Visit>
void each_row(const std::filesystem::path& file, Visit visit) {
    const toml::table table = toml::parse(base::read_file(file), file.string());
    for (const auto& [key, node] : table) {
        const std::string id(key.str());
        const std::string where = fmt::format("{}: {}", file.filename().string(), id);
        const toml::table* row = node.as_table();
        if (row == nullptr) {
            throw std::runtime_error(where + " is no table");
        }
        visit(id, *row, where);
    }
}

}  // namespace

std::map<std::string, Fewest> read_fewest(const std::filesystem::path& file) {
    std::map<std::string, Fewest> fewest;
    each_row(file, [&](const std::string& id, const toml::table& row, const std::string& where) {
        fewest[id] = {value_of<int>(row, "with_signs", where),
                      value_of<int>(row, "all_wired", where)};
    });
    return fewest;
}

std::map<std::string, ByHand> read_by_hand(const std::filesystem::path& file) {
    std::map<std::string, ByHand> by_hand;
    each_row(file, [&](const std::string& id, const toml::table& row, const std::string& where) {
        by_hand[id] = {value_of<int>(row, "crossings", where),
                       value_of<std::string>(row, "why", where)};
    });
    return by_hand;
}

std::string to_toml(const std::map<std::string, Fewest>& fewest, int tries) {
    std::string text = fmt::format(
        "# The fewest crossings that each circuit of the gallery needs, found by gallery-search "
        "with\n"
        "# {} tries (tools/gallery/fewest.h says what counts). with_signs: returns and supplies "
        "are\n"
        "# shown by signs; all_wired: every net is wired. 0 is exact, others are the fewest "
        "found.\n",
        tries);
    for (const auto& [id, row] : fewest) {
        text += fmt::format(
            "{} = {{ with_signs = {}, all_wired = {} }}\n", id, row.with_signs, row.all_wired);
    }
    return text;
}

}  // namespace etchback::gallery
