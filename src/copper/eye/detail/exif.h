// Which way up a camera says that its picture is, from EXIF (JEITA CP-3451, tag 0x0112 of IFD 0).
#pragma once

#include <cstdint>
#include <span>

namespace etchback::copper::eye::detail {

// A TIFF file, or the TIFF block that EXIF is, as far as it is looked at here.
struct TiffHead {
    std::uint32_t width = 0;   // tag 0x0100; 0: not there
    std::uint32_t height = 0;  // tag 0x0101
    int orientation = 1;       // tag 0x0112, 1 to 8; 1: upright, and whatever is out of order
};

// Reads the first directory. A block that is no TIFF gives the defaults.
TiffHead read_tiff_head(std::span<const std::uint8_t> block);

}  // namespace etchback::copper::eye::detail
