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

// A pad that the person pointed at on a photo, carried to the board by the photo's fit.
struct PointedPad {
    std::string part;
    std::string pin;  // as written
    Point at;
    Side side = Side::top;  // of the photo
};

// The pads of all parts with a place: given pins, or from body and position. `pointed` are those
// of parts whose pads are counted in a photo's pixels (Part::pads_on); the others are read from
// the dossier.
std::vector<Pad> find_pads(const dossier::Dossier& dossier,
                           const parts::Catalogue& catalogue,
                           const std::vector<PointedPad>& pointed,
                           std::vector<Remark>& remarks);

// From islands of copper to nets, as `trace` does it: pins through the board and wire links join,
// and nets get the names that the dossier's pins carry.
Trace trace_from(BoardPicture picture,
                 Islands islands,
                 const std::vector<PointedPad>& pointed,
                 const dossier::Dossier& dossier,
                 const parts::Catalogue& catalogue);

// A side's straightened photo as JPEG, its longer side at most `longest` pixels. Empty bytes: there
// is no picture of that side.
base::Result<std::string> jpeg_of(const BoardPicture& picture, Side side, int longest);

// The dossier with the nets that copper tells, on pins for which the person wrote none (known =
// traced where none of the part's was written). Where both say something and differ, the person's
// stays and Trace::remarks says so.
dossier::Dossier with_traced_nets(const dossier::Dossier& dossier, const Trace& trace);

}  // namespace etchback::copper
