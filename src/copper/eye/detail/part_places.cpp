#include "copper/eye/detail/part_places.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <opencv2/imgproc.hpp>
#include <set>

#include "copper/eye/detail/discs.h"
#include "copper/eye/detail/runs.h"

namespace etchback::copper::eye::detail {

namespace {

// Pixels of each piece of at least `least` pixels.
std::vector<std::vector<cv::Point>> large_pieces(const cv::Mat& mask, int least) {
    const Pieces pieces = pieces_of(mask, true);
    std::vector<std::vector<cv::Point>> large;
    for (const std::vector<Run>& runs : pieces.by_piece()) {
        if (pieces.pixels[static_cast<std::size_t>(runs.front().piece)] < least) {
            continue;
        }
        std::vector<cv::Point>& piece = large.emplace_back();
        for (const Run& run : runs) {
            for (int x = run.from; x < run.to; ++x) {
                piece.emplace_back(x, run.y);
            }
        }
    }
    return large;
}

// How far a point lies from the border of a rectangle.
double to_border(const cv::RotatedRect& frame, cv::Point2f p) {
    const double turn = frame.angle * CV_PI / 180.0;
    const cv::Point2f d = p - frame.center;
    const double u = std::abs(d.x * std::cos(turn) + d.y * std::sin(turn)) - 0.5 * frame.size.width;
    const double v =
        std::abs(-d.x * std::sin(turn) + d.y * std::cos(turn)) - 0.5 * frame.size.height;
    return std::abs(std::max(u, v));
}

// The longest; gaps are bridged, where pins of the part hide them.
std::vector<PrintedStroke> strokes_in(const cv::Mat& print, double px_per_mm) {
    constexpr std::size_t most_strokes = 600;
    constexpr double least_mm = 1.7;
    constexpr double widest_gap_mm = 1.1;
    constexpr double least_drawn_mm = 0.9;
    std::vector<cv::Vec4i> lines;
    cv::HoughLinesP(print,
                    lines,
                    1.0,
                    CV_PI / 180,
                    cvRound(least_drawn_mm * px_per_mm),
                    least_mm * px_per_mm,
                    widest_gap_mm * px_per_mm);
    std::vector<PrintedStroke> strokes;
    for (const cv::Vec4i& l : lines) {
        const cv::Point2d way(l[2] - l[0], l[3] - l[1]);
        const double length = cv::norm(way);
        strokes.push_back({cv::Point2d(l[0], l[1]), way / length, length});
    }
    std::ranges::stable_sort(strokes, std::greater{}, &PrintedStroke::length);
    strokes.resize(std::min(strokes.size(), most_strokes));
    return strokes;
}

// The rectangle between two strokes that face each other; of no size where they do not.
cv::RotatedRect between(const PrintedStroke& a, const PrintedStroke& b, double px_per_mm) {
    constexpr double least_mm = 0.9;
    constexpr double most_mm = 20.0;
    constexpr double stroke_mm = 0.2;
    constexpr double alike = 0.75;
    constexpr double least_aspect = 0.22;  // narrower: the two edges of a track
    if (std::abs(a.way.dot(b.way)) < 0.997 ||
        std::min(a.length, b.length) < alike * std::max(a.length, b.length)) {
        return {};
    }
    const cv::Point2d across(-a.way.y, a.way.x);
    const cv::Point2d middle_a = a.from + 0.5 * a.length * a.way;
    const cv::Point2d middle_b = b.from + 0.5 * b.length * b.way;
    const double distance = std::abs((middle_b - middle_a).dot(across)) / px_per_mm;
    const double shift = std::abs((middle_b - middle_a).dot(a.way));
    const double length = 0.5 * (a.length + b.length);
    if (distance < least_mm || distance > most_mm || distance * px_per_mm < least_aspect * length ||
        length > most_mm * px_per_mm || shift > 0.12 * length + 0.1 * px_per_mm) {
        return {};
    }
    const double turn = std::atan2(a.way.y, a.way.x) * 180.0 / CV_PI;
    return {cv::Point2f(0.5 * (middle_a + middle_b)),
            cv::Size2f(static_cast<float>(length + stroke_mm * px_per_mm),
                       static_cast<float>((distance + stroke_mm) * px_per_mm)),
            static_cast<float>(turn)};
}

// Shares of the border along which a mask is met.
struct Drawn {
    double all = 0.0;
    double least_side = 1.0;
};

Drawn drawn_share(const cv::RotatedRect& frame, const cv::Mat& near_mask) {
    cv::Point2f corners[4];
    frame.points(corners);
    int met = 0;
    int all = 0;
    Drawn drawn;
    for (std::size_t side = 0; side < 4; ++side) {
        const cv::Point2f from = corners[side];
        const cv::Point2f way = corners[(side + 1) % 4] - from;
        const int steps = std::max(1, cvRound(cv::norm(way)));
        int of_side = 0;
        for (int i = 0; i < steps; ++i) {
            const cv::Point p = from + way * (static_cast<float>(i) / static_cast<float>(steps));
            const bool inside =
                p.x >= 0 && p.y >= 0 && p.x < near_mask.cols && p.y < near_mask.rows;
            of_side += inside && near_mask.at<std::uint8_t>(p) != 0 ? 1 : 0;
        }
        met += of_side;
        all += steps;
        drawn.least_side = std::min(drawn.least_side, static_cast<double>(of_side) / steps);
    }
    drawn.all = static_cast<double>(met) / all;
    return drawn;
}

// Rectangles that are drawn, or most of two sides at least.
std::vector<cv::RotatedRect> frames_in(const cv::Mat& print, double px_per_mm) {
    constexpr double least_length_mm = 1.8;  // letters are smaller
    constexpr double least_width_mm = 0.9;
    constexpr double stroke_mm = 0.2;
    constexpr double least_drawn = 0.4;      // share of the border
    constexpr double least_on_border = 0.7;  // share of the print
    std::vector<cv::RotatedRect> frames;
    const cv::Mat joined = closed(print, 0.1 * px_per_mm);
    const int least = cvRound(least_length_mm * stroke_mm * px_per_mm * px_per_mm);
    for (const std::vector<cv::Point>& piece : large_pieces(joined, least)) {
        const cv::RotatedRect frame = cv::minAreaRect(piece);
        const double length = std::max(frame.size.width, frame.size.height) / px_per_mm;
        const double width = std::min(frame.size.width, frame.size.height) / px_per_mm;
        if (length < least_length_mm || width < least_width_mm) {
            continue;
        }
        const double drawn = static_cast<double>(piece.size()) / (px_per_mm * px_per_mm) /
                             (stroke_mm * 2.0 * (length + width));
        const auto on_border = std::ranges::count_if(
            piece, [&](const cv::Point& p) { return to_border(frame, p) < 0.3 * px_per_mm; });
        if (drawn >= least_drawn &&
            static_cast<double>(on_border) >= least_on_border * static_cast<double>(piece.size())) {
            frames.push_back(frame);
        }
    }
    return frames;
}

}  // namespace

Printed printed_around_parts(const cv::Mat& print, double px_per_mm) {
    return {print, frames_in(print, px_per_mm), strokes_in(print, px_per_mm)};
}

std::vector<cv::RotatedRect> frames_between_strokes(const Printed& printed,
                                                    const cv::Mat& metal,
                                                    double px_per_mm) {
    constexpr double least_print = 0.45;
    constexpr double least_in_all = 0.7;
    constexpr double least_of_side = 0.4;
    const cv::Mat near_print = grown(printed.print, 0.12 * px_per_mm);
    const cv::Mat near_all = grown(printed.print | metal, 0.12 * px_per_mm);
    const std::vector<PrintedStroke>& strokes = printed.strokes;
    std::vector<cv::RotatedRect> frames;
    for (std::size_t i = 0; i < strokes.size(); ++i) {
        for (std::size_t j = i + 1; j < strokes.size(); ++j) {
            const cv::RotatedRect frame = between(strokes[i], strokes[j], px_per_mm);
            if (frame.size.area() <= 0.0F) {
                continue;
            }
            const bool again = std::ranges::any_of(frames, [&](const cv::RotatedRect& known) {
                return cv::norm(known.center - frame.center) < 0.4 * px_per_mm &&
                       std::abs(known.size.area() - frame.size.area()) < 0.2F * known.size.area();
            });
            if (again || drawn_share(frame, near_print).all < least_print) {
                continue;
            }
            const Drawn drawn = drawn_share(frame, near_all);
            if (drawn.all >= least_in_all && drawn.least_side >= least_of_side) {
                frames.push_back(frame);
            }
        }
    }
    return frames;
}

cv::Mat leads_in(const cv::Mat& metal, const cv::Mat& holes, double px_per_mm) {
    constexpr double joint_mm = 0.5;  // least radius of a joint that a wire comes from
    constexpr double largest_width_mm = 1.2;
    constexpr double least_length_mm = 0.8;
    constexpr double least_between_mm = 0.25;  // from a joint to a body that shines, too
    const cv::Mat joints = opened(metal, joint_mm * px_per_mm);
    const cv::Mat around = grown(joints, 0.12 * px_per_mm);
    const cv::Mat touch = grown(around, 1.0);
    cv::Mat labels;
    const int count = cv::connectedComponents(touch, labels, 8, CV_32S);
    std::vector<int> wires(static_cast<std::size_t>(count), 0);
    cv::Mat leads(metal.size(), CV_8U, cv::Scalar(0));
    const int least = std::max(4, cvRound(0.06 * px_per_mm * px_per_mm));
    for (const std::vector<cv::Point>& piece : large_pieces(metal & ~around, least)) {
        const cv::RotatedRect box = cv::minAreaRect(piece);
        const double width = std::min(box.size.width, box.size.height) / px_per_mm;
        const double length = std::max(box.size.width, box.size.height) / px_per_mm;
        std::set<int> from;
        for (const cv::Point& p : piece) {
            if (const int label = labels.at<int>(p); label > 0) {
                from.insert(label);
            }
        }
        const double enough = from.size() > 1 ? least_between_mm : least_length_mm;
        if (!from.empty() && width < largest_width_mm && length > enough) {
            for (const cv::Point& p : piece) {
                leads.at<std::uint8_t>(p) = 255;
            }
            for (const int label : from) {
                ++wires[static_cast<std::size_t>(label)];
            }
        }
    }
    // What several wires come from is no joint but the body between them, if nothing is drilled.
    for (int y = 0; y < metal.rows; ++y) {
        const auto* label = labels.ptr<int>(y);
        const auto* drilled = holes.ptr<std::uint8_t>(y);
        for (int x = 0; x < metal.cols; ++x) {
            if (drilled[x] != 0) {
                wires[static_cast<std::size_t>(label[x])] = 0;
            }
        }
    }
    for (int y = 0; y < metal.rows; ++y) {
        const auto* label = labels.ptr<int>(y);
        const auto* shines = metal.ptr<std::uint8_t>(y);
        auto* lead = leads.ptr<std::uint8_t>(y);
        for (int x = 0; x < metal.cols; ++x) {
            if (label[x] > 0 && wires[static_cast<std::size_t>(label[x])] > 1 && shines[x] != 0) {
                lead[x] = 255;
            }
        }
    }
    return leads;
}

cv::Mat filled(const cv::RotatedRect& frame, double grow_px, cv::Rect box) {
    cv::Mat mask(box.size(), CV_8U, cv::Scalar(0));
    cv::RotatedRect grown = frame;
    grown.size.width = std::max(1.0F, frame.size.width + static_cast<float>(2.0 * grow_px));
    grown.size.height = std::max(1.0F, frame.size.height + static_cast<float>(2.0 * grow_px));
    cv::Point2f corners[4];
    grown.points(corners);
    std::vector<cv::Point> ring(corners, corners + 4);
    for (cv::Point& corner : ring) {
        corner -= box.tl();
    }
    cv::fillConvexPoly(mask, ring, cv::Scalar(255));
    return mask;
}

}  // namespace etchback::copper::eye::detail
