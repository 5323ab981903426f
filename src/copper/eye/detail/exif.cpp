#include "copper/eye/detail/exif.h"

#include <cstddef>

namespace etchback::copper::eye::detail {
namespace {

class Numbers {
public:
    Numbers(std::span<const std::uint8_t> block, bool little) : block_(block), little_(little) {}

    // Zero beyond the end: a directory that points out of its block holds nothing.
    std::uint32_t at(std::size_t place, int bytes) const {
        if (place + bytes > block_.size()) {
            return 0;
        }
        std::uint32_t value = 0;
        for (int i = 0; i < bytes; ++i) {
            const int from = little_ ? bytes - 1 - i : i;
            value = value << 8U | block_[place + from];
        }
        return value;
    }

private:
    std::span<const std::uint8_t> block_;
    bool little_;
};

}  // namespace

TiffHead read_tiff_head(std::span<const std::uint8_t> block) {
    TiffHead head;
    if (block.size() < 8 || block[0] != block[1] || (block[0] != 'I' && block[0] != 'M')) {
        return head;
    }
    const Numbers number(block, block[0] == 'I');
    const std::size_t directory = number.at(4, 4);
    const std::uint32_t entries = number.at(directory, 2);
    for (std::uint32_t i = 0; i < entries; ++i) {
        const std::size_t entry = directory + 2 + 12 * static_cast<std::size_t>(i);
        if (entry + 12 > block.size()) {
            break;
        }
        const std::uint32_t type = number.at(entry + 2, 2);
        const std::uint32_t value = number.at(entry + 8, type == 3 ? 2 : 4);
        switch (number.at(entry, 2)) {
            case 0x0100:
                head.width = value;
                break;
            case 0x0101:
                head.height = value;
                break;
            case 0x0112:
                head.orientation = value >= 1 && value <= 8 ? static_cast<int>(value) : 1;
        }
    }
    return head;
}

}  // namespace etchback::copper::eye::detail
