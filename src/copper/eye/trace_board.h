// The way from a dossier's pictures to islands of copper: photograph, straight side, surface,
// islands.
#pragma once

#include <vector>

#include "base/error.h"
#include "copper/eye/interface.h"
#include "copper/eye/photo.h"

namespace etchback::copper::eye {

// Uses copper pictures (shows = "copper") where the dossier has any, else the first photograph of
// each side. Errors: no picture, files that are missing or no picture, photographs that do not fit.
base::Result<BoardTrace> trace_board(const dossier::Dossier& dossier,
                                     const std::filesystem::path& folder,
                                     const parts::Catalogue& catalogue);

// The same from photographs that are read already; Photo::file is the name in the dossier.
base::Result<BoardTrace> trace_photos(const dossier::Dossier& dossier,
                                      const std::vector<Photo>& photos,
                                      const parts::Catalogue& catalogue);

}  // namespace etchback::copper::eye
