// The clock of a table of samples: whether its times are evenly spaced, and where they leap.
#pragma once

#include <cmath>
#include <optional>
#include <string>
#include <string_view>

namespace etchback::bench::detail {

// Fed with the time of each row. Times are written with few digits, so that single steps differ by
// what rounding does; what counts is that no step and no stretch of 1024 rows is off.
class Clock {
public:
    Clock(double resolution_s, double relative)
        : written_s_(resolution_s), relative_(relative), resolution_s_(resolution_s) {}

    void expect(double dt_s) { dt_s_ = dt_s; }

    // Samples that are missing before this row, or why the time cannot be; then `why` is set.
    std::size_t step(double t_s, std::string& why);

    double start_s() const { return first_s_; }
    double dt_s() const {
        return rows_ > 1 ? (last_s_ - first_s_) / static_cast<double>(rows_ - 1) : 0.0;
    }
    double jitter_s() const;  // RMS of single steps about their mean, over the square root of two

private:
    double written_s_, relative_;  // what rounding does: always, and of numbers with an exponent
    double resolution_s_;
    double dt_s_ = 0.0;
    double first_s_ = 0.0, last_s_ = 0.0, stretch_s_ = 0.0;
    std::size_t rows_ = 0;  // with those that are missing
    std::size_t stretch_rows_ = 0, steps_ = 0;
    double least_mean_ = 0.0, largest_mean_ = 0.0;
    double sum_ = 0.0, squares_ = 0.0;
};

// The last digit written: "0.0012" 1e-4, and of "1.25E-03" that of 1.25, relative to it.
struct Resolution {
    double digit = 0.0;
    bool relative = false;
};
Resolution resolution_of(std::string_view text);

}  // namespace etchback::bench::detail
