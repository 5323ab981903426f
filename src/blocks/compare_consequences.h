// What differences mean where kind and place alone decide it: words of
// data/comparison/consequences.toml for these cases.
//
//   lower_rating                     a part rated lower than there
//   larger_capacitor_at_mains        an X capacitor, or one between live and neutral, with more
//   larger_capacitor_behind_bridge   a film capacitor at plus and minus of a bridge, with more
//   missing_y_capacitor              a capacitor between two domains is missing
//   missing_fuse                     a fuse, fusible resistor or thermal link is missing
//   missing_bleeder                  resistors across a capacitor at the mains are missing
#pragma once

#include <filesystem>

#include "base/error.h"
#include "blocks/compare.h"

namespace etchback::blocks {

// Reads `folder`/comparison/consequences.toml.
base::Result<KnowConsequence> load_consequences(const std::filesystem::path& folder);

}  // namespace etchback::blocks
