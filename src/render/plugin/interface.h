// What etchback_paper.so offers to src/render/paper.cpp. Plain C functions, so that dlsym finds
// them; both sides come from one build, which `interface_version` checks.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "render/paper.h"

namespace etchback::render::plugin {

// Raised whenever a signature below or the layout of `Paper` changes.
constexpr int interface_version = 3;

constexpr const char* file_name = "etchback_paper.so";
constexpr const char* version_symbol = "etchback_paper_version";
constexpr const char* png_symbol = "etchback_paper_png";
constexpr const char* pdf_symbol = "etchback_paper_pdf";
constexpr const char* pages_symbol = "etchback_paper_pages";

// The bytes on success (true), or what was wrong.
struct Answer {
    std::string bytes;
    base::Error error;
};

using VersionFunction = int();
using PngFunction = bool(const std::string_view* svg, int width_px, Answer* answer);
using PdfFunction = bool(const std::vector<std::string>* svgs, Answer* answer);
using PagesFunction = bool(const Paper* paper, Answer* answer);

}  // namespace etchback::render::plugin
