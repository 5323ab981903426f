// What every test of the dossier needs: the catalogue, the example of everything, plain reading.
#pragma once

#include <gtest/gtest.h>

#include <filesystem>
#include <string>
#include <string_view>

#include "dossier/read.h"
#include "dossier/write.h"

namespace etchback::dossier {

const parts::Catalogue& catalogue();
std::filesystem::path source_dir();
std::string everything_text();
Dossier everything();

// Reads text that must be in order; a failure shows the first error.
Dossier read_well(std::string_view text);
// The errors of text that must not be in order.
base::Errors errors_of(std::string_view text);

std::string with_replaced(std::string text, std::string_view from, std::string_view to);

}  // namespace etchback::dossier
