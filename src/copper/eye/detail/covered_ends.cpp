#include "copper/eye/detail/covered_ends.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <opencv2/core/hal/intrin.hpp>
#include <opencv2/imgproc.hpp>
#include <span>
#include <utility>

#include "copper/eye/detail/label_pixels.h"
#include "copper/eye/detail/raster_pixels.h"
#include "copper/eye/detail/runs.h"

namespace etchback::copper::eye::detail {

cv::Mat covers_of(const SidePicture& side, const Raster& raster) {
    const auto all = [](auto kind) { return cv::v_setall_u8(static_cast<std::uint8_t>(kind)); };
    const cv::v_uint8x16 half = all(128);
    const auto cover = [&](const cv::v_uint8x16& what, const cv::v_uint8x16& level) {
        const cv::v_uint8x16 hidden =
            (what == all(Surface::body)) | (what == all(Surface::unknown));
        const cv::v_uint8x16 printed = (what == all(Surface::legend)) & (level < half);
        return (hidden & all(body)) | (printed & all(print));
    };
    cv::Mat covers(raster.height, raster.width, CV_8U);
    const std::size_t count = side.surface.size();
    std::size_t i = 0;
    for (; i + 16 <= count; i += 16) {
        const auto* what = reinterpret_cast<const std::uint8_t*>(side.surface.data() + i);
        cv::v_store(covers.data + i, cover(cv::v_load(what), cv::v_load(side.copper.data() + i)));
    }
    for (; i < count; ++i) {
        covers.data[i] = cover(all(side.surface[i]), all(side.copper[i])).get0();
    }
    return covers;
}

namespace {

struct Touch {
    cv::Point at;
    int island;
    bool solder;
};

// Sorted by island; those of one stay as they come.
std::vector<Touch> by_island(const std::vector<Touch>& touches, int count) {
    std::vector<std::size_t> next(static_cast<std::size_t>(count) + 1, 0);
    for (const Touch& touch : touches) {
        ++next[static_cast<std::size_t>(touch.island) + 1];
    }
    std::partial_sum(next.begin(), next.end(), next.begin());
    std::vector<Touch> sorted(touches.size());
    for (const Touch& touch : touches) {
        sorted[next[static_cast<std::size_t>(touch.island)]++] = touch;
    }
    return sorted;
}

// Pixels of copper along the edge of hidden places.
std::vector<Touch> touches_of(
    const cv::Mat& covers, const cv::Mat& labels, int count, const SidePicture& side, int reach) {
    cv::Mat wide;
    // A square, because OpenCV does it in two passes.
    cv::dilate(
        covers, wide, cv::getStructuringElement(cv::MORPH_RECT, {2 * reach + 1, 2 * reach + 1}));
    std::vector<Touch> touches;
    for (const Run& run : runs_of(wide)) {
        const auto* here = covers.ptr<std::uint8_t>(run.y);
        const int* label = labels.ptr<int>(run.y);
        const Surface* surface =
            side.surface.data() + static_cast<std::size_t>(run.y) * labels.cols;
        for (int x = run.from; x < run.to; ++x) {
            if (here[x] == seen && label[x] >= 0 && label[x] < count) {
                touches.push_back({{x, run.y}, label[x], surface[x] == Surface::bare_copper});
            }
        }
    }
    return by_island(touches, count);
}

// One contact for each stretch of about a millimetre.
void add_stretches(const std::vector<Touch>& run,
                   int reach,
                   double longest,
                   std::vector<CoveredEnd>& contacts) {
    cv::Point2d sum;
    for (const Touch& touch : run) {
        sum += cv::Point2d(touch.at);
    }
    const cv::Point2d middle = sum / static_cast<double>(run.size());
    double xx = 0.0;
    double xy = 0.0;
    double yy = 0.0;
    for (const Touch& touch : run) {
        const cv::Point2d d = cv::Point2d(touch.at) - middle;
        xx += d.x * d.x;
        xy += d.x * d.y;
        yy += d.y * d.y;
    }
    const double turn = 0.5 * std::atan2(2.0 * xy, xx - yy);
    const cv::Point2d along(std::cos(turn), std::sin(turn));
    double least = 0.0;
    double most = 0.0;
    for (const Touch& touch : run) {
        const double t = (cv::Point2d(touch.at) - middle).dot(along);
        least = std::min(least, t);
        most = std::max(most, t);
    }
    const int count = std::max(1, cvRound((most - least) / longest));
    std::vector<CoveredEnd> parts(static_cast<std::size_t>(count));
    std::vector<int> sizes(parts.size(), 0);
    for (const Touch& touch : run) {
        const double t = (cv::Point2d(touch.at) - middle).dot(along);
        const auto k = static_cast<std::size_t>(
            std::clamp(cvFloor((t - least) / std::max(1.0, most - least) * count), 0, count - 1));
        parts[k].at += cv::Point2d(touch.at);
        parts[k].solder += touch.solder ? 1.0 : 0.0;
        ++sizes[k];
    }
    for (std::size_t k = 0; k < parts.size(); ++k) {
        if (sizes[k] > 0) {
            parts[k].island = run.front().island;
            parts[k].at /= static_cast<double>(sizes[k]);
            parts[k].solder /= sizes[k];
            parts[k].width = static_cast<double>(sizes[k]) / reach;
            contacts.push_back(parts[k]);
        }
    }
}

// Touches that hang together; those given are of one island.
std::vector<std::vector<Touch>> pieces_of_touches(std::span<const Touch> touches) {
    std::vector<Run> runs;
    for (const Touch& touch : touches) {
        const cv::Point& p = touch.at;
        if (!runs.empty() && runs.back().y == p.y && runs.back().to == p.x) {
            ++runs.back().to;
        } else {
            runs.push_back({p.y, p.x, p.x + 1, 0});
        }
    }
    const Pieces pieces = pieces_of(std::move(runs), true);
    std::vector<std::vector<Touch>> all(pieces.pixels.size());
    auto next = touches.begin();
    for (const Run& run : pieces.runs) {
        std::vector<Touch>& own = all[static_cast<std::size_t>(run.piece)];
        own.insert(own.end(), next, next + run.length());
        next += run.length();
    }
    return all;
}

// Touches of one island that hang together are one contact, or several along a line.
std::vector<CoveredEnd> contacts_of(const std::vector<Touch>& touches, int reach, double longest) {
    std::vector<CoveredEnd> contacts;
    for (auto from = touches.begin(); from != touches.end();) {
        const auto to = std::find_if(
            from, touches.end(), [&](const Touch& touch) { return touch.island != from->island; });
        for (const std::vector<Touch>& piece : pieces_of_touches({from, to})) {
            add_stretches(piece, reach, longest, contacts);
        }
        from = to;
    }
    return contacts;
}

// How far copper reaches back from a contact, against its way: a track that ends here comes from
// afar; one that only passes by is as deep as it is wide.
double depth_behind(const CoveredEnd& contact, const cv::Mat& labels, double most) {
    if (contact.into == cv::Point2d()) {
        return 0.0;
    }
    double depth = 0.0;
    int missed = 0;
    for (double t = 0.0; t <= most && missed < 3; t += 1.0) {
        const cv::Point p(cvRound(contact.at.x - t * contact.into.x),
                          cvRound(contact.at.y - t * contact.into.y));
        if (p.x < 0 || p.y < 0 || p.x >= labels.cols || p.y >= labels.rows) {
            break;
        }
        if (labels.at<int>(p) == contact.island) {
            depth = t;
            missed = 0;
        } else {
            ++missed;
        }
    }
    return depth;
}

}  // namespace

// The way in which copper arrives at a contact: from its middle a little outside to the contact.
void aim(CoveredEnd& contact, const cv::Mat& labels, const cv::Mat& covers, double reach) {
    const int r = cvCeil(reach);
    const cv::Point middle(cvRound(contact.at.x), cvRound(contact.at.y));
    const cv::Rect box = grown({middle, cv::Size(1, 1)}, r, labels.size());
    cv::Point2d sum;
    int count = 0;
    for (int y = box.y; y < box.br().y; ++y) {
        const int* label = labels.ptr<int>(y);
        const auto* cover = covers.ptr<std::uint8_t>(y);
        const int dy = y - middle.y;
        for (int x = box.x; x < box.br().x; ++x) {
            const int dx = x - middle.x;
            if (label[x] == contact.island && cover[x] == seen && dx * dx + dy * dy <= r * r) {
                sum += cv::Point2d(x, y);
                ++count;
            }
        }
    }
    if (count > 0) {
        const cv::Point2d way = contact.at - sum / count;
        if (const double length = cv::norm(way); length > 0.15 * reach) {
            contact.into = way / length;
        }
    }
}

std::vector<CoveredEnd> covered_ends(const SidePicture& side,
                                     const cv::Mat& covers,
                                     const cv::Mat& labels,
                                     int count,
                                     double px_per_mm) {
    const int reach = std::max(2, cvRound(0.08 * px_per_mm));
    const double largest_pin_px = 0.5 * px_per_mm * px_per_mm;
    const std::vector<int> area = pixels_of_each(labels, count);
    std::vector<CoveredEnd> ends =
        contacts_of(touches_of(covers, labels, count, side, reach), reach, 1.0 * px_per_mm);
    for (CoveredEnd& end : ends) {
        end.pin = area[static_cast<std::size_t>(end.island)] < largest_pin_px;
        aim(end, labels, covers, 0.8 * px_per_mm);
        end.depth = depth_behind(end, labels, deepest_mm * px_per_mm);
    }
    return ends;
}

}  // namespace etchback::copper::eye::detail
