// Samples on their way to a sink, in blocks, with what is known of each channel.
#pragma once

#include "bench/waveform.h"

namespace etchback::bench::detail {

class BlockOut {
public:
    BlockOut(Waveform& wave, const BlockSink& sink)
        : wave_(wave), sink_(sink), channels_(wave.channels.size()) {
        block_.reserve(kRows * channels_);
        least_.assign(channels_, 1e308);
        largest_.assign(channels_, -1e308);
    }
    // Where the next row goes; call `done` when it is there.
    double* row() {
        block_.resize(block_.size() + channels_);
        return block_.data() + block_.size() - channels_;
    }
    void done(const double* row) {
        for (std::size_t k = 0; k < channels_; ++k) {
            least_[k] = row[k] < least_[k] ? row[k] : least_[k];
            largest_[k] = row[k] > largest_[k] ? row[k] : largest_[k];
            missing_ += row[k] != row[k];
        }
        ++rows_;
        if (block_.size() >= kRows * channels_) {
            flush();
        }
    }
    void flush() {
        if (!block_.empty()) {
            sink_(block_, block_.size() / channels_);
            block_.clear();
        }
    }
    std::size_t rows() const { return rows_; }
    void finish() {
        flush();
        for (std::size_t k = 0; k < channels_; ++k) {
            wave_.channels[k].least = least_[k];
            wave_.channels[k].largest = largest_[k];
        }
        wave_.missing = missing_;
    }

private:
    static constexpr std::size_t kRows = 4096;
    Waveform& wave_;
    const BlockSink& sink_;
    std::size_t channels_, rows_ = 0, missing_ = 0;
    std::vector<double> block_, least_, largest_;
};

base::Result<Waveform> stream_csv(const std::filesystem::path& file,
                                  const ReadOptions& options,
                                  const BlockSink& sink);
base::Result<Waveform> stream_wav(const std::filesystem::path& file,
                                  const ReadOptions& options,
                                  const BlockSink& sink);

// An open file that throws base::FileError where it cannot be read.
class InFile {
public:
    explicit InFile(const std::filesystem::path& path);
    ~InFile();
    InFile(const InFile&) = delete;
    InFile& operator=(const InFile&) = delete;
    std::size_t read(char* to, std::size_t most);

private:
    std::string name_;
    void* file_;
};

}  // namespace etchback::bench::detail
