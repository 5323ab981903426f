#include "drawing/detail/route_nets.h"

#include "drawing/detail/route_router.h"

namespace etchback::drawing::detail {

double Routing::price() const {
    return (complete ? 0.0 : 1e6) + length + 3.0 * bends + 12.0 * crossings + 100.0 * flags;
}

Routing route(const Model& model, Placement& placement) {
    Router router(model, placement);
    router.lay_all();
    router.improve_all();
    router.straighten();
    placement = router.placement();
    return router.harvest();
}

}  // namespace etchback::drawing::detail
