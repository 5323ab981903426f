// layout.toml: reading and writing (docs/board-layout.md).
#pragma once

#include <filesystem>
#include <string>
#include <string_view>

#include "base/error.h"
#include "board-photographer/layout.h"

namespace etchback::photographer {

base::Result<Layout> parse_layout(std::string_view text, const std::string& file);

// A file that cannot be read throws base::FileError.
base::Result<Layout> read_layout(const std::filesystem::path& path);

// Reading the text again gives the same layout.
std::string write_layout(const Layout& layout);

}  // namespace etchback::photographer
