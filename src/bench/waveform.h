// Recorded waveforms: tables of samples as oscilloscopes, loggers and spreadsheets write them, and
// WAV files.
//
// Of a table (CSV) the reader finds out by itself: byte-order mark, line ends, the delimiter
// (comma, semicolon, tab, spaces), decimal point or comma, how many lines of words stand before the
// samples, what the columns are called, their units (behind the name, or in a row of their own),
// which column is the time, and notes such as `Sample Interval,2e-6` or `Scale factor,100`. Empty
// fields and `NaN`, `---`, `OL` are missing samples; where the time leaps over samples, these are
// missing, too. The samples must be equally spaced in time.
//
// Whatever does not fit is refused with line, column, reason and remedy. A file is read once, from
// front to back, in blocks: `stream_waveform` needs the same memory for any length.
#pragma once

#include <filesystem>
#include <functional>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "base/error.h"
#include "base/quantity.h"

namespace etchback::bench {

struct ReadOptions {
    std::optional<double> rate_hz;  // where the file does not say it; overrules the file
    bool operator==(const ReadOptions&) const = default;
};

struct ChannelHead {
    std::string name;                    // as the file calls it, else "column 2", "channel 1"
    base::Unit unit = base::Unit::none;  // none: the file does not say
    double scale = 1.0;  // what its numbers are multiplied with: prefix of the unit, scale factor
    bool operator==(const ChannelHead&) const = default;
};

// Samples in SI units, in the file's order; not-a-number where one is missing.
struct Channel : ChannelHead {
    std::vector<double> value;
    double least = 0.0, largest = 0.0;  // of all samples of the file
    bool over_range = false;            // the file itself says that samples were beyond its range
};

struct Waveform {
    double start_s = 0.0;  // time of the first sample
    double dt_s = 0.0;
    std::vector<Channel> channels;
    std::size_t missing = 0;       // samples
    std::size_t merged = 1;        // so many samples of the file are the mean that stands here
    double time_jitter_s = 0.0;    // RMS of the written times about an even spacing
    std::vector<std::string> how;  // what was found out, in sentences: for the person to check

    std::size_t size() const { return channels.empty() ? 0 : channels.front().value.size(); }
};

// `rows` samples of every channel, row by row.
using BlockSink = std::function<void(std::span<const double> values, std::size_t rows)>;

// Reads all samples in blocks. The result is as of `read_waveform`, without the values.
base::Result<Waveform> stream_waveform(const std::filesystem::path& file,
                                       const ReadOptions& options,
                                       const BlockSink& sink);

// The same into memory. Where there are more than `most_values` numbers, neighbouring samples are
// averaged (`merged`); least and largest are of all.
base::Result<Waveform> read_waveform(const std::filesystem::path& file,
                                     const ReadOptions& options = {},
                                     std::size_t most_values = 8'000'000);

}  // namespace etchback::bench
