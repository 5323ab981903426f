// What etchback_eye.so offers to src/copper/trace.cpp. Plain C functions, so that dlsym finds them;
// both sides come from one build, which `interface_version` checks. Nothing of OpenCV in here.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "base/error.h"
#include "copper/board_picture.h"
#include "copper/islands.h"
#include "copper/trace.h"
#include "dossier/dossier.h"
#include "parts/catalogue.h"

namespace etchback::copper::eye {

// Raised whenever a signature below or the layout of a type in it changes.
constexpr int interface_version = 2;

constexpr const char* file_name = "etchback_eye.so";
constexpr const char* version_symbol = "etchback_eye_version";
constexpr const char* trace_symbol = "etchback_eye_trace";
constexpr const char* jpeg_symbol = "etchback_eye_jpeg";

// What the pictures of a dossier give.
struct BoardTrace {
    BoardPicture picture;
    Islands islands;
    std::vector<PointedPad> pads;
};

// A picture to make small: 3 bytes a pixel, blue first.
struct PlainPicture {
    const std::uint8_t* bgr = nullptr;
    int width = 0;
    int height = 0;
};

using VersionFunction = int();
// True on success; else the errors say what was wrong.
using TraceFunction = bool(const dossier::Dossier* dossier,
                           const std::filesystem::path* folder,
                           const parts::Catalogue* catalogue,
                           BoardTrace* traced,
                           base::Errors* errors);
// A JPEG whose longer side has at most `longest` pixels.
using JpegFunction = bool(
    const PlainPicture* picture, int longest, int quality, std::string* jpeg, base::Errors* errors);

}  // namespace etchback::copper::eye
