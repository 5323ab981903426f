#include "bench/detail/sampler.h"

#include <fmt/format.h>

#include <algorithm>

namespace etchback::bench::detail {

std::size_t Clock::step(double t_s, std::string& why) {
    if (rows_ == 0) {
        first_s_ = last_s_ = stretch_s_ = t_s;
        rows_ = 1;
        return 0;
    }
    const double step = t_s - last_s_;
    resolution_s_ = written_s_ + relative_ * std::abs(t_s);
    const double tolerance = 0.3 * dt_s_ + 2.0 * resolution_s_;
    std::size_t leap = 1;
    if (step < -0.5 * resolution_s_ && step < -0.3 * dt_s_) {
        why = "the time goes back";
        return 0;
    }
    if (std::abs(step - dt_s_) > tolerance) {
        const double ratio = std::round(step / dt_s_);
        if (!(ratio >= 2.0) || ratio > 1e6 || std::abs(step - ratio * dt_s_) > tolerance) {
            why = fmt::format(
                "a step of {:.6g} s where the others are {:.6g} s: the samples are not evenly "
                "spaced",
                step,
                dt_s_);
            return 0;
        }
        leap = static_cast<std::size_t>(ratio);
    } else {
        ++steps_;
        sum_ += step;
        squares_ += (step - dt_s_) * (step - dt_s_);
    }
    last_s_ = t_s;
    rows_ += leap;
    stretch_rows_ += leap;
    if (stretch_rows_ >= 1024) {
        const double mean = (t_s - stretch_s_) / static_cast<double>(stretch_rows_);
        const bool first = least_mean_ == 0.0;
        least_mean_ = first ? mean : std::min(least_mean_, mean);
        largest_mean_ = first ? mean : std::max(largest_mean_, mean);
        const double slack =
            0.02 * dt_s_ + 2.0 * resolution_s_ / static_cast<double>(stretch_rows_);
        if (largest_mean_ - least_mean_ > slack) {
            why = fmt::format("the spacing of the samples changes from {:.6g} s to {:.6g} s",
                              least_mean_,
                              largest_mean_);
        }
        stretch_rows_ = 0;
        stretch_s_ = t_s;
    }
    return leap - 1;
}

double Clock::jitter_s() const {
    if (steps_ < 2) {
        return 0.0;
    }
    const double n = static_cast<double>(steps_);
    const double off = sum_ / n - dt_s_;
    return std::sqrt(std::max(0.0, squares_ / n - off * off) / 2.0);
}

Resolution resolution_of(std::string_view text) {
    const std::size_t e = text.find_first_of("eE");
    const std::string_view digits = text.substr(0, e);
    const std::size_t point = digits.find_first_of(".,");
    const int decimals =
        point == std::string_view::npos ? 0 : static_cast<int>(digits.size() - point - 1);
    return {std::pow(10.0, -decimals), e != std::string_view::npos};
}

}  // namespace etchback::bench::detail
