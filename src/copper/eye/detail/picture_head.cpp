#include "copper/eye/detail/picture_head.h"

#include <array>
#include <cstring>

#include "copper/eye/detail/exif.h"

namespace etchback::copper::eye::detail {
namespace {

using Bytes = std::span<const std::uint8_t>;

bool begins(Bytes bytes, std::size_t at, const char* with, std::size_t length) {
    return bytes.size() >= at + length && std::memcmp(bytes.data() + at, with, length) == 0;
}

std::uint32_t big_endian(Bytes bytes, std::size_t at) {
    return std::uint32_t{bytes[at]} << 24U | std::uint32_t{bytes[at + 1]} << 16U |
           std::uint32_t{bytes[at + 2]} << 8U | std::uint32_t{bytes[at + 3]};
}

std::uint32_t little_endian(Bytes bytes, std::size_t at, int count) {
    std::uint32_t value = 0;
    for (int i = count - 1; i >= 0; --i) {
        value = value << 8U | bytes[at + i];
    }
    return value;
}

std::uint32_t crc_of(Bytes bytes) {
    static constexpr auto table = [] {
        std::array<std::uint32_t, 256> t{};
        for (std::uint32_t n = 0; n < 256; ++n) {
            std::uint32_t c = n;
            for (int k = 0; k < 8; ++k) {
                c = (c & 1U) != 0 ? 0xEDB88320U ^ (c >> 1U) : c >> 1U;
            }
            t[n] = c;
        }
        return t;
    }();
    std::uint32_t crc = 0xFFFFFFFFU;
    for (const std::uint8_t byte : bytes) {
        crc = table[(crc ^ byte) & 0xFFU] ^ (crc >> 8U);
    }
    return ~crc;
}

PictureHead png_head(Bytes bytes) {
    PictureHead head{.kind = PictureKind::png, .whole = false};
    std::size_t at = 8;
    while (at + 12 <= bytes.size()) {
        const std::size_t length = big_endian(bytes, at);
        if (length > bytes.size() - at - 12 ||
            crc_of(bytes.subspan(at + 4, length + 4)) != big_endian(bytes, at + 8 + length)) {
            return head;
        }
        const Bytes data = bytes.subspan(at + 8, length);
        if (begins(bytes, at + 4, "IHDR", 4) && length >= 8) {
            head.width = big_endian(data, 0);
            head.height = big_endian(data, 4);
        } else if (begins(bytes, at + 4, "eXIf", 4)) {
            head.orientation = read_tiff_head(data).orientation;
        } else if (begins(bytes, at + 4, "IEND", 4)) {
            head.whole = head.width > 0 && head.height > 0;
            return head;
        }
        at += length + 12;
    }
    return head;
}

void webp_chunk(Bytes chunk, std::size_t at, std::size_t length, PictureHead& head) {
    const std::size_t data = at + 8;
    if (begins(chunk, at, "VP8X", 4) && length >= 10) {
        head.width = 1 + little_endian(chunk, data + 4, 3);
        head.height = 1 + little_endian(chunk, data + 7, 3);
    } else if (begins(chunk, at, "VP8 ", 4) && length >= 10 && head.width == 0) {
        head.width = little_endian(chunk, data + 6, 2) & 0x3FFFU;
        head.height = little_endian(chunk, data + 8, 2) & 0x3FFFU;
    } else if (begins(chunk, at, "VP8L", 4) && length >= 5 && head.width == 0) {
        const std::uint32_t bits = little_endian(chunk, data + 1, 4);
        head.width = 1 + (bits & 0x3FFFU);
        head.height = 1 + (bits >> 14U & 0x3FFFU);
    } else if (begins(chunk, at, "EXIF", 4)) {
        Bytes block = chunk.subspan(data, length);
        if (begins(block, 0, "Exif\0\0", 6)) {
            block = block.subspan(6);
        }
        head.orientation = read_tiff_head(block).orientation;
    }
}

PictureHead webp_head(Bytes bytes) {
    PictureHead head{.kind = PictureKind::webp};
    const std::size_t end = std::size_t{8} + little_endian(bytes, 4, 4);
    head.whole = bytes.size() + 1 >= end;  // the last byte may be padding that was not written
    std::size_t at = 12;
    while (at + 8 <= bytes.size()) {
        const std::size_t length = little_endian(bytes, at + 4, 4);
        if (length > bytes.size() - at - 8) {
            head.whole = false;
            break;
        }
        webp_chunk(bytes, at, length, head);
        at += 8 + length + length % 2;
    }
    return head;
}

}  // namespace

PictureHead read_picture_head(Bytes bytes) {
    if (begins(bytes, 0, "\xFF\xD8\xFF", 3)) {
        return {.kind = PictureKind::jpeg};
    }
    if (begins(bytes, 0, "\x89PNG\r\n\x1A\n", 8)) {
        return png_head(bytes);
    }
    if (begins(bytes, 0, "II*\0", 4) || begins(bytes, 0, "MM\0*", 4)) {
        const TiffHead tiff = read_tiff_head(bytes);
        return {.kind = PictureKind::tiff,
                .width = tiff.width,
                .height = tiff.height,
                .whole = tiff.width > 0 && tiff.height > 0};
    }
    if (begins(bytes, 0, "RIFF", 4) && begins(bytes, 8, "WEBP", 4) && bytes.size() >= 20) {
        return webp_head(bytes);
    }
    return {};
}

}  // namespace etchback::copper::eye::detail
