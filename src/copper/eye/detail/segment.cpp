#include "copper/eye/detail/segment.h"

#include <algorithm>
#include <opencv2/imgproc.hpp>
#include <vector>

namespace etchback::copper::eye::detail {
namespace {

// OpenCV's clustering draws from a generator that belongs to the thread: the same photo must give
// the same answer whatever was drawn before, and nobody else's draws may change.
class SameDraws {
public:
    SameDraws() : before_(cv::theRNG().state) { cv::theRNG().state = 0x5EED; }
    ~SameDraws() { cv::theRNG().state = before_; }
    SameDraws(const SameDraws&) = delete;
    SameDraws& operator=(const SameDraws&) = delete;

private:
    std::uint64_t before_;
};

// Squared distance of each pixel's colour from the nearest of the rim's colours, in units of the
// scatter around it.
cv::Mat distance_from_rim(const cv::Mat& lab, int rim, bool shadows) {
    cv::Mat samples;
    for (int y = 0; y < lab.rows; ++y) {
        for (int x = 0; x < lab.cols; ++x) {
            if (std::min({x, y, lab.cols - 1 - x, lab.rows - 1 - y}) < rim) {
                samples.push_back(lab.at<cv::Vec3f>(y, x));
            }
        }
    }
    samples = samples.reshape(1, static_cast<int>(samples.total()));
    constexpr int colours = 6;
    cv::Mat labels;
    cv::Mat centres;
    cv::kmeans(samples,
               colours,
               labels,
               cv::TermCriteria(cv::TermCriteria::COUNT, 12, 0.1),
               1,
               cv::KMEANS_PP_CENTERS,
               centres);
    std::vector<cv::Vec3d> scatter(colours, cv::Vec3d(0, 0, 0));
    std::vector<double> count(colours, 0.0);
    for (int i = 0; i < samples.rows; ++i) {
        const int k = labels.at<int>(i);
        count[k] += 1.0;
        for (int c = 0; c < 3; ++c) {
            const double d = samples.at<float>(i, c) - centres.at<float>(k, c);
            scatter[k][c] += d * d;
        }
    }
    cv::Mat distance(lab.size(), CV_32F, cv::Scalar(1e6));
    for (int k = 0; k < colours; ++k) {
        if (count[k] < 0.02 * samples.rows) {
            continue;  // a wire, a finger's nail, or the board's own corner at the rim
        }
        cv::Vec3f weight;
        for (int c = 0; c < 3; ++c) {
            weight[c] =
                static_cast<float>(1.0 / (scatter[k][c] / count[k] + (c == 0 ? 30.0 : 6.0)));
        }
        const cv::Vec3f centre = centres.at<cv::Vec3f>(k);
        for (int y = 0; y < lab.rows; ++y) {
            const auto* in = lab.ptr<cv::Vec3f>(y);
            auto* out = distance.ptr<float>(y);
            for (int x = 0; x < lab.cols; ++x) {
                cv::Vec3f d = in[x] - centre;
                if (shadows && d[0] < 0.0F && in[x][0] > 0.3F * centre[0]) {
                    const float dim = in[x][0] / centre[0];
                    d = {0.0F, in[x][1] - dim * centre[1], in[x][2] - dim * centre[2]};
                }
                const float sum =
                    d[0] * d[0] * weight[0] + d[1] * d[1] * weight[1] + d[2] * d[2] * weight[2];
                out[x] = std::min(out[x], sum);
            }
        }
    }
    return distance;
}

// The one piece that is largest, counting pixels near the middle more.
cv::Mat main_piece(const cv::Mat& mask) {
    cv::Mat labels;
    cv::Mat stats;
    cv::Mat centroids;
    const int count = cv::connectedComponentsWithStats(mask, labels, stats, centroids, 4, CV_32S);
    int best = 0;
    double most = 0.0;
    for (int i = 1; i < count; ++i) {
        const double dx = centroids.at<double>(i, 0) / mask.cols - 0.5;
        const double dy = centroids.at<double>(i, 1) / mask.rows - 0.5;
        const double weight = stats.at<int>(i, cv::CC_STAT_AREA) * (1.0 - dx * dx - dy * dy);
        if (weight > most) {
            most = weight;
            best = i;
        }
    }
    return best == 0 ? cv::Mat(cv::Mat::zeros(mask.size(), CV_8U)) : cv::Mat(labels == best);
}

cv::Mat filled(const cv::Mat& mask) {
    std::vector<std::vector<cv::Point>> contours;
    cv::findContours(mask, contours, cv::RETR_EXTERNAL, cv::CHAIN_APPROX_NONE);
    cv::Mat all = cv::Mat::zeros(mask.size(), CV_8U);
    cv::drawContours(all, contours, -1, 255, cv::FILLED);
    return all;
}

cv::Mat opened(const cv::Mat& mask, int radius) {
    const cv::Mat disc =
        cv::getStructuringElement(cv::MORPH_ELLIPSE, {2 * radius + 1, 2 * radius + 1});
    cv::Mat out;
    cv::copyMakeBorder(mask, out, radius, radius, radius, radius, cv::BORDER_CONSTANT, 0);
    cv::morphologyEx(out, out, cv::MORPH_OPEN, disc);
    return out(cv::Rect(radius, radius, mask.cols, mask.rows)).clone();
}

}  // namespace

Segments segment(const cv::Mat& bgr, bool shadows) {
    const SameDraws same;
    cv::Mat lab;
    bgr.convertTo(lab, CV_32F, 1.0 / 255.0);
    cv::cvtColor(lab, lab, cv::COLOR_BGR2Lab);
    const int rim = std::max(2, std::min(bgr.cols, bgr.rows) / 40);
    cv::Mat distance = distance_from_rim(lab, rim, shadows);
    cv::GaussianBlur(distance, distance, {5, 5}, 1.0);

    cv::Mat trimap(bgr.size(), CV_8U);
    for (int y = 0; y < bgr.rows; ++y) {
        for (int x = 0; x < bgr.cols; ++x) {
            const bool at_rim = std::min({x, y, bgr.cols - 1 - x, bgr.rows - 1 - y}) < rim;
            trimap.at<std::uint8_t>(y, x) =
                at_rim ? cv::GC_BGD
                       : (distance.at<float>(y, x) > 9.0F ? cv::GC_PR_FGD : cv::GC_PR_BGD);
        }
    }
    const int likely = cv::countNonZero(trimap == cv::GC_PR_FGD);
    if (likely < bgr.rows * bgr.cols / 200) {
        return {cv::Mat::zeros(bgr.size(), CV_8U), cv::Mat(bgr.size(), CV_8U, cv::Scalar(255))};
    }
    cv::Mat back_model;
    cv::Mat front_model;
    cv::grabCut(bgr, trimap, {}, back_model, front_model, 3, cv::GC_INIT_WITH_MASK);
    const cv::Mat front = trimap == cv::GC_PR_FGD;

    Segments out;
    out.background = ~front;
    cv::Mat board = main_piece(filled(main_piece(front)));
    // Wires and crumbs at its edge are thin beside the board.
    const double side = std::sqrt(static_cast<double>(cv::countNonZero(board)));
    out.board = main_piece(opened(board, std::max(1, cvRound(side * 0.045))));
    return out;
}

}  // namespace etchback::copper::eye::detail
