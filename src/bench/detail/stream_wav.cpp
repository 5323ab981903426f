// WAV: RIFF chunks of little-endian numbers (Multimedia Programming Interface and Data
// Specifications 1.0, IBM and Microsoft 1991; layout from memory). A full scale of whole numbers
// becomes 1.
#include <fmt/format.h>

#include <array>
#include <cstdint>
#include <cstring>

#include "bench/detail/block_out.h"

namespace etchback::bench::detail {
namespace {

std::uint32_t u32(const char* p) {
    const auto* b = reinterpret_cast<const unsigned char*>(p);
    return b[0] | static_cast<std::uint32_t>(b[1]) << 8 | static_cast<std::uint32_t>(b[2]) << 16 |
           static_cast<std::uint32_t>(b[3]) << 24;
}
unsigned u16(const char* p) {
    const auto* b = reinterpret_cast<const unsigned char*>(p);
    return b[0] | static_cast<unsigned>(b[1]) << 8;
}

double sample(const char* p, unsigned bits, bool floating) {
    if (floating && bits == 64) {
        double value = 0.0;
        std::memcpy(&value, p, 8);
        return value;
    }
    if (floating) {
        float value = 0.0F;
        std::memcpy(&value, p, 4);
        return value;
    }
    const auto* b = reinterpret_cast<const unsigned char*>(p);
    if (bits == 8) {
        return (static_cast<int>(b[0]) - 128) / 128.0;
    }
    std::uint32_t raw = 0;
    for (unsigned i = 0; i < bits / 8; ++i) {
        raw |= static_cast<std::uint32_t>(b[i]) << (32 - bits + 8 * i);
    }
    return static_cast<double>(static_cast<std::int32_t>(raw)) / 2147483648.0;
}

}  // namespace

base::Result<Waveform> stream_wav(const std::filesystem::path& path,
                                  const ReadOptions& options,
                                  const BlockSink& sink) {
    const std::string name = path.filename().string();
    const auto refuse = [&](const char* what, const char* todo) {
        return base::Error{{name, 0, 0}, what, todo};
    };
    InFile file(path);
    std::array<char, 12> head{};
    if (file.read(head.data(), 12) < 12 || std::memcmp(head.data() + 8, "WAVE", 4) != 0) {
        return refuse("this is no WAV file: RIFF is there, WAVE is not", "export it again");
    }
    unsigned channels = 0, bits = 0, format = 0;
    std::uint32_t rate = 0;
    std::array<char, 8> chunk{};
    while (file.read(chunk.data(), 8) == 8) {
        std::uint64_t size = u32(chunk.data() + 4);
        if (std::memcmp(chunk.data(), "data", 4) != 0) {
            size += size % 2;
            std::vector<char> bytes(std::min<std::uint64_t>(size, 1 << 16));
            std::uint64_t left = size;
            const bool is_format = std::memcmp(chunk.data(), "fmt ", 4) == 0;
            while (left > 0) {
                const std::size_t got =
                    file.read(bytes.data(), std::min<std::uint64_t>(left, bytes.size()));
                if (got == 0) {
                    return refuse("the file ends within its head", "copy it again");
                }
                if (is_format && left == size && got >= 16) {
                    format = u16(bytes.data());
                    channels = u16(bytes.data() + 2);
                    rate = u32(bytes.data() + 4);
                    bits = u16(bytes.data() + 14);
                    if (format == 0xFFFE && got >= 26) {
                        format = u16(bytes.data() + 24);
                    }
                }
                left -= got;
            }
            continue;
        }
        const bool floating = format == 3;
        const bool known =
            floating ? bits == 32 || bits == 64
                     : format == 1 && (bits == 8 || bits == 16 || bits == 24 || bits == 32);
        if (channels == 0 || channels > 64 || rate == 0) {
            return refuse("the head of the WAV file is missing or empty", "export it again");
        }
        if (!known) {
            return refuse("the samples are compressed or of an odd width",
                          "save it as PCM of 8, 16, 24 or 32 bits, or as floats");
        }
        Waveform wave;
        wave.dt_s = 1.0 / options.rate_hz.value_or(rate);
        for (unsigned k = 0; k < channels; ++k) {
            Channel channel;
            channel.name = fmt::format("channel {}", k + 1);
            wave.channels.push_back(std::move(channel));
        }
        wave.how.push_back(fmt::format("WAV of {} bits{}, {} channels, {} Hz; full scale is 1.",
                                       bits,
                                       floating ? " (floats)" : "",
                                       channels,
                                       rate));
        BlockOut out(wave, sink);
        const std::size_t bytes_each = bits / 8, frame = bytes_each * channels;
        std::vector<char> bytes(frame * 4096);
        std::uint64_t left = size == 0xFFFFFFFF ? UINT64_MAX : size;
        std::size_t have = 0;
        while (left >= frame) {
            const std::size_t got = file.read(
                bytes.data(), std::min<std::uint64_t>(left / frame * frame, bytes.size()));
            have = got / frame;
            for (std::size_t i = 0; i < have; ++i) {
                double* row = out.row();
                for (unsigned k = 0; k < channels; ++k) {
                    row[k] = sample(bytes.data() + i * frame + k * bytes_each, bits, floating);
                }
                out.done(row);
            }
            if (have == 0) {
                break;
            }
            left -= got;
        }
        if (left >= frame && size != 0xFFFFFFFF && size != 0) {
            wave.how.push_back("The file ends before its head says: what is there was read.");
        }
        if (out.rows() < 4) {
            return refuse("there are no samples in it", "record again");
        }
        out.finish();
        return wave;
    }
    return refuse("there are no samples in it", "record again");
}

}  // namespace etchback::bench::detail
