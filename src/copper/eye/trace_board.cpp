#include "copper/eye/trace_board.h"

#include "copper/eye/tracing.h"

namespace etchback::copper::eye {

base::Result<BoardTrace> trace_board(const dossier::Dossier& dossier,
                                     const std::filesystem::path& folder,
                                     const parts::Catalogue& catalogue) {
    base::Result<Tracing> tracing = Tracing::begin(dossier, folder, catalogue);
    return tracing ? base::Result<BoardTrace>(std::move(*tracing).take()) : tracing.errors();
}

base::Result<BoardTrace> trace_photos(const dossier::Dossier& dossier,
                                      const std::vector<Photo>& photos,
                                      const parts::Catalogue& catalogue) {
    base::Result<Tracing> tracing = Tracing::begin(dossier, photos, catalogue);
    return tracing ? base::Result<BoardTrace>(std::move(*tracing).take()) : tracing.errors();
}

}  // namespace etchback::copper::eye
