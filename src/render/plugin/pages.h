// A document of blocks as a PDF of A4 pages.
#pragma once

#include "render/plugin/interface.h"

namespace etchback::render::plugin {

bool to_pages(const Paper& paper, Answer& answer);

}  // namespace etchback::render::plugin
