#include "copper/eye/detail/label_pixels.h"

#include <algorithm>
#include <atomic>
#include <cstdint>
#include <limits>
#include <opencv2/core/hal/intrin.hpp>

#include "copper/eye/detail/each_row.h"

namespace etchback::copper::eye::detail {

namespace {

// A row of labels, four at once, as renumber() makes them.
class Renumbering {
public:
    explicit Renumbering(int by) : by_(by), four_(cv::v_setall_s32(by)) {}

    int one(int label) const { return label < 0 ? -1 : label + by_; }
    cv::v_int32x4 four(const int* labels) const {
        const cv::v_int32x4 label = cv::v_load(labels);
        return cv::v_select(label > none_, label + four_, none_);
    }

private:
    int by_;
    cv::v_int32x4 four_;
    cv::v_int32x4 none_ = cv::v_setall_s32(-1);
};

}  // namespace

void renumber(const cv::Mat& labels, int by, cv::Mat& out) {
    const Renumbering made(by);
    out.create(labels.size(), CV_32S);
    for_each_row(labels.rows, [&](int y) {
        const int* from = labels.ptr<int>(y);
        int* to = out.ptr<int>(y);
        int x = 0;
        for (; x + 4 <= labels.cols; x += 4) {
            cv::v_store(to + x, made.four(from + x));
        }
        for (; x < labels.cols; ++x) {
            to[x] = made.one(from[x]);
        }
    });
}

bool is_renumbered(const cv::Mat& labels, int by, const cv::Mat& out) {
    const Renumbering made(by);
    if (labels.size() != out.size()) {
        return false;
    }
    std::atomic<bool> all = true;
    for_each_row(labels.rows, [&](int y) {
        if (!all) {
            return;
        }
        const int* from = labels.ptr<int>(y);
        const int* to = out.ptr<int>(y);
        cv::v_int32x4 differs = cv::v_setzero_s32();
        int x = 0;
        for (; x + 4 <= labels.cols; x += 4) {
            differs |= made.four(from + x) ^ cv::v_load(to + x);
        }
        bool same = !cv::v_check_any(differs != cv::v_setzero_s32());
        for (; x < labels.cols; ++x) {
            same = same && to[x] == made.one(from[x]);
        }
        if (!same) {
            all = false;
        }
    });
    return all;
}

cv::Mat first_pieces(const cv::Mat& labels, int count) {
    const cv::v_int32x4 none = cv::v_setall_s32(-1);
    const cv::v_int32x4 end = cv::v_setall_s32(count);
    cv::Mat out(labels.size(), CV_32S);
    for_each_row(labels.rows, [&](int y) {
        const int* from = labels.ptr<int>(y);
        int* to = out.ptr<int>(y);
        int x = 0;
        for (; x + 4 <= labels.cols; x += 4) {
            const cv::v_int32x4 label = cv::v_load(from + x);
            cv::v_store(to + x, cv::v_select(label < end, label, none));
        }
        for (; x < labels.cols; ++x) {
            to[x] = from[x] < count ? from[x] : -1;
        }
    });
    return out;
}

cv::Mat pieces_below(const cv::Mat& labels, int count) {
    const cv::v_int32x4 none = cv::v_setall_s32(-1);
    const cv::v_int32x4 end = cv::v_setall_s32(count);
    cv::Mat out(labels.size(), CV_8U);
    for_each_row(labels.rows, [&](int y) {
        const int* label = labels.ptr<int>(y);
        auto* to = out.ptr<std::uint8_t>(y);
        const auto four = [&](int x) {
            const cv::v_int32x4 own = cv::v_load(label + x);
            return (own > none) & (own < end);
        };
        int x = 0;
        for (; x + 16 <= labels.cols; x += 16) {
            const cv::v_int16x8 first = cv::v_pack(four(x), four(x + 4));
            const cv::v_int16x8 second = cv::v_pack(four(x + 8), four(x + 12));
            cv::v_store(to + x, cv::v_reinterpret_as_u8(cv::v_pack(first, second)));
        }
        for (; x < labels.cols; ++x) {
            to[x] = label[x] >= 0 && label[x] < count ? 255 : 0;
        }
    });
    return out;
}

void keep_where(const cv::Mat& level, int least, cv::Mat& labels) {
    const cv::v_int32x4 none = cv::v_setall_s32(-1);
    const cv::v_uint8x16 enough = cv::v_setall_u8(static_cast<std::uint8_t>(least));
    const auto keep = [&](int* label, const cv::v_int32x4& stays) {
        cv::v_store(label, cv::v_select(stays, cv::v_load(label), none));
    };
    for_each_row(labels.rows, [&](int y) {
        const auto* at = level.ptr<std::uint8_t>(y);
        int* label = labels.ptr<int>(y);
        int x = 0;
        for (; x + 16 <= labels.cols; x += 16) {
            cv::v_int16x8 half[2];
            cv::v_expand(cv::v_reinterpret_as_s8(cv::v_load(at + x) >= enough), half[0], half[1]);
            for (int k = 0; k < 2; ++k) {
                cv::v_int32x4 stays[2];
                cv::v_expand(half[k], stays[0], stays[1]);
                keep(label + x + 8 * k, stays[0]);
                keep(label + x + 8 * k + 4, stays[1]);
            }
        }
        for (; x < labels.cols; ++x) {
            label[x] = at[x] >= least ? label[x] : -1;
        }
    });
}

std::pair<int, int> first_and_last(const cv::Mat& labels) {
    constexpr int high = std::numeric_limits<int>::max();
    const cv::v_int32x4 none = cv::v_setall_s32(-1);
    const cv::v_int32x4 highest = cv::v_setall_s32(high);
    std::vector<std::pair<int, int>> of_rows(static_cast<std::size_t>(labels.rows));
    for_each_row(labels.rows, [&](int y) {
        cv::v_int32x4 first = highest;
        cv::v_int32x4 last = none;
        const auto look_at = [&](const cv::v_int32x4& label) {
            first = cv::v_min(first, cv::v_select(label > none, label, highest));
            last = cv::v_max(last, label);
        };
        const int* row = labels.ptr<int>(y);
        int x = 0;
        for (; x + 4 <= labels.cols; x += 4) {
            look_at(cv::v_load(row + x));
        }
        for (; x < labels.cols; ++x) {
            look_at(cv::v_setall_s32(row[x]));
        }
        of_rows[static_cast<std::size_t>(y)] = {cv::v_reduce_min(first), cv::v_reduce_max(last)};
    });
    std::pair<int, int> all(high, -1);
    for (const auto& [first, last] : of_rows) {
        all = {std::min(all.first, first), std::max(all.second, last)};
    }
    return all;
}

std::vector<int> pixels_of_each(const cv::Mat& labels, int count) {
    std::vector<int> pixels(static_cast<std::size_t>(count), 0);
    for (int y = 0; y < labels.rows; ++y) {
        const int* row = labels.ptr<int>(y);
        for (int x = 0; x < labels.cols;) {
            const int from = x;
            const int label = row[from];
            while (x < labels.cols && row[x] == label) {
                ++x;
            }
            if (label >= 0 && label < count) {
                pixels[static_cast<std::size_t>(label)] += x - from;
            }
        }
    }
    return pixels;
}

}  // namespace etchback::copper::eye::detail
