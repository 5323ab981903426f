// The shape of a table of samples, found out from its beginning.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/error.h"
#include "bench/waveform.h"

namespace etchback::bench::detail {

struct CsvShape {
    char delimiter = ',';  // ' ' stands for any run of spaces and tabs
    bool decimal_comma = false;
    std::size_t skip_bytes = 0;       // before the first row of samples
    int first_line = 1;               // its number
    std::size_t fields = 0;           // of a row
    std::vector<std::size_t> wanted;  // fields that hold the channels' samples, ascending
    std::optional<std::size_t> time;  // the field that holds the time
    double time_scale = 1.0;
    std::optional<double> dt_s;  // as the file's head says
    std::optional<double> start_s;
    std::vector<ChannelHead> channels;
    std::vector<std::string> how;
};

// `beginning` holds the first bytes of the file; `whole` if there are no others.
base::Result<CsvShape> shape_of(std::string_view beginning, bool whole, const std::string& file);

// A number as tables have it, or that a sample is missing.
enum class Field { number, missing, over_range, words };
Field parse_field(std::string_view text, bool decimal_comma, double& value);
std::vector<std::string_view> split(std::string_view line, char delimiter);

}  // namespace etchback::bench::detail
