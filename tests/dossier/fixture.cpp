#include "dossier/fixture.h"

#include "base/file.h"

namespace etchback::dossier {

const parts::Catalogue& catalogue() {
    static const auto loaded = parts::load_catalogue(source_dir() / "data" / "parts");
    if (!loaded) {
        throw std::runtime_error(base::to_string(loaded.errors().front()));
    }
    return *loaded;
}

std::filesystem::path source_dir() {
    return ETCHBACK_SOURCE_DIR;
}

std::string everything_text() {
    return base::read_file(source_dir() / "docs" / "everything.toml");
}

Dossier everything() {
    return read_well(everything_text());
}

Dossier read_well(std::string_view text) {
    const auto dossier = read(text, "dossier.toml", catalogue());
    if (!dossier) {
        ADD_FAILURE() << base::to_string(dossier.errors().front()) << "\nin\n" << text;
        return {};
    }
    return *dossier;
}

base::Errors errors_of(std::string_view text) {
    const auto dossier = read(text, "dossier.toml", catalogue());
    if (dossier) {
        ADD_FAILURE() << "no error in\n" << text;
        return {};
    }
    return dossier.errors();
}

std::string with_replaced(std::string text, std::string_view from, std::string_view to) {
    const auto at = text.find(from);
    if (at == std::string::npos) {
        ADD_FAILURE() << "the text does not hold " << from;
        return text;
    }
    return text.replace(at, from.size(), to);
}

}  // namespace etchback::dossier
