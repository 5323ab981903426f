// Tables of samples, read in blocks of bytes. Rows of the expected shape take a short way; whatever
// else a row holds is looked at field by field.
#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <cstring>
#include <limits>

#include "base/text.h"
#include "bench/detail/block_out.h"
#include "bench/detail/csv_shape.h"
#include "bench/detail/sampler.h"

namespace etchback::bench::detail {
namespace {

constexpr std::size_t kBytes = 1 << 18;
constexpr double kMissing = std::numeric_limits<double>::quiet_NaN();

class CsvStream {
public:
    CsvStream(CsvShape shape, std::string name, const ReadOptions& options, const BlockSink& sink)
        : shape_(std::move(shape)), name_(std::move(name)), options_(options) {
        for (const ChannelHead& head : shape_.channels) {
            wave_.channels.push_back({head, {}, 0.0, 0.0, false});
        }
        out_.emplace(wave_, sink);
        line_ = shape_.first_line - 1;
        roles_.assign(std::max(shape_.fields, shape_.wanted.back() + 1), -2);
        for (std::size_t k = 0; k < shape_.wanted.size(); ++k) {
            roles_[shape_.wanted[k]] = static_cast<int>(k);
        }
        if (shape_.time) {
            roles_[*shape_.time] = -1;
        }
        last_ = shape_.wanted.back();
        values_.resize(shape_.wanted.size());
        scale_.reserve(values_.size());
        for (const ChannelHead& head : shape_.channels) {
            scale_.push_back(head.scale);
        }
    }

    // The spacing, from the first rows.
    bool learn_clock(std::string_view beginning);

    // Takes the lines that are complete; returns how many bytes that were.
    std::size_t take(char* from, std::size_t size, bool whole);

    bool failed() const { return !errors_.empty(); }
    base::Result<Waveform> finish();

private:
    bool quick_row(const char* at, const char* end);
    bool slow_row(std::string_view line);
    void row_done();
    void complain(int column, std::string what, std::string todo) {
        errors_.push_back({{name_, line_, column}, std::move(what), std::move(todo)});
    }

    CsvShape shape_;
    std::string name_;
    ReadOptions options_;
    Waveform wave_;
    std::optional<BlockOut> out_;
    std::vector<int> roles_;  // of each field: channel, -1 the time, -2 nothing
    std::vector<double> values_, scale_;
    std::size_t last_ = 0;
    double time_ = 0.0;
    Clock clock_{0.0, 0.0};
    int line_ = 0;
    std::size_t odd_rows_ = 0;
    base::Errors errors_;
};

bool CsvStream::learn_clock(std::string_view text) {
    if (!shape_.time) {
        return true;
    }
    std::vector<double> times;
    double resolution = 1e308, relative = 1e308;
    std::size_t at = 0;
    while (at < text.size() && times.size() < 2000) {
        const std::size_t end = std::min(text.find_first_of("\r\n", at), text.size());
        const auto fields = split(text.substr(at, end - at), shape_.delimiter);
        double t = 0.0;
        if (*shape_.time < fields.size() &&
            parse_field(fields[*shape_.time], shape_.decimal_comma, t) == Field::number) {
            times.push_back(t * shape_.time_scale);
            std::string_view digits = base::trimmed(fields[*shape_.time]);
            if (!digits.empty() && digits.back() == '"') {
                digits.remove_suffix(1);
            }
            const Resolution last = resolution_of(digits);
            double& least = last.relative ? relative : resolution;
            least = std::min(least, last.relative ? last.digit : last.digit * shape_.time_scale);
        }
        at = end + 1;
    }
    if (times.size() < 2) {
        complain(0, "there is only one sample", "save a longer waveform");
        return false;
    }
    std::vector<double> steps;
    for (std::size_t i = 1; i < times.size(); ++i) {
        steps.push_back(times[i] - times[i - 1]);
    }
    const auto middle = steps.begin() + static_cast<std::ptrdiff_t>(steps.size() / 2);
    std::nth_element(steps.begin(), middle, steps.end());
    double dt = *middle;
    if (dt <= 3.0 * (resolution < 1e300
                         ? resolution
                         : relative * std::abs(times.back()))) {  // steps say little by themselves
        dt = (times.back() - times.front()) / static_cast<double>(times.size() - 1);
    }
    if (!(dt > 0.0)) {
        line_ = shape_.first_line;
        complain(static_cast<int>(*shape_.time) + 1,
                 "the times do not rise",
                 "export the time with more digits, or say the sample rate");
        return false;
    }
    clock_ = Clock(resolution < 1e300 ? resolution : 0.0, relative < 1e300 ? relative : 0.0);
    clock_.expect(dt);
    return true;
}

bool CsvStream::quick_row(const char* at, const char* end) {
    const char delimiter = shape_.delimiter;
    for (std::size_t field = 0;; ++field) {
        const int role = roles_[field];
        if (role == -2) {
            if (delimiter == ' ') {
                return false;
            }
            at = static_cast<const char*>(
                std::memchr(at, delimiter, static_cast<std::size_t>(end - at)));
            if (at == nullptr) {
                return false;
            }
            ++at;
            continue;
        }
        while (at != end && *at == ' ') {
            ++at;
        }
        if (at != end && *at == '+') {
            ++at;
        }
        double value = 0.0;
        const auto [after, error] = std::from_chars(at, end, value);
        if (error != std::errc() || !(std::abs(value) < 1e300)) {
            return false;
        }
        if (role == -1) {
            time_ = value;
        } else {
            values_[static_cast<std::size_t>(role)] = value;
        }
        at = after;
        if (field == last_) {
            return at == end || *at == delimiter || (*at == ' ' && at + 1 == end);
        }
        if (at == end || (*at != delimiter && !(delimiter == ' ' && *at == '\t'))) {
            return false;
        }
        ++at;
    }
}

bool CsvStream::slow_row(std::string_view line) {
    const auto fields = split(line, shape_.delimiter);
    bool any = false;
    for (std::size_t field = 0; field <= last_; ++field) {
        const int role = roles_[field];
        if (role == -2) {
            continue;
        }
        if (field >= fields.size()) {
            if (role >= 0) {
                values_[static_cast<std::size_t>(role)] = kMissing;
            } else {
                complain(
                    static_cast<int>(field) + 1, "the row is too short", "export the file again");
                return false;
            }
            continue;
        }
        double value = 0.0;
        // Decimal commas are points already.
        const Field kind = parse_field(fields[field], false, value);
        if (kind == Field::words || (role == -1 && kind != Field::number)) {
            complain(static_cast<int>(fields[field].data() - line.data()) + 1,
                     "'" + std::string(base::trimmed(fields[field]).substr(0, 40)) +
                         (role == -1 ? "' is no time" : "' is no number"),
                     role == -1 ? "write the time in seconds, or leave the column out and say the "
                                  "sample rate"
                                : "leave the field empty where a sample is missing");
            return false;
        }
        any = any || kind == Field::number;
        if (role == -1) {
            time_ = value;
        } else {
            values_[static_cast<std::size_t>(role)] = value;
            if (kind == Field::over_range) {
                wave_.channels[static_cast<std::size_t>(role)].over_range = true;
            }
        }
    }
    (void)any;
    return true;
}

void CsvStream::row_done() {
    if (shape_.time) {
        std::string why;
        const std::size_t gap = clock_.step(time_ * shape_.time_scale, why);
        if (!why.empty()) {
            complain(static_cast<int>(*shape_.time) + 1,
                     std::move(why),
                     "export samples at one fixed interval");
            return;
        }
        for (std::size_t i = 0; i < gap; ++i) {
            double* row = out_->row();
            std::fill(row, row + values_.size(), kMissing);
            out_->done(row);
        }
    }
    double* row = out_->row();
    for (std::size_t k = 0; k < values_.size(); ++k) {
        row[k] = values_[k] * scale_[k];
    }
    out_->done(row);
}

std::size_t CsvStream::take(char* from, std::size_t size, bool whole) {
    if (shape_.decimal_comma) {
        std::replace(from, from + size, ',', '.');
    }
    const char* at = from;
    const char* const stop = from + size;
    while (at != stop && errors_.empty()) {
        const char* end =
            static_cast<const char*>(std::memchr(at, '\n', static_cast<std::size_t>(stop - at)));
        const bool last = end == nullptr;
        if (last) {
            if (!whole) {
                break;
            }
            end = stop;
        }
        ++line_;
        const char* line_end = end;
        while (line_end != at && (line_end[-1] == '\r')) {
            --line_end;
        }
        if (line_end != at) {
            if (quick_row(at, line_end)) {
                row_done();
            } else {
                const std::string_view line(at, static_cast<std::size_t>(line_end - at));
                if (!base::trimmed(line).empty() && slow_row(line)) {
                    row_done();
                }
            }
        }
        at = last ? stop : end + 1;
    }
    return static_cast<std::size_t>(at - from);
}

base::Result<Waveform> CsvStream::finish() {
    if (errors_.empty() && out_->rows() < 4) {
        complain(
            0, fmt::format("there are only {} samples", out_->rows()), "save a longer waveform");
    }
    if (!errors_.empty()) {
        return errors_;
    }
    out_->finish();
    wave_.how = shape_.how;
    for (std::size_t k = 0; k < wave_.channels.size(); ++k) {
        if (wave_.channels[k].least > wave_.channels[k].largest) {
            line_ = 0;
            complain(0,
                     "channel '" + wave_.channels[k].name + "' has no samples at all",
                     "leave the column out, or export it again");
            return errors_;
        }
    }
    if (options_.rate_hz) {
        wave_.dt_s = 1.0 / *options_.rate_hz;
        wave_.how.push_back("The sample rate is what was said, not what the file says.");
    } else if (shape_.time) {
        wave_.dt_s = clock_.dt_s();
        wave_.time_jitter_s = clock_.jitter_s();
        wave_.how.push_back(fmt::format("The time is field {}.", *shape_.time + 1));
    } else if (shape_.dt_s && *shape_.dt_s > 0.0) {
        wave_.dt_s = *shape_.dt_s;
        wave_.how.push_back("The sample interval is that of the file's head.");
    } else {
        line_ = shape_.first_line;
        complain(0,
                 "there is no time: neither a column of times nor a sample rate",
                 "say the sample rate, or add a column 'time (s)'");
        return errors_;
    }
    wave_.start_s = shape_.time ? clock_.start_s() : shape_.start_s.value_or(0.0);
    return std::move(wave_);
}

}  // namespace

base::Result<Waveform> stream_csv(const std::filesystem::path& path,
                                  const ReadOptions& options,
                                  const BlockSink& sink) {
    const std::string name = path.filename().string();
    InFile file(path);
    std::vector<char> buffer(kBytes);
    std::size_t have = file.read(buffer.data(), buffer.size());
    bool whole = have < buffer.size();
    auto shape = shape_of({buffer.data(), have}, whole, name);
    if (!shape) {
        return shape.errors();
    }
    const std::size_t skip = (*shape).skip_bytes;
    // Lines that end in CR alone become ordinary ones.
    const std::string_view body(buffer.data() + skip, have - skip);
    const bool cr_alone =
        body.find('\n') == std::string_view::npos && body.find('\r') != std::string_view::npos;
    const auto mend = [&](char* from, std::size_t size) {
        if (cr_alone) {
            std::replace(from, from + size, '\r', '\n');
        }
    };
    CsvStream stream(*std::move(shape), name, options, sink);
    if (!stream.learn_clock(body)) {
        return stream.finish();
    }
    std::memmove(buffer.data(), buffer.data() + skip, have - skip);
    have -= skip;
    mend(buffer.data(), have);
    while (!stream.failed()) {
        const std::size_t used = stream.take(buffer.data(), have, whole);
        if (whole || stream.failed()) {
            break;
        }
        if (used == 0 && have == buffer.size()) {
            return base::Error{
                {name, 0, 0}, "a line is longer than 256 kB", "export the samples one row a line"};
        }
        std::memmove(buffer.data(), buffer.data() + used, have - used);
        have -= used;
        const std::size_t got = file.read(buffer.data() + have, buffer.size() - have);
        mend(buffer.data() + have, got);
        whole = got == 0;
        have += got;
    }
    return stream.finish();
}

}  // namespace etchback::bench::detail
