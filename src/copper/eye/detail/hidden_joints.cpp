#include "copper/eye/detail/hidden_joints.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <opencv2/imgproc.hpp>

#include "copper/eye/detail/raster_pixels.h"

namespace etchback::copper::eye::detail {

namespace {

// Where an island meets what hides it.
struct Contact {
    int island = -1;
    cv::Point2d at;
    cv::Point2d into;     // unit vector, into the hidden place
    double width = 0.0;   // pixels along the edge
    double solder = 0.0;  // share of it that is bare metal
    bool pin = false;     // a pad that the part hides: tracks reach it from any side
};

cv::Mat hidden_places(const SidePicture& side, const Raster& raster) {
    cv::Mat hidden(raster.height, raster.width, CV_8U, cv::Scalar(0));
    for (std::size_t i = 0; i < side.surface.size(); ++i) {
        if (side.surface[i] == Surface::body || side.surface[i] == Surface::unknown) {
            hidden.data[i] = 255;
        }
    }
    return hidden;
}

struct Touch {
    cv::Point at;
    int island;
    bool solder;
};

// Pixels of copper along the edge of each hidden place.
std::map<int, std::vector<Touch>> touches_of(const cv::Mat& places,
                                             const cv::Mat& labels,
                                             const SidePicture& side,
                                             int reach) {
    std::map<int, std::vector<Touch>> touches;
    cv::Mat wide;
    cv::Mat as_float;
    places.convertTo(as_float, CV_32F);
    cv::dilate(as_float,
               wide,
               cv::getStructuringElement(cv::MORPH_ELLIPSE, {2 * reach + 1, 2 * reach + 1}));
    for (int y = 0; y < labels.rows; ++y) {
        for (int x = 0; x < labels.cols; ++x) {
            const int place = cvRound(wide.at<float>(y, x));
            if (place != 0 && places.at<int>(y, x) == 0 && labels.at<int>(y, x) >= 0) {
                const std::size_t i = static_cast<std::size_t>(y) * labels.cols + x;
                touches[place].push_back(
                    {{x, y}, labels.at<int>(y, x), side.surface[i] == Surface::bare_copper});
            }
        }
    }
    return touches;
}

// Touches of one island that hang together are one contact.
std::vector<Contact> contacts_of(std::vector<Touch> touches, cv::Point2d middle, int reach) {
    std::vector<Contact> contacts;
    std::ranges::stable_sort(touches, std::less{}, &Touch::island);
    for (std::size_t from = 0; from < touches.size();) {
        std::size_t to = from;
        while (to < touches.size() && touches[to].island == touches[from].island) {
            ++to;
        }
        cv::Rect box(touches[from].at, cv::Size(1, 1));
        for (std::size_t i = from; i < to; ++i) {
            box |= cv::Rect(touches[i].at, cv::Size(1, 1));
        }
        cv::Mat mask(box.size(), CV_8U, cv::Scalar(0));
        for (std::size_t i = from; i < to; ++i) {
            mask.at<std::uint8_t>(touches[i].at - box.tl()) = touches[i].solder ? 2 : 1;
        }
        cv::Mat pieces;
        const int count = cv::connectedComponents(mask, pieces, 8, CV_32S);
        std::vector<cv::Point2d> sum(static_cast<std::size_t>(count));
        std::vector<int> size(static_cast<std::size_t>(count), 0);
        std::vector<int> solder(static_cast<std::size_t>(count), 0);
        for (std::size_t i = from; i < to; ++i) {
            const cv::Point p = touches[i].at - box.tl();
            const auto k = static_cast<std::size_t>(pieces.at<int>(p));
            sum[k] += cv::Point2d(touches[i].at);
            ++size[k];
            solder[k] += touches[i].solder ? 1 : 0;
        }
        for (std::size_t k = 1; k < sum.size(); ++k) {
            Contact contact;
            contact.island = touches[from].island;
            contact.at = sum[k] / size[k];
            contact.width = static_cast<double>(size[k]) / reach;
            contact.solder = static_cast<double>(solder[k]) / size[k];
            const cv::Point2d to_middle = middle - contact.at;
            contact.into = to_middle / std::max(1.0, cv::norm(to_middle));
            contacts.push_back(contact);
        }
        from = to;
    }
    return contacts;
}

// The way in which copper arrives at a contact: from its middle a little outside to the contact.
void aim(Contact& contact, const cv::Mat& labels, const cv::Mat& places, double reach) {
    cv::Point2d sum;
    int count = 0;
    const int r = cvCeil(reach);
    for (int dy = -r; dy <= r; ++dy) {
        for (int dx = -r; dx <= r; ++dx) {
            const cv::Point p(cvRound(contact.at.x) + dx, cvRound(contact.at.y) + dy);
            if (p.x >= 0 && p.y >= 0 && p.x < labels.cols && p.y < labels.rows &&
                dx * dx + dy * dy <= r * r && labels.at<int>(p) == contact.island &&
                places.at<int>(p) == 0) {
                sum += cv::Point2d(p);
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

constexpr double pin_mm = 12.0;  // how far below a part a track runs to a pin of it

// How likely copper runs straight from one contact to the other. Always less than even: what nobody
// sees is proposed and asked about, and only a beep or a stroke joins it.
double chance_of(const Contact& a, const Contact& b, double px_per_mm, double longest_mm) {
    const cv::Point2d way = b.at - a.at;
    const double length = cv::norm(way);
    if (length < 1.0 || (a.pin && b.pin)) {
        return 0.0;
    }
    constexpr double most = 0.45;
    const double of_a = a.pin ? 1.0 : a.into.dot(way) / length;
    const double of_b = b.pin ? 1.0 : -b.into.dot(way) / length;
    const double facing = std::min(of_a, of_b);  // 1: straight across
    if (a.pin || b.pin) {
        const double near = std::exp(-length / px_per_mm / pin_mm);
        return (a.pin ? b : a).solder > 0.5
                   ? 0.0
                   : most * std::clamp((facing - 0.5) / 0.4, 0.0, 1.0) * near;
    }
    if (facing < 0.8) {
        return 0.0;
    }
    const double alike = std::min(a.width, b.width) / std::max({a.width, b.width, 1.0});
    const double narrow = std::max(a.width, b.width) / px_per_mm < 3.0 ? 1.0 : 0.5;
    const double soldered = std::max(a.solder, b.solder);
    const double far = std::exp(-length / px_per_mm / longest_mm);
    return std::clamp(most * (facing - 0.6) / 0.4 * std::sqrt(alike) * narrow * far, 0.0, most) *
           (1.0 - 0.85 * soldered);
}

}  // namespace

void join_hidden(const SidePicture& side,
                 const cv::Mat& labels,
                 const Raster& raster,
                 std::vector<Joint>& joints) {
    constexpr double least_chance = 0.04;
    constexpr double longest_mm = 25.0;
    const cv::Mat hidden = hidden_places(side, raster);
    cv::Mat places;
    cv::Mat stats;
    cv::Mat centres;
    const int count = cv::connectedComponentsWithStats(hidden, places, stats, centres, 8, CV_32S);
    if (count < 2) {
        return;
    }
    const int reach = std::max(2, cvRound(0.08 * raster.px_per_mm));
    const double largest_pin_px = 0.5 * raster.px_per_mm * raster.px_per_mm;
    int first = std::numeric_limits<int>::max();
    int last = -1;
    for (const int label : cv::Mat_<int>(labels)) {
        first = label >= 0 ? std::min(first, label) : first;
        last = std::max(last, label);
    }
    std::vector<int> area(static_cast<std::size_t>(std::max(0, last - first + 1)), 0);
    for (const int label : cv::Mat_<int>(labels)) {
        if (label >= 0) {
            ++area[static_cast<std::size_t>(label - first)];
        }
    }
    for (auto& [place, touches] : touches_of(places, labels, side, reach)) {
        if (stats.at<int>(place, cv::CC_STAT_AREA) < raster.px_per_mm * raster.px_per_mm * 0.5) {
            continue;
        }
        const cv::Point2d middle(centres.at<double>(place, 0), centres.at<double>(place, 1));
        std::vector<Contact> contacts = contacts_of(std::move(touches), middle, reach);
        for (Contact& contact : contacts) {
            contact.pin = area[static_cast<std::size_t>(contact.island - first)] < largest_pin_px;
            aim(contact, labels, places, 0.8 * raster.px_per_mm);
        }
        std::map<std::pair<int, int>, Joint> best;
        for (std::size_t i = 0; i < contacts.size(); ++i) {
            for (std::size_t j = i + 1; j < contacts.size(); ++j) {
                const Contact& a = contacts[i];
                const Contact& b = contacts[j];
                const double chance = chance_of(a, b, raster.px_per_mm, longest_mm);
                if (a.island == b.island || chance < least_chance) {
                    continue;
                }
                Joint joint;
                joint.kind = Joint::Kind::hidden;
                joint.a = std::min(a.island, b.island);
                joint.b = std::max(a.island, b.island);
                joint.joined = chance;
                joint.path = {board_of(a.at, raster), board_of(b.at, raster)};
                joint.at = board_of(0.5 * (a.at + b.at), raster);
                joint.width_mm = std::min(a.width, b.width) / raster.px_per_mm;
                joint.why = fmt::format("copper may run on for {:.1f} mm below what hides it",
                                        cv::norm(a.at - b.at) / raster.px_per_mm);
                Joint& kept = best[{joint.a, joint.b}];
                if (kept.a < 0 || kept.joined < joint.joined) {
                    kept = std::move(joint);
                }
            }
        }
        for (auto& [pair, joint] : best) {
            joints.push_back(std::move(joint));
        }
    }
}

}  // namespace etchback::copper::eye::detail
