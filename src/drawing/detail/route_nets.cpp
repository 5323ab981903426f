#include "drawing/detail/route_nets.h"

#include "drawing/detail/route_router.h"

namespace etchback::drawing::detail {

double Routing::price() const {
    return (complete ? 0.0 : 1e6) + length + 10.0 * bends + 200.0 * crossings + 100.0 * flags +
           4.0 * signs;
}

Routing route(const Model& model, Placement& placement, Care care) {
    // Large circuits have less of it each, so that the whole does not take too long.
    const bool large = model.parts.size() > 24;
    const int share = care == Care::brief ? 3 : 1;
    const int refinements = (large ? 1200 : 1800) / share;
    const long refining_work = (large ? 350'000 : 600'000) / share;
    Router router(model, placement);
    router.lay_all();
    if (care != Care::quick) {
        router.improve_all();
    }
    router.set_signs();
    if (care == Care::full || care == Care::brief) {
        router.improve_all();
        router.straighten();
        router.refine(refinements, refining_work, 1);
        router.straighten();
        router.improve_all();
    }
    placement = router.placement();
    return router.harvest();
}

}  // namespace etchback::drawing::detail
