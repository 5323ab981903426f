#include "copper/eye/detail/basins.h"

#include <algorithm>
#include <cstring>
#include <numeric>
#include <opencv2/core/hal/intrin.hpp>
#include <opencv2/imgproc.hpp>
#include <tuple>
#include <utility>

#include "copper/eye/detail/division.h"
#include "copper/eye/detail/each_row.h"
#include "copper/eye/detail/raster_pixels.h"
#include "copper/eye/detail/runs.h"

namespace etchback::copper::eye::detail {

namespace {

constexpr int none = -1;

// The box about all pixels in which two pictures of bytes differ; an empty picture is 0 everywhere.
cv::Rect changed_box(const cv::Mat& a, const cv::Mat& b) {
    if (a.data == b.data) {
        return {};
    }
    const cv::Size size = a.empty() ? b.size() : a.size();
    const std::vector<std::uint8_t> zeros(static_cast<std::size_t>(size.width), 0);
    const auto row = [&](const cv::Mat& picture, int y) {
        return picture.empty() ? zeros.data() : picture.ptr<std::uint8_t>(y);
    };
    int left = size.width;
    int right = 0;
    int top = size.height;
    int bottom = 0;
    for (int y = 0; y < size.height; ++y) {
        const std::uint8_t* p = row(a, y);
        const std::uint8_t* q = row(b, y);
        if (std::memcmp(p, q, zeros.size()) == 0) {
            continue;
        }
        top = std::min(top, y);
        bottom = y + 1;
        // Only beyond what is in the box already.
        left = static_cast<int>(std::mismatch(p, p + left, q).first - p);
        int end = size.width;
        while (end > right && p[end - 1] == q[end - 1]) {
            --end;
        }
        right = end;
    }
    return bottom == 0 ? cv::Rect() : cv::Rect({left, top}, cv::Point(right, bottom));
}

// Averaged levels in which all copper lies above all that is not: joined pixels meet at 128 or
// more.
cv::Mat ordered_levels(const cv::Mat& copper, double blur_px) {
    cv::Mat level;
    cv::GaussianBlur(copper, level, {}, blur_px, blur_px, cv::BORDER_REPLICATE);
    const cv::v_uint8x16 half = cv::v_setall_u8(128);
    const cv::v_uint8x16 below_half = cv::v_setall_u8(127);
    const auto ordered = [&](const cv::v_uint8x16& plain, const cv::v_uint8x16& averaged) {
        // There is no shift of bytes: what comes in from the byte above is masked.
        const auto halved = cv::v_reinterpret_as_u8(cv::v_reinterpret_as_u16(averaged) >> 1);
        return (plain & half) | (halved & below_half);
    };
    for_each_row(level.rows, [&](int y) {
        const auto* p = copper.ptr<std::uint8_t>(y);
        auto* q = level.ptr<std::uint8_t>(y);
        int x = 0;
        for (; x + 16 <= level.cols; x += 16) {
            cv::v_store(q + x, ordered(cv::v_load(p + x), cv::v_load(q + x)));
        }
        for (; x < level.cols; ++x) {
            q[x] = static_cast<std::uint8_t>((p[x] >= 128 ? 128 : 0) + q[x] / 2);
        }
    });
    return level;
}

cv::Mat levels_anew(const cv::Mat& copper, const BasinLimits& limits, const cv::Mat& walls) {
    cv::Mat level = ordered_levels(copper, limits.blur_px);
    if (!walls.empty()) {
        level.setTo(0, walls);
    }
    return level;
}

// The same, taken over from before where copper and walls are the same.
cv::Mat levels_again(const cv::Mat& copper,
                     const BasinLimits& limits,
                     const cv::Mat& walls,
                     const Basins& before) {
    const cv::Rect changed = changed_box(copper, before.copper) | changed_box(walls, before.walls);
    if (changed.empty()) {
        return before.level;
    }
    const int reach = cvCeil(4.0 * limits.blur_px) + 2;  // of the average
    const cv::Rect anew = grown(changed, reach, copper.size());
    const cv::Rect seen = grown(anew, reach, copper.size());
    if (seen.size() == copper.size()) {
        return levels_anew(copper, limits, walls);
    }
    // A copy, so that nothing beyond it is averaged.
    const cv::Mat averaged =
        levels_anew(copper(seen).clone(), limits, walls.empty() ? cv::Mat() : cv::Mat(walls(seen)));
    cv::Mat level = before.level.clone();
    averaged(anew - seen.tl()).copyTo(level(anew));
    return level;
}

// All that hangs together with a pixel whose level changed, before or now.
std::vector<Run> touched(const cv::Mat& before, const cv::Mat& now, int floor) {
    const cv::Rect box = changed_box(before, now);
    if (box.empty()) {
        return {};
    }
    const Pieces areas = pieces_of(cv::max(before, now) >= floor, false);
    std::vector<bool> changed(areas.pixels.size(), false);
    for (const Run& run : areas.runs) {
        if (run.y < box.y || run.y >= box.br().y) {
            continue;
        }
        const auto* row = now.ptr<std::uint8_t>(run.y);
        const auto* row_before = before.ptr<std::uint8_t>(run.y);
        const auto length = static_cast<std::size_t>(run.length());
        if (std::memcmp(row + run.from, row_before + run.from, length) != 0) {
            changed[static_cast<std::size_t>(run.piece)] = true;
        }
    }
    std::vector<Run> runs;
    std::ranges::copy_if(areas.runs, std::back_inserter(runs), [&](const Run& run) {
        return changed[static_cast<std::size_t>(run.piece)];
    });
    return runs;
}

// Basins of before, but for those in some runs, with those that were found anew there.
class Merging {
public:
    Merging(const Basins& before, const std::vector<Run>& runs, Basins& out)
        : before_(before), runs_(runs), out_(out), kept_(before.seeds.size(), true) {
        // A basin hangs together: it lies in the runs as a whole or not at all.
        for (std::size_t i = 0; i < kept_.size(); ++i) {
            kept_[i] = !lies_in_runs(before.seeds[i].first);
        }
    }

    // `anew`: found in the runs, its pictures counting from `corner`.
    void merge(const Division& anew, cv::Point corner) {
        number(anew, corner);
        label(anew, corner);
        for (const Saddle& saddle : before_.saddles) {
            if (kept_[static_cast<std::size_t>(saddle.a)]) {
                add(saddle, name_before_);
            }
        }
        for (Saddle saddle : anew.saddles) {
            saddle.at += corner;
            add(saddle, name_anew_);
        }
        std::ranges::sort(out_.saddles, {}, [](const Saddle& s) { return std::pair(s.a, s.b); });
    }

private:
    bool lies_in_runs(cv::Point p) const {
        const auto next =
            std::ranges::upper_bound(runs_, std::pair(p.y, p.x), {}, [](const Run& run) {
                return std::pair(run.y, run.from);
            });
        return next != runs_.begin() && std::prev(next)->y == p.y && std::prev(next)->to > p.x;
    }

    void number(const Division& anew, cv::Point corner) {
        struct Named {
            Seed seed;
            int before;
            int anew;
        };
        std::vector<Named> all;
        for (std::size_t i = 0; i < kept_.size(); ++i) {
            if (kept_[i]) {
                all.push_back({before_.seeds[i], static_cast<int>(i), none});
            }
        }
        for (std::size_t i = 0; i < anew.seeds.size(); ++i) {
            Seed seed = anew.seeds[i];
            seed.first += corner;
            all.push_back({seed, none, static_cast<int>(i)});
        }
        std::ranges::sort(all, {}, [](const Named& one) {
            return std::tuple(!one.seed.core, one.seed.first.y, one.seed.first.x);
        });
        name_before_.assign(kept_.size(), none);
        name_anew_.assign(anew.seeds.size(), none);
        for (const Named& one : all) {
            const int name = out_.count++;
            (one.before != none ? name_before_[static_cast<std::size_t>(one.before)]
                                : name_anew_[static_cast<std::size_t>(one.anew)]) = name;
            out_.seeds.push_back(one.seed);
            out_.before.push_back(one.before);
        }
    }

    void label(const Division& anew, cv::Point corner) {
        const bool stay = names_stay();
        out_.labels.create(before_.labels.size(), CV_32S);
        std::vector<std::vector<Run>::const_iterator> of_row;
        auto next = runs_.begin();
        for (int y = 0; y <= out_.labels.rows; ++y) {
            next = std::find_if(next, runs_.end(), [&](const Run& run) { return run.y >= y; });
            of_row.push_back(next);
        }
        for_each_row(out_.labels.rows, [&](int y) {
            rename_row(y, stay);
            const auto row = static_cast<std::size_t>(y);
            for (auto run = of_row[row]; run != of_row[row + 1]; ++run) {
                label_run(*run, anew, corner);
            }
        });
    }

    void label_run(const Run& run, const Division& anew, cv::Point corner) {
        const int* from = anew.labels.ptr<int>(run.y - corner.y) - corner.x;
        int* to = out_.labels.ptr<int>(run.y);
        int last = none;
        int name = none;
        for (int x = run.from; x < run.to; ++x) {
            if (from[x] != last) {
                last = from[x];
                name = last == none ? none : name_anew_[static_cast<std::size_t>(last)];
            }
            to[x] = name;
        }
    }

    bool names_stay() const {
        for (std::size_t i = 0; i < kept_.size(); ++i) {
            if (kept_[i] && name_before_[i] != static_cast<int>(i)) {
                return false;
            }
        }
        return true;
    }

    void rename_row(int y, bool names_stay) {
        const int* from = before_.labels.ptr<int>(y);
        int* to = out_.labels.ptr<int>(y);
        if (names_stay) {
            std::copy_n(from, out_.labels.cols, to);
            return;
        }
        for (int x = 0; x < out_.labels.cols; ++x) {
            to[x] = from[x] == none ? none : name_before_[static_cast<std::size_t>(from[x])];
        }
    }

    void add(Saddle saddle, const std::vector<int>& names) {
        saddle.a = names[static_cast<std::size_t>(saddle.a)];
        saddle.b = names[static_cast<std::size_t>(saddle.b)];
        out_.saddles.push_back(saddle);
    }

    const Basins& before_;
    const std::vector<Run>& runs_;
    Basins& out_;
    std::vector<bool> kept_;
    std::vector<int> name_before_;
    std::vector<int> name_anew_;
};

void divide_all(const BasinLimits& limits, Basins& basins) {
    cv::Mat level = basins.level.clone();
    Division division = divide(level, limits);
    basins.labels = std::move(division.labels);
    basins.seeds = std::move(division.seeds);
    basins.saddles = std::move(division.saddles);
    basins.count = static_cast<int>(basins.seeds.size());
    basins.before.assign(basins.seeds.size(), none);
}

void divide_again(const BasinLimits& limits, const Basins& before, Basins& basins) {
    const std::vector<Run> runs = touched(before.level, basins.level, flood_floor(limits));
    if (runs.empty()) {
        Basins same = once_more(before);
        same.copper = basins.copper;
        same.walls = basins.walls;
        same.level = basins.level;
        basins = std::move(same);
        return;
    }
    const cv::Rect box = box_about(runs, 0, basins.level.size());
    cv::Mat level = cv::Mat::zeros(box.size(), CV_8U);
    for (const Run& run : runs) {
        const auto* from = basins.level.ptr<std::uint8_t>(run.y) + run.from;
        std::copy_n(from, run.length(), level.ptr<std::uint8_t>(run.y - box.y) + run.from - box.x);
    }
    Merging(before, runs, basins).merge(divide(level, limits), box.tl());
}

}  // namespace

Basins once_more(const Basins& before) {
    Basins basins = before;
    std::iota(basins.before.begin(), basins.before.end(), 0);
    return basins;
}

int flood_floor(const BasinLimits& limits) {
    return std::max(1, limits.floor / 2);
}

Basins find_basins(const cv::Mat& copper,
                   const BasinLimits& limits,
                   const cv::Mat& walls,
                   const Basins* before) {
    Basins basins;
    basins.copper = copper;
    basins.walls = walls;
    if (before == nullptr) {
        basins.level = levels_anew(copper, limits, walls);
        divide_all(limits, basins);
    } else {
        basins.level = levels_again(copper, limits, walls, *before);
        divide_again(limits, *before, basins);
    }
    return basins;
}

}  // namespace etchback::copper::eye::detail
