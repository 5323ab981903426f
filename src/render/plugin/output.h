// From collected pages to a PDF.
#pragma once

#include <string>

#include "render/plugin/flow.h"

namespace etchback::render::plugin {

// Draws all pages of `flow` with their footers and sets the document's outline and title. Takes the
// pages out of `flow`. False if cairo gave up.
bool write_pages(const Paper& paper, Flow& flow, const Typesetter& typesetter, std::string& bytes);

}  // namespace etchback::render::plugin
