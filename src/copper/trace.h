// The whole way from a dossier's photographs to nets. The work with pictures is done in a plugin
// (src/copper/eye) that is loaded when it is first needed, so that commands that look at no photo
// do not load OpenCV.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "base/error.h"
#include "copper/board_picture.h"
#include "copper/islands.h"
#include "copper/nets.h"
#include "dossier/dossier.h"
#include "parts/catalogue.h"

namespace etchback::copper {

struct Trace {
    BoardPicture picture;
    Islands islands;
    std::vector<Pad> pads;  // of every part whose place is known
    Nets nets;
    std::vector<Remark> remarks;  // of pads and nets; those of the photos are in the picture
};

// Whether the dossier holds photos of a board side or copper pictures, so that tracing makes sense.
bool can_trace(const dossier::Dossier& dossier);

// Errors: files that are missing or no photo, photos that do not fit each other.
base::Result<Trace> trace(const dossier::Dossier& dossier,
                          const std::filesystem::path& folder,
                          const parts::Catalogue& catalogue);

// The pads of all parts with a place: given pins, or from body and position.
std::vector<Pad> find_pads(const dossier::Dossier& dossier,
                           const parts::Catalogue& catalogue,
                           std::vector<Remark>& remarks);

// The dossier with the nets that copper tells, on pins for which the person wrote none (known =
// traced). Where both say something and differ, the person's stays and `remarks` says so.
dossier::Dossier with_traced_nets(const dossier::Dossier& dossier,
                                  const Trace& trace,
                                  std::vector<Remark>& remarks);

}  // namespace etchback::copper
