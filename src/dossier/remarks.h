// What may be wrong with a dossier around its circuit, though it reads well: evidence that it names
// and does not hold, a supply that reaches no part. Doubtful all: a dossier may be half done.
//
// file_missing: a photo or waveform that is named, but not there.
// supply_on_no_part: [supply] gives a voltage, but no part that is fitted brings it to the board
//   (kind `mains`, `DC supply` or `battery`), so no voltage can be told from it.
// no_parts: there is nothing yet to draw or to judge.
#pragma once

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "base/error.h"
#include "dossier/dossier.h"
#include "parts/catalogue.h"

namespace etchback::dossier {

enum class RemarkKind { file_missing, supply_on_no_part, no_parts };
std::string_view name_of(RemarkKind kind);

struct Remark {
    RemarkKind kind;
    base::Error error;  // place, what, what to do
};

// `file` is the dossier.toml that `dossier` was read from; what it names is looked for beside it.
// Sorted by place.
std::vector<Remark> remarks(const Dossier& dossier,
                            const std::filesystem::path& file,
                            const parts::Catalogue& catalogue);

}  // namespace etchback::dossier
