// What the head of a picture file says, before anything is decoded: kind, size, which way up, and
// whether the file is whole.
#pragma once

#include <cstdint>
#include <span>

namespace etchback::copper::eye::detail {

enum class PictureKind : std::uint8_t { none, jpeg, png, tiff, webp };

struct PictureHead {
    PictureKind kind = PictureKind::none;
    std::int64_t width = 0;  // 0: the decoder will tell (JPEG), or the head is broken
    std::int64_t height = 0;
    int orientation = 1;  // EXIF; not of JPEG, and not of TIFF, whose decoder turns it
    bool whole = true;    // false: bytes are missing or altered, as far as the format can tell
};

// PNG is followed from chunk to chunk, with its sums (CRC-32, ISO 3309), to its end: with all sums
// right the picture is what was saved.
PictureHead read_picture_head(std::span<const std::uint8_t> bytes);

}  // namespace etchback::copper::eye::detail
