#include "gallery/fewest_file.h"

#include <fmt/format.h>

#include <toml++/toml.h>
#include <stdexcept>

#include "base/file.h"

namespace etchback::gallery {
namespace {

int number(const toml::table& row, const char* key, const std::string& id) {
    const auto value = row[key].value<int>();
    if (!value) {
        throw std::runtime_error(fmt::format("fewest.toml: {} has no {}", id, key));
    }
    return *value;
}

}  // namespace

std::map<std::string, Fewest> read_fewest(const std::filesystem::path& file) {
    const toml::table table = toml::parse(base::read_file(file), file.string());
    std::map<std::string, Fewest> fewest;
    for (const auto& [key, node] : table) {
        const std::string id(key.str());
        const toml::table* row = node.as_table();
        if (row == nullptr) {
            throw std::runtime_error(fmt::format("fewest.toml: {} is no table", id));
        }
        fewest[id] = {number(*row, "with_signs", id), number(*row, "all_wired", id)};
    }
    return fewest;
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
