#include "report/copper_run.h"

#include <algorithm>

namespace etchback::report {

namespace {

bool has_place(const dossier::Part& part) {
    return !part.pads.empty() || part.position;
}

}  // namespace

bool shows_copper(const dossier::Dossier& dossier) {
    return copper::can_trace(dossier) && std::ranges::any_of(dossier.parts, has_place);
}

bool needs_copper(const dossier::Dossier& dossier) {
    const auto lacks_nets = [](const dossier::Part& part) {
        return has_place(part) && part.pins.size() < std::max<std::size_t>(1, part.pads.size());
    };
    return copper::can_trace(dossier) && std::ranges::any_of(dossier.parts, lacks_nets);
}

Copper follow_copper(const dossier::Dossier& dossier,
                     const std::filesystem::path& folder,
                     const Data& data) {
    Copper copper;
    base::Result<copper::Trace> traced = copper::trace(dossier, folder, data.catalogue);
    if (traced) {
        copper.trace = std::make_shared<const copper::Trace>(*std::move(traced));
    } else {
        copper.why_not = traced.errors();
    }
    return copper;
}

dossier::Dossier with_copper(const dossier::Dossier& dossier, const Copper& copper) {
    return copper.trace ? copper::with_traced_nets(dossier, *copper.trace) : dossier;
}

}  // namespace etchback::report
