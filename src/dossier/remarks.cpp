#include "dossier/remarks.h"

#include <fmt/format.h>

#include <algorithm>
#include <tuple>

namespace etchback::dossier {
namespace {

namespace fs = std::filesystem;

void look_for(const Text& named,
              std::string_view what,
              const fs::path& folder,
              std::vector<Remark>& found) {
    std::error_code none;
    if (fs::is_regular_file(folder / fs::path(named.value), none)) {
        return;
    }
    found.push_back({RemarkKind::file_missing,
                     {named.place,
                      fmt::format("{}: the file '{}' is not there", what, named.value),
                      "copy it into the dossier's folder, or mend its name; capital and small "
                      "letters differ"}});
}

bool feeds(const Part& part, const parts::Catalogue& catalogue) {
    const parts::Kind* kind = catalogue.find(part.kind.value);
    return part.fitted && kind != nullptr && kind->family == "source";
}

void look_at_supply(const Dossier& dossier,
                    const parts::Catalogue& catalogue,
                    std::vector<Remark>& found) {
    const bool fed = std::any_of(dossier.parts.begin(), dossier.parts.end(), [&](const Part& part) {
        return feeds(part, catalogue);
    });
    if (!dossier.supply.voltage || dossier.parts.empty() || fed) {
        return;
    }
    const bool ac = dossier.supply.kind == Supply::Kind::ac;
    found.push_back({RemarkKind::supply_on_no_part,
                     {dossier.supply.voltage->place,
                      "supply: its voltage reaches no part, so nothing can be told from it",
                      ac ? "add what the board is plugged into: a part with kind = \"mains\" and "
                           "pins = { L = \"...\", N = \"...\" }"
                         : "add what feeds the board: a part with kind = \"DC supply\" and pins = "
                           "{ \"+\" = \"...\", \"-\" = \"...\" }"}});
}

}  // namespace

std::string_view name_of(RemarkKind kind) {
    switch (kind) {
        case RemarkKind::file_missing:
            return "file_missing";
        case RemarkKind::supply_on_no_part:
            return "supply_on_no_part";
        case RemarkKind::no_parts:
            break;
    }
    return "no_parts";
}

std::vector<Remark> remarks(const Dossier& dossier,
                            const fs::path& file,
                            const parts::Catalogue& catalogue) {
    std::vector<Remark> found;
    if (dossier.parts.empty()) {
        found.push_back({RemarkKind::no_parts,
                         {{file.string(), 0, 0},
                          "the dossier has no parts yet: there is nothing to draw or to judge",
                          "write a table for each part, such as [parts.R1]"}});
    }
    look_at_supply(dossier, catalogue, found);
    for (std::size_t i = 0; i < dossier.photos.size(); ++i) {
        look_for(dossier.photos[i].file, fmt::format("photo {}", i + 1), file.parent_path(), found);
    }
    if (!dossier.board.holes.value.empty()) {
        look_for(dossier.board.holes, "board, holes", file.parent_path(), found);
    }
    for (std::size_t i = 0; i < dossier.waveforms.size(); ++i) {
        look_for(dossier.waveforms[i].file,
                 fmt::format("waveform {}", i + 1),
                 file.parent_path(),
                 found);
    }
    std::stable_sort(found.begin(), found.end(), [](const Remark& a, const Remark& b) {
        return std::tie(a.error.place.line, a.error.place.column) <
               std::tie(b.error.place.line, b.error.place.column);
    });
    return found;
}

}  // namespace etchback::dossier
