// Basins found step by step, only what changed being divided again, against basins found at once.
#include "copper/eye/detail/basins.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "copper/eye/detail/island_middles.h"
#include "copper/eye/detail/rings.h"

namespace etchback::copper::eye::detail {
namespace {

// Soft patches of every probability, more or less hanging together.
cv::Mat patches(cv::RNG& random) {
    cv::Mat copper(random.uniform(3, 90), random.uniform(3, 90), CV_8U);
    random.fill(copper, cv::RNG::UNIFORM, 0, 256);
    cv::GaussianBlur(copper, copper, {}, random.uniform(0.5, 3.0));
    return (copper - 100) * 4;
}

BasinLimits limits_by(cv::RNG& random) {
    BasinLimits limits;
    limits.blur_px = random.uniform(0.5, 2.0);
    limits.least_core_px = random.uniform(1, 12);
    limits.least_island_px = random.uniform(1, 8);
    return limits;
}

void expect_same(const Basins& a, const Basins& b) {
    ASSERT_EQ(a.count, b.count);
    EXPECT_EQ(cv::countNonZero(a.labels != b.labels), 0);
    EXPECT_EQ(cv::countNonZero(a.level != b.level), 0);
    ASSERT_EQ(a.saddles.size(), b.saddles.size());
    for (std::size_t i = 0; i < a.saddles.size(); ++i) {
        const Saddle& p = a.saddles[i];
        const Saddle& q = b.saddles[i];
        EXPECT_EQ(std::tuple(p.a, p.b, p.level, p.joined, p.at.x, p.at.y),
                  std::tuple(q.a, q.b, q.level, q.joined, q.at.x, q.at.y));
    }
    ASSERT_EQ(a.seeds.size(), b.seeds.size());
    for (std::size_t i = 0; i < a.seeds.size(); ++i) {
        EXPECT_EQ(a.seeds[i].core, b.seeds[i].core);
        EXPECT_EQ(a.seeds[i].first, b.seeds[i].first);
    }
}

TEST(Basins, ComeToTheSameStepByStepAndAtOnce) {
    cv::RNG random(4);
    int taken_over = 0;
    for (int i = 0; i < 60; ++i) {
        cv::Mat copper = patches(random);
        const BasinLimits limits = limits_by(random);
        Basins basins = find_basins(copper, limits);
        cv::Mat walls;
        for (int step = 0; step < 8; ++step) {
            copper = copper.clone();
            const cv::Point at(random.uniform(0, copper.cols), random.uniform(0, copper.rows));
            if (step == 3) {
                walls = cv::Mat::zeros(copper.size(), CV_8U);
                cv::line(walls, at, {0, 0}, cv::Scalar(255), 2);
            } else if (step == 6) {
                walls = cv::Mat();
            } else if (step != 5) {  // once the same again
                cv::circle(copper,
                           at,
                           random.uniform(0, 8),
                           cv::Scalar::all(random.uniform(0, 256)),
                           cv::FILLED);
            }
            if (!walls.empty()) {
                copper.setTo(0, walls);
            }
            const Basins next = find_basins(copper, limits, walls, &basins);
            expect_same(next, find_basins(copper, limits, walls));
            ASSERT_EQ(next.before.size(), next.seeds.size());
            for (int label = 0; label < next.count; ++label) {
                if (const int before = next.before[static_cast<std::size_t>(label)]; before >= 0) {
                    ++taken_over;
                    EXPECT_EQ(cv::countNonZero((next.labels == label) != (basins.labels == before)),
                              0);
                }
            }
            basins = next;
        }
    }
    EXPECT_GT(taken_over, 500);
}

// How far a pixel is from the nearest one of another island or of none, or from the picture's edge.
double depth_at(const cv::Mat& islands, cv::Point at) {
    double nearest = std::min({at.x, at.y, islands.cols - 1 - at.x, islands.rows - 1 - at.y}) + 1.0;
    for (int y = 0; y < islands.rows; ++y) {
        for (int x = 0; x < islands.cols; ++x) {
            if (islands.at<int>(y, x) != islands.at<int>(at)) {
                nearest = std::min(nearest, std::hypot(x - at.x, y - at.y));
            }
        }
    }
    return nearest;
}

std::vector<cv::Rect> boxes_of(const cv::Mat& islands, std::size_t count) {
    std::vector<cv::Rect> boxes(count);
    for (const Ring& ring : trace_rings(islands)) {
        boxes[static_cast<std::size_t>(ring.island)] |= ring.box();
    }
    return boxes;
}

TEST(Basins, HaveTheirMiddlesAlsoWhereOnlySomeAreSought) {
    cv::RNG random(5);
    for (int i = 0; i < 60; ++i) {
        cv::Mat copper = patches(random);
        if (i % 3 == 0) {
            cv::resize(copper, copper, {}, 4.0, 4.0, cv::INTER_LINEAR);  // with wide islands
        }
        const Basins basins = find_basins(copper, limits_by(random));
        std::vector<cv::Point> all(static_cast<std::size_t>(basins.count), no_middle);
        const std::vector<cv::Rect> boxes = boxes_of(basins.labels, all.size());
        for (std::size_t k = 0; k < boxes.size(); ++k) {
            std::vector<cv::Point> pixels;
            cv::findNonZero(basins.labels == static_cast<int>(k), pixels);
            EXPECT_EQ(boxes[k], cv::boundingRect(pixels));
        }
        find_middles(basins.labels, boxes, all);
        std::vector<cv::Point> some = all;
        for (std::size_t k = 0; k < some.size(); ++k) {
            EXPECT_EQ(basins.labels.at<int>(all[k]), static_cast<int>(k));
            some[k] = random.uniform(0, 3) == 0 ? no_middle : some[k];
        }
        find_middles(basins.labels, boxes, some);
        EXPECT_EQ(some, all);
    }
}

TEST(Basins, HaveTheirMiddlesWhereTheyAreWide) {
    cv::Mat islands(240, 300, CV_32S, cv::Scalar(-1));
    cv::line(islands, {20, 200}, {280, 200}, cv::Scalar(0), 9);  // a track that ends in a disc
    cv::circle(islands, {100, 120}, 90, cv::Scalar(0), cv::FILLED);
    cv::circle(islands, {240, 60}, 20, cv::Scalar(1), cv::FILLED);
    cv::line(islands, {5, 5}, {290, 5}, cv::Scalar(2), 1);  // thin all over
    std::vector<cv::Point> middles(3, no_middle);
    find_middles(islands, boxes_of(islands, 3), middles);
    EXPECT_GT(depth_at(islands, middles[0]), 86.0);
    EXPECT_GT(depth_at(islands, middles[1]), 19.0);
    EXPECT_EQ(middles[2].y, 5);
}

}  // namespace
}  // namespace etchback::copper::eye::detail
