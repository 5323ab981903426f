// Following the copper of a dossier's photos, for whoever needs nets.
#pragma once

#include <filesystem>
#include <memory>

#include "copper/trace.h"
#include "report/study.h"

namespace etchback::report {

// Whether copper can tell something that the dossier does not: photos of a side are there, and
// some part that has a place on the board has pins without a net.
bool needs_copper(const dossier::Dossier& dossier);
// Whether there is anything to show of it: photos of a side, and parts with a place.
bool shows_copper(const dossier::Dossier& dossier);

// Never fails: where the photos cannot be followed, `why_not` says so.
Copper follow_copper(const dossier::Dossier& dossier,
                     const std::filesystem::path& folder,
                     const Data& data);

// The dossier as it is, with the nets that copper tells where it has none.
dossier::Dossier with_copper(const dossier::Dossier& dossier, const Copper& copper);

}  // namespace etchback::report
