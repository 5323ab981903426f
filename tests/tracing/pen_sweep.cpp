#include "tracing/pen_sweep.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "tracing/pen_ways.h"

namespace etchback::tracing {

namespace {

constexpr double cells_per_mm = 8.0;
constexpr double keep_off_mm = 0.55;

}  // namespace

std::vector<cv::Point> sweep_over(const std::vector<cv::Point2d>& right,
                                  const std::vector<cv::Point2d>& others,
                                  const std::vector<cv::Point2d>& wrong,
                                  cv::Size size,
                                  double px_per_mm,
                                  double longest_mm) {
    const double scale = std::min(1.0, cells_per_mm / px_per_mm);
    const cv::Size cells(cvCeil(size.width * scale), cvCeil(size.height * scale));
    cv::Mat walkable(cells, CV_8U, cv::Scalar(255));
    for (const cv::Point2d& place : wrong) {
        cv::circle(walkable,
                   place * scale,
                   cvCeil(keep_off_mm * px_per_mm * scale),
                   cv::Scalar(0),
                   cv::FILLED);
    }
    cv::Mat regions;
    const int count = cv::connectedComponents(walkable, regions, 8, CV_32S);
    const auto by_region = [&](const std::vector<cv::Point2d>& places) {
        std::vector<std::vector<cv::Point>> sorted(static_cast<std::size_t>(count));
        for (const cv::Point2d& place : places) {
            const cv::Point p(cvRound(place.x * scale), cvRound(place.y * scale));
            if (p.x >= 0 && p.y >= 0 && p.x < cells.width && p.y < cells.height &&
                walkable.at<std::uint8_t>(p) != 0) {
                sorted[static_cast<std::size_t>(regions.at<int>(p))].push_back(p);
            }
        }
        return sorted;
    };
    // Where most can be reached without lifting the pen.
    const std::vector<std::vector<cv::Point>> places = by_region(right);
    const auto most = std::ranges::max_element(places, {}, &std::vector<cv::Point>::size);
    if (most->empty()) {
        return {};
    }
    const cv::Point first =
        *std::ranges::min_element(*most, {}, [](const cv::Point& p) { return p.x + p.y; });
    const cv::Mat room = depth_in(walkable);
    std::vector<cv::Point> along = {first};
    const double longest = longest_mm * px_per_mm * scale;
    for (const std::vector<cv::Point>& some :
         {*most, by_region(others)[static_cast<std::size_t>(most - places.begin())]}) {
        cv::Mat goals(cells, CV_8U, cv::Scalar(0));
        for (const cv::Point& p : some) {
            goals.at<std::uint8_t>(p) = 255;
        }
        for (const cv::Point& p : along) {
            goals.at<std::uint8_t>(p) = 0;
        }
        while (cv::countNonZero(goals) > 0) {
            const std::vector<cv::Point> way = way_over(walkable, room, along.back(), goals);
            if (way.empty() || static_cast<double>(along.size() + way.size()) > longest) {
                break;
            }
            along.insert(along.end(), way.begin() + 1, way.end());
            goals.at<std::uint8_t>(along.back()) = 0;
        }
    }
    for (cv::Point& p : along) {
        p = cv::Point(cvRound(p.x / scale), cvRound(p.y / scale));
    }
    if (along.size() == 1) {
        along.push_back(along.front() + cv::Point(1, 0));  // a dot is drawn as a short line
    }
    return along;
}

}  // namespace etchback::tracing
