// Dossiers and the shipped catalogue for tests of pads and traces.
#pragma once

#include <gtest/gtest.h>

#include <string>
#include <string_view>

#include "copper/trace.h"
#include "dossier/read.h"

namespace etchback::copper {

inline const parts::Catalogue& catalogue() {
    static const parts::Catalogue loaded = [] {
        auto read = parts::load_catalogue(std::string(ETCHBACK_SOURCE_DIR) + "/data/parts");
        return read ? *std::move(read) : parts::Catalogue({}, {});
    }();
    return loaded;
}

// A dossier of the tables in `toml`, which need no format and no item.
inline dossier::Dossier dossier_of(std::string_view toml) {
    const auto read = dossier::read(
        "format = 1\nitem.name = \"x\"\n" + std::string(toml), "dossier.toml", catalogue());
    if (!read) {
        ADD_FAILURE() << base::to_string(read.errors().front());
        return {};
    }
    return *read;
}

}  // namespace etchback::copper
