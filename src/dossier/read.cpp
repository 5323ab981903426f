#include "dossier/read.h"

#include <fmt/format.h>

#include "base/file.h"
#include "dossier/detail/explain_syntax.h"
#include "dossier/detail/reading.h"

namespace etchback::dossier {

namespace {

using base::TableReader;

// Null if all is well; else the one error that makes all others pointless.
std::optional<base::Error> fault_of_format(TableReader& root, const std::string& file) {
    if (!root.has("format")) {
        root.know("format");
        return base::Error{{file, 1, 1},
                           "the dossier does not say its format",
                           fmt::format("write format = {} at the top", format_version)};
    }
    const auto format = root.integer("format");
    if (!format || format->value == format_version) {
        return std::nullopt;  // a wrong type is complained of already
    }
    const bool newer = format->value > format_version;
    return base::Error{
        format->place,
        newer ? fmt::format("format {} is newer than this program, which reads format {}",
                            format->value,
                            format_version)
              : fmt::format("there is no format {}", format->value),
        newer ? "use a newer Etchback for this dossier"
              : fmt::format("write format = {}", format_version)};
}

// A name may be as long as the file: no message needs to be.
void shorten(base::Errors& errors) {
    constexpr std::size_t longest = 300;
    for (base::Error& error : errors) {
        for (std::string* text : {&error.what, &error.todo}) {
            if (text->size() > longest) {
                std::size_t end = longest;
                while (end > 0 && (static_cast<unsigned char>((*text)[end]) & 0xC0U) == 0x80U) {
                    --end;
                }
                *text = text->substr(0, end) + " ...";
            }
        }
    }
}

Dossier read_tables(TableReader& root, const detail::Context& context) {
    Dossier dossier;
    dossier.item = detail::read_item(root, context);
    dossier.claims = detail::read_claims(root, context);
    dossier.supply = detail::read_supply(root, context);
    dossier.parts = detail::read_parts(root, "part", context);
    dossier.nets = detail::read_nets(root, context);
    dossier.readings = detail::read_readings(root, context);
    dossier.continuity = detail::read_continuity(root, context);
    dossier.waveforms = detail::read_waveforms(root, context);
    dossier.photos = detail::read_photos(root, context);
    dossier.board = detail::read_board(root, context);
    dossier.strokes = detail::read_strokes(root, context);
    dossier.scenarios = detail::read_scenarios(root, context);
    dossier.drawing = detail::read_drawing(root, context);
    dossier.reference = detail::read_reference(root, context);
    root.finish();
    detail::check_references(dossier, context);
    return dossier;
}

}  // namespace

base::Result<Dossier> read(std::string_view text,
                           const std::string& file,
                           const parts::Catalogue& catalogue) {
    const auto parsed = base::parse_toml(text, file);
    if (!parsed) {
        base::Errors errors = {detail::explained(parsed.errors().front())};
        shorten(errors);
        return errors;
    }
    base::Errors errors;
    TableReader root(*parsed, file, "the dossier", errors);
    if (const auto fault = fault_of_format(root, file)) {
        errors.push_back(*fault);
        if (root.has("format")) {
            return errors;
        }
    }
    Dossier dossier = read_tables(root, {.file = file, .catalogue = catalogue, .errors = errors});
    if (!errors.empty()) {
        shorten(errors);
        base::sort_by_place(errors);
        return errors;
    }
    return dossier;
}

base::Result<std::vector<Scenario>> read_scenarios(std::string_view text, const std::string& file) {
    const auto parsed = base::parse_toml(text, file);
    if (!parsed) {
        return base::Errors{detail::explained(parsed.errors().front())};
    }
    base::Errors errors;
    TableReader root(*parsed, file, "the scenarios", errors);
    const parts::Catalogue no_parts({}, {});
    const detail::Context context{.file = file, .catalogue = no_parts, .errors = errors};
    std::vector<Scenario> scenarios = detail::read_scenarios(root, context);
    root.finish();
    if (!errors.empty()) {
        shorten(errors);
        base::sort_by_place(errors);
        return errors;
    }
    return scenarios;
}

std::filesystem::path file_of(const std::filesystem::path& folder_or_file) {
    return std::filesystem::is_directory(folder_or_file) ? folder_or_file / "dossier.toml"
                                                         : folder_or_file;
}

base::Result<Dossier> read_folder(const std::filesystem::path& folder,
                                  const parts::Catalogue& catalogue) {
    const std::filesystem::path file = file_of(folder);
    return read(base::read_file(file), file.string(), catalogue);
}

}  // namespace etchback::dossier
