// From a dossier's file to the evidence in it.
#pragma once

#include <filesystem>
#include <string>

#include "base/error.h"
#include "dossier/dossier.h"
#include "parts/catalogue.h"

namespace etchback::dossier {

// Reads the text of a dossier.toml. `file` is the name that errors carry. Everything that is
// wrong is reported in one pass, sorted by place; unknown keys, kinds and pins come with the
// nearest known word. A part of a kind that the catalogue does not know is allowed where its `kind`
// is absent or says "unknown"; a misspelt kind is an error.
base::Result<Dossier> read(std::string_view text,
                           const std::string& file,
                           const parts::Catalogue& catalogue);

// The same for a folder that holds dossier.toml, or for such a file. Throws base::FileError.
base::Result<Dossier> read_folder(const std::filesystem::path& folder,
                                  const parts::Catalogue& catalogue);
std::filesystem::path file_of(const std::filesystem::path& folder_or_file);

// The scenarios that every circuit gets (data/behaviour/scenarios.toml), written as in a dossier;
// the file holds nothing else.
base::Result<std::vector<Scenario>> read_scenarios(std::string_view text, const std::string& file);

}  // namespace etchback::dossier
