#include "tracing/seen_side.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <opencv2/imgproc.hpp>

#include "base/disjoint_sets.h"
#include "copper/eye/detail/raster_pixels.h"

namespace etchback::tracing {

namespace {

using copper::Side;
using copper::Surface;

// Steps of grey (of 255) between copper and board beside each other, as the mean over some mm^2,
// in the colour that shows most. Grain hides less than that from an eye that follows an edge.
constexpr double least_contrast = 2.5;
constexpr double about_mm = 1.0;

// Means over a neighbourhood of the pixels in a mask; 0 where there are too few.
cv::Mat mean_about(const cv::Mat& bgr, const cv::Mat& mask, int size, cv::Mat& enough) {
    cv::Mat weight;
    mask.convertTo(weight, CV_32F, 1.0 / 255.0);
    cv::Mat count;
    cv::boxFilter(weight, count, CV_32F, {size, size}, {-1, -1}, false);
    enough = count > 20.0F;
    std::vector<cv::Mat> channels;
    cv::split(bgr, channels);
    for (cv::Mat& channel : channels) {
        channel.convertTo(channel, CV_32F);
        cv::boxFilter(channel.mul(weight), channel, CV_32F, {size, size}, {-1, -1}, false);
        channel /= count + 1e-3F;
    }
    cv::Mat mean;
    cv::merge(channels, mean);
    return mean;
}

// Where copper is told from board by looking: 255.
cv::Mat clear_places(const copper::SidePicture& picture,
                     const copper::Raster& raster,
                     const TrueSide& truth) {
    const cv::Size size(raster.width, raster.height);
    const cv::Mat bgr(size, CV_8UC3, const_cast<std::uint8_t*>(picture.bgr.data()));
    // Solder and print would make a difference where mask and mask are alike.
    cv::Mat plain(size, CV_8U, cv::Scalar(0));
    cv::Mat metal(size, CV_8U, cv::Scalar(0));
    for (std::size_t i = 0; i < picture.surface.size(); ++i) {
        const Surface s = picture.surface[i];
        plain.data[i] = s == Surface::masked_copper || s == Surface::laminate ? 255 : 0;
        metal.data[i] = s == Surface::bare_copper ? 255 : 0;
    }
    // Without mask all copper is bare.
    if (cv::countNonZero(plain) < 2 * cv::countNonZero(metal)) {
        plain |= metal;
    }
    plain &= truth.hidden == 0;
    const int reach = 2 * cvRound(about_mm * raster.px_per_mm) + 1;
    cv::Mat much[2];
    const cv::Mat copper = mean_about(bgr, plain & (truth.piece > 0), reach, much[0]);
    const cv::Mat board = mean_about(bgr, plain & (truth.piece == 0), reach, much[1]);
    cv::Mat apart;
    cv::absdiff(copper, board, apart);
    std::vector<cv::Mat> channels;
    cv::split(apart, channels);
    cv::Mat most;
    cv::max(channels[0], channels[1], most);
    cv::max(most, channels[2], most);
    return (most >= least_contrast) | ~much[0] | ~much[1] | metal;
}

// Where copper goes below a part.
struct End {
    cv::Point2d at;
    cv::Point2d into;  // unit vector; of a pin: zero
    int net = -1;
    int hidden = 0;  // the piece of hidden copper that it leads to
    int cover = 0;   // the part or parts above
    double width = 0.0;
    bool pin = false;
};

cv::Point2d direction_at(const TrueSide& truth, cv::Point2d at, int piece, double reach) {
    cv::Point2d sum;
    int count = 0;
    const int r = cvCeil(reach);
    for (int dy = -r; dy <= r; ++dy) {
        for (int dx = -r; dx <= r; ++dx) {
            const cv::Point p(cvRound(at.x) + dx, cvRound(at.y) + dy);
            if (p.x >= 0 && p.y >= 0 && p.x < truth.piece.cols && p.y < truth.piece.rows &&
                dx * dx + dy * dy <= r * r && truth.piece.at<int>(p) == piece &&
                truth.hidden.at<std::uint8_t>(p) == 0) {
                sum += cv::Point2d(p);
                ++count;
            }
        }
    }
    const cv::Point2d way = count > 0 ? at - sum / count : cv::Point2d();
    const double length = cv::norm(way);
    return length > 0.15 * reach ? way / length : cv::Point2d();
}

std::vector<End> ends_of(const TrueSide& truth,
                         const cv::Mat& hidden_pieces,
                         const cv::Mat& covers,
                         double px_per_mm) {
    cv::Mat edge(truth.net.size(), CV_8U, cv::Scalar(0));
    cv::Mat leads(truth.net.size(), CV_32S, cv::Scalar(0));
    cv::Mat below(truth.net.size(), CV_32S, cv::Scalar(0));
    for (int y = 1; y + 1 < edge.rows; ++y) {
        for (int x = 1; x + 1 < edge.cols; ++x) {
            if (truth.net.at<int>(y, x) < 0 || truth.hidden.at<std::uint8_t>(y, x) != 0) {
                continue;
            }
            for (const cv::Point step :
                 {cv::Point(1, 0), cv::Point(-1, 0), cv::Point(0, 1), cv::Point(0, -1)}) {
                const cv::Point q = cv::Point(x, y) + step;
                if (hidden_pieces.at<int>(q) != 0 &&
                    truth.piece.at<int>(q) == truth.piece.at<int>(y, x)) {
                    edge.at<std::uint8_t>(y, x) = 255;
                    leads.at<int>(y, x) = hidden_pieces.at<int>(q);
                    below.at<int>(y, x) = covers.at<int>(q);
                }
            }
        }
    }
    cv::Mat runs;
    const int count = cv::connectedComponents(edge, runs, 8, CV_32S);
    std::vector<End> ends(static_cast<std::size_t>(count));
    for (int y = 0; y < edge.rows; ++y) {
        for (int x = 0; x < edge.cols; ++x) {
            if (const int run = runs.at<int>(y, x); run != 0) {
                End& end = ends[static_cast<std::size_t>(run)];
                end.at += cv::Point2d(x, y);
                end.width += 1.0;
                end.net = truth.net.at<int>(y, x);
                end.hidden = leads.at<int>(y, x);
                end.cover = below.at<int>(y, x);
            }
        }
    }
    ends.erase(ends.begin());
    std::vector<End> kept;
    for (End& end : ends) {
        end.at /= end.width;
        const cv::Point p(cvRound(end.at.x), cvRound(end.at.y));
        // A hair of copper along a part's edge is not seen to go below it.
        if (end.width < 0.1 * px_per_mm) {
            continue;
        }
        end.into = direction_at(truth, end.at, truth.piece.at<int>(p), 0.8 * px_per_mm);
        if (end.into != cv::Point2d()) {
            kept.push_back(end);
        }
    }
    return kept;
}

// How well two ends face each other, 0 to 1; a pin faces any way.
double facing(const End& a, const End& b) {
    const cv::Point2d way = b.at - a.at;
    const double length = cv::norm(way);
    if (length < 1.0 || (a.pin && b.pin)) {
        return 0.0;
    }
    const double of_a = a.pin ? 1.0 : a.into.dot(way) / length;
    const double of_b = b.pin ? 1.0 : -b.into.dot(way) / length;
    return std::max(0.0, std::min(of_a, of_b));
}

// Pairs of ends that a person takes for one track.
std::vector<std::pair<std::size_t, std::size_t>> concluded(const std::vector<End>& ends,
                                                           double px_per_mm) {
    constexpr double better_by = 0.1;
    std::vector<std::pair<std::size_t, std::size_t>> pairs;
    const auto fits = [&](std::size_t i, std::size_t j) {
        return i == j || ends[i].cover != ends[j].cover ? 0.0 : facing(ends[i], ends[j]);
    };
    const auto is_plain = [&](std::size_t i, std::size_t j) {
        const double length_mm = cv::norm(ends[i].at - ends[j].at) / px_per_mm;
        const double wide_mm = std::max(ends[i].width, ends[j].width) / px_per_mm;
        const double narrow_mm = std::min(ends[i].width, ends[j].width) / px_per_mm;
        const bool to_pin = ends[i].pin || ends[j].pin;
        const bool track = wide_mm <= 1.6 && length_mm <= (to_pin ? 6.0 : 15.0);
        // A wide area that goes on behind a wire or a slim part.
        const bool area = !to_pin && narrow_mm >= 6.0 && length_mm <= 3.0;
        return (track && fits(i, j) >= 0.9) || (area && fits(i, j) >= 0.98);
    };
    for (std::size_t i = 0; i < ends.size(); ++i) {
        for (std::size_t j = i + 1; j < ends.size(); ++j) {
            const double own = fits(i, j);
            bool clear = is_plain(i, j);
            for (std::size_t k = 0; clear && k < ends.size(); ++k) {
                // Further ends of the same track behind are no rivals, nearer ones are.
                const bool rivals_i = !ends[i].pin && k != j && fits(i, k) > own - better_by;
                const bool rivals_j = !ends[j].pin && k != i && fits(j, k) > own - better_by;
                clear = k == i || k == j || (!rivals_i && !rivals_j);
            }
            if (clear) {
                pairs.emplace_back(i, j);
            }
        }
    }
    return pairs;
}

// Numbers the pixels of known copper: those of one net that hang together have one number.
void number_pieces(SeenSide& seen) {
    seen.piece = cv::Mat(seen.net.size(), CV_32S, cv::Scalar(-1));
    std::vector<cv::Point> stack;
    for (int y = 0; y < seen.net.rows; ++y) {
        for (int x = 0; x < seen.net.cols; ++x) {
            if (seen.net.at<int>(y, x) < 0 || seen.piece.at<int>(y, x) >= 0) {
                continue;
            }
            const int net = seen.net.at<int>(y, x);
            stack.push_back({x, y});
            seen.piece.at<int>(y, x) = seen.pieces;
            while (!stack.empty()) {
                const cv::Point p = stack.back();
                stack.pop_back();
                for (int dy = -1; dy <= 1; ++dy) {
                    for (int dx = -1; dx <= 1; ++dx) {
                        const cv::Point q = p + cv::Point(dx, dy);
                        if (q.x >= 0 && q.y >= 0 && q.x < seen.net.cols && q.y < seen.net.rows &&
                            seen.net.at<int>(q) == net && seen.piece.at<int>(q) < 0) {
                            seen.piece.at<int>(q) = seen.pieces;
                            stack.push_back(q);
                        }
                    }
                }
            }
            ++seen.pieces;
        }
    }
}

}  // namespace

SeenSide seen_side(const InventedBoard& board, const TracedBoard& traced, Side side, Names& names) {
    const copper::Trace& trace = traced.trace;
    const copper::Raster& raster = trace.picture.raster;
    const TrueSide truth = true_side(board, trace, side, names);
    SeenSide seen;
    const auto& picture = trace.picture.side(side);
    if (!picture) {
        seen.net = cv::Mat(raster.height, raster.width, CV_32S, cv::Scalar(-1));
        seen.board = cv::Mat::zeros(seen.net.size(), CV_8U);
        number_pieces(seen);
        return seen;
    }
    const cv::Mat visible = clear_places(*picture, raster, truth) & (truth.hidden == 0);
    seen.board = visible & (truth.piece == 0);
    seen.net = truth.net.clone();
    // ETCHBACK_BOARD_IN_HAND: what it comes to when they know the copper below parts, too.
    if (std::getenv("ETCHBACK_BOARD_IN_HAND") != nullptr) {
        seen.board = truth.piece == 0;
        number_pieces(seen);
        return seen;
    }
    seen.net.setTo(-1, ~visible);

    const cv::Mat hidden = truth.hidden != 0;
    cv::Mat covers;
    cv::connectedComponents(hidden, covers, 8, CV_32S);
    cv::Mat hidden_pieces;
    cv::connectedComponents(hidden & (truth.piece > 0), hidden_pieces, 4, CV_32S);
    std::vector<End> ends = ends_of(truth, hidden_pieces, covers, raster.px_per_mm);
    for (std::size_t i = 0; i < trace.pads.size(); ++i) {
        const copper::Pad& pad = trace.pads[i];
        const cv::Point2d at = copper::eye::detail::pixel_of(pad.at, raster);
        const cv::Point p(cvRound(at.x), cvRound(at.y));
        if ((pad.side && *pad.side != side) || p.x < 0 || p.y < 0 || p.x >= hidden.cols ||
            p.y >= hidden.rows || hidden.at<std::uint8_t>(p) == 0) {
            continue;
        }
        End end;
        end.at = at;
        end.net = names.of(traced.nets[i]);
        end.hidden = hidden_pieces.at<int>(p);
        end.cover = covers.at<int>(p);
        end.pin = true;
        ends.push_back(end);
    }
    // ETCHBACK_SEEN_ONLY: what it comes to without conclusions.
    if (std::getenv("ETCHBACK_SEEN_ONLY") != nullptr) {
        ends.clear();
    }
    for (const auto& [i, j] : concluded(ends, raster.px_per_mm)) {
        const End& a = ends[i];
        const End& b = ends[j];
        if (a.hidden == 0 || a.hidden != b.hidden || a.net != b.net) {
            ++seen.concluded_wrongly;
            continue;
        }
        ++seen.concluded_rightly;
        cv::Mat line(seen.net.size(), CV_8U, cv::Scalar(0));
        cv::line(line, a.at, b.at, cv::Scalar(255), 3);
        seen.net.setTo(a.net, line & hidden & (seen.net < 0));
    }
    number_pieces(seen);
    return seen;
}

}  // namespace etchback::tracing
