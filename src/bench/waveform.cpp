#include "bench/waveform.h"

#include <fmt/format.h>

#include <cerrno>
#include <cmath>
#include <cstdio>
#include <cstring>
#include <limits>

#include "base/file.h"
#include "bench/detail/block_out.h"

namespace etchback::bench {
namespace detail {

InFile::InFile(const std::filesystem::path& path)
    : name_(path.string()), file_(std::fopen(path.c_str(), "rb")) {
    if (file_ == nullptr) {
        throw base::FileError("cannot read " + name_ + ": " + std::strerror(errno));
    }
    std::setvbuf(static_cast<std::FILE*>(file_), nullptr, _IONBF, 0);
}
InFile::~InFile() {
    std::fclose(static_cast<std::FILE*>(file_));
}
std::size_t InFile::read(char* to, std::size_t most) {
    std::size_t have = 0;
    while (have < most) {
        const std::size_t got =
            std::fread(to + have, 1, most - have, static_cast<std::FILE*>(file_));
        if (got == 0) {
            if (std::ferror(static_cast<std::FILE*>(file_)) != 0) {
                throw base::FileError("cannot read " + name_ + ": " + std::strerror(errno));
            }
            break;
        }
        have += got;
    }
    return have;
}

}  // namespace detail

namespace {

bool is_riff(const std::filesystem::path& path) {
    detail::InFile file(path);
    char head[4] = {};
    return file.read(head, 4) == 4 && std::memcmp(head, "RIFF", 4) == 0;
}

// Keeps at most so many values: when full, neighbours are averaged, and from then on so many
// samples make one.
class Keeper {
public:
    explicit Keeper(std::size_t most) : most_(most) {}

    void take(std::span<const double> values, std::size_t rows) {
        const std::size_t n = values.size() / rows;
        if (kept_.empty()) {
            kept_.resize(n);
            sum_.assign(n, 0.0);
            count_.assign(n, 0);
        }
        for (std::size_t i = 0; i < rows; ++i) {
            for (std::size_t k = 0; k < n; ++k) {
                const double value = values[i * n + k];
                if (!std::isnan(value)) {
                    sum_[k] += value;
                    ++count_[k];
                }
            }
            if (++in_mean_ == merged_) {
                push();
            }
        }
    }
    std::vector<std::vector<double>>& kept() { return kept_; }
    std::size_t merged() const { return merged_; }

private:
    static double mean(double sum, std::size_t count) {
        return count > 0 ? sum / static_cast<double>(count)
                         : std::numeric_limits<double>::quiet_NaN();
    }
    void push() {
        for (std::size_t k = 0; k < kept_.size(); ++k) {
            kept_[k].push_back(mean(sum_[k], count_[k]));
            sum_[k] = 0.0;
            count_[k] = 0;
        }
        in_mean_ = 0;
        if (kept_.front().size() * kept_.size() >= most_ && kept_.front().size() % 2 == 0) {
            halve();
        }
    }
    void halve() {
        for (std::vector<double>& channel : kept_) {
            for (std::size_t i = 0; 2 * i + 1 < channel.size(); ++i) {
                const double a = channel[2 * i], b = channel[2 * i + 1];
                channel[i] = std::isnan(a) ? b : std::isnan(b) ? a : 0.5 * (a + b);
            }
            channel.resize(channel.size() / 2);
        }
        merged_ *= 2;
    }

    std::size_t most_, merged_ = 1, in_mean_ = 0;
    std::vector<std::vector<double>> kept_;
    std::vector<double> sum_;
    std::vector<std::size_t> count_;
};

}  // namespace

base::Result<Waveform> stream_waveform(const std::filesystem::path& file,
                                       const ReadOptions& options,
                                       const BlockSink& sink) {
    return is_riff(file) ? detail::stream_wav(file, options, sink)
                         : detail::stream_csv(file, options, sink);
}

base::Result<Waveform> read_waveform(const std::filesystem::path& file,
                                     const ReadOptions& options,
                                     std::size_t most_values) {
    Keeper keeper(most_values);
    auto wave =
        stream_waveform(file, options, [&](std::span<const double> values, std::size_t rows) {
            keeper.take(values, rows);
        });
    if (!wave) {
        return wave;
    }
    Waveform& result = *wave;
    for (std::size_t k = 0; k < result.channels.size(); ++k) {
        result.channels[k].value = std::move(keeper.kept()[k]);
    }
    result.merged = keeper.merged();
    if (result.merged > 1) {
        result.start_s += 0.5 * static_cast<double>(result.merged - 1) * result.dt_s;
        result.dt_s *= static_cast<double>(result.merged);
        result.how.push_back(fmt::format("The file is long: {} samples make one.", result.merged));
    }
    return wave;
}

}  // namespace etchback::bench
