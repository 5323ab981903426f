#include "tracing/pen_ways.h"

#include <algorithm>
#include <limits>
#include <opencv2/imgproc.hpp>
#include <queue>

namespace etchback::tracing {

std::vector<cv::Point> way_over(const cv::Mat& walkable,
                                const cv::Mat& depth,
                                cv::Point from,
                                const cv::Mat& goals) {
    struct Step {
        float cost;
        int at;
        bool operator<(const Step& o) const { return cost > o.cost; }
    };
    const int width = walkable.cols;
    cv::Mat best(walkable.size(), CV_32F, cv::Scalar(std::numeric_limits<float>::max()));
    cv::Mat back(walkable.size(), CV_32S, cv::Scalar(-1));
    std::priority_queue<Step> queue;
    best.at<float>(from) = 0.0F;
    queue.push({0.0F, from.y * width + from.x});
    while (!queue.empty()) {
        const Step step = queue.top();
        queue.pop();
        const cv::Point p(step.at % width, step.at / width);
        if (step.cost > best.at<float>(p)) {
            continue;
        }
        if (goals.at<std::uint8_t>(p) != 0) {
            std::vector<cv::Point> way;
            for (int i = step.at; i >= 0; i = back.ptr<int>()[i]) {
                way.emplace_back(i % width, i / width);
            }
            std::ranges::reverse(way);
            return way;
        }
        for (int dy = -1; dy <= 1; ++dy) {
            for (int dx = -1; dx <= 1; ++dx) {
                const cv::Point q = p + cv::Point(dx, dy);
                if (q.x < 0 || q.y < 0 || q.x >= width || q.y >= walkable.rows ||
                    walkable.at<std::uint8_t>(q) == 0) {
                    continue;
                }
                const float pace = dx != 0 && dy != 0 ? 1.414F : 1.0F;
                const float cost = step.cost + pace * (1.0F + 4.0F / (1.0F + depth.at<float>(q)));
                if (cost < best.at<float>(q)) {
                    best.at<float>(q) = cost;
                    back.at<int>(q) = step.at;
                    queue.push({cost, q.y * width + q.x});
                }
            }
        }
    }
    return {};
}

cv::Mat depth_in(const cv::Mat& mask) {
    cv::Mat depth;
    cv::distanceTransform(mask, depth, cv::DIST_L2, cv::DIST_MASK_3);
    return depth;
}

cv::Rect around(const cv::Mat& mask, int margin) {
    cv::Rect box = cv::boundingRect(mask);
    box -= cv::Point(margin, margin);
    box += cv::Size(2 * margin, 2 * margin);
    return box & cv::Rect({0, 0}, mask.size());
}

}  // namespace etchback::tracing
