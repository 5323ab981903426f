// A board while its copper is followed: photos laid straight, what each pixel shows, islands. It
// takes strokes, one after the other, and does again only what they change.
#pragma once

#include <memory>
#include <vector>

#include "base/error.h"
#include "copper/eye/find_islands.h"
#include "copper/eye/interface.h"
#include "copper/eye/photo.h"
#include "copper/eye/registration.h"
#include "copper/eye/surface.h"

namespace etchback::copper::eye {

class Tracing {
public:
    // From the files of a dossier. Uses copper pictures (shows = "copper") where the dossier has
    // any, else the first photograph of each side. Errors: no picture, files that are missing or no
    // picture, photographs that do not fit.
    static base::Result<Tracing> begin(const dossier::Dossier& dossier,
                                       const std::filesystem::path& folder,
                                       const parts::Catalogue& catalogue);
    // From photographs that are read already; Photo::file is the name in the dossier.
    static base::Result<Tracing> begin(const dossier::Dossier& dossier,
                                       const std::vector<Photo>& photos,
                                       const parts::Catalogue& catalogue);
    // From photographs that are laid straight already. `top`, `bottom`: their sizes.
    static Tracing begin(const dossier::Dossier& dossier,
                         StraightBoard board,
                         cv::Size top,
                         cv::Size bottom,
                         const parts::Catalogue& catalogue);

    Tracing(const Tracing&);
    Tracing& operator=(const Tracing&);
    Tracing(Tracing&&) noexcept;
    Tracing& operator=(Tracing&&) noexcept;
    ~Tracing();

    // Follows the copper with these strokes instead of the dossier's: the same, byte by byte, as if
    // it had been begun with them.
    void set_strokes(const std::vector<dossier::Stroke>& strokes);

    const BoardTrace& trace() const { return trace_; }
    BoardTrace&& take() && { return std::move(trace_); }

private:
    struct Ground;
    friend class Beginner;
    explicit Tracing(std::shared_ptr<const Ground> ground);
    void follow(const std::vector<dossier::Stroke>& strokes);

    std::shared_ptr<const Ground> ground_;  // what no stroke changes
    std::shared_ptr<const Classifier::Seen> seen_;
    std::shared_ptr<const FoundBefore> found_;
    Glow glow_;
    BoardTrace trace_;
};

}  // namespace etchback::copper::eye
