// Photos of the dossier as data URIs.
#pragma once

#include <filesystem>
#include <vector>

#include "report/detail/page.h"
#include "report/detail/template_data.h"

namespace etchback::report::detail {

// A photo that is absent, outside of the dossier's folder or of an unknown format leaves a
// placeholder that says so: the report goes on without it.
std::vector<PhotoData> load_photos(const std::vector<PhotoView>& photos,
                                   const std::filesystem::path& dossier_folder);

}  // namespace etchback::report::detail
