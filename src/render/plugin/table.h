// Tables that wrap their cells and repeat their head on every page.
#pragma once

#include "render/plugin/flow.h"

namespace etchback::render::plugin {

// `block.rows` may be ragged; a row taller than a page goes on on the next.
void place_table(Flow& flow, const Typesetter& typesetter, const PaperBlock& block);

}  // namespace etchback::render::plugin
