// The pixels that two classes are learned from.
#pragma once

#include <array>
#include <opencv2/core.hpp>
#include <vector>

#include "copper/eye/detail/two_classes.h"

namespace etchback::copper::eye::detail {

// Weighted sums of colours.
struct ColourSums {
    double weight = 0.0;
    cv::Vec3d mean = {0.0, 0.0, 0.0};
    std::array<double, 6> square = {};  // above the diagonal and on it, row by row

    cv::Matx33d covariance() const;
};

// A row for each quantity, so that four samples are worked on at once. The rows end with samples
// that count nothing, to whole fours.
class ClassSamples {
public:
    using Row = std::vector<float>;

    void add(const cv::Vec3f& colour, float weight, float second, int fixed, int cell);
    // After the last one.
    void complete();
    // Room for so many.
    void reserve(std::size_t count);

    std::size_t size() const { return cell.size(); }
    cv::Vec3f colour_of(std::size_t i) const { return {colour[0][i], colour[1][i], colour[2][i]}; }

    // Takes the light of each one's cell from the colours.
    void light_evenly(const cv::Mat& light);
    // Gives the first `count` samples to the clouds; what is fixed stays.
    void share_out(const std::array<Cloud, 2>& clouds, float strangers, std::size_t count);
    // Of the even colours of the first `count` samples, by their shares.
    ColourSums sums_of_first(std::size_t count) const { return sums(first, count); }
    ColourSums sums_of_second(std::size_t count) const { return sums(second, count); }
    // What clouds of these middles leave of the colours of the first `count` samples, summed up in
    // each cell (three numbers), and how much counts there (the fourth).
    std::vector<cv::Vec4f> left_in_cells(const std::array<Cloud, 2>& clouds,
                                         std::size_t count,
                                         std::size_t cells) const;
    // Mean logarithm over all samples. A stranger may have any colour.
    double likelihood(const std::array<Cloud, 2>& clouds) const;

    std::array<Row, 3> colour;
    std::array<Row, 3> even;  // the colours under even light
    Row weight;
    Row first;   // share of the first class
    Row second;  // of the second; a stranger has little of both
    std::vector<int> fixed;
    std::vector<int> cell;

private:
    ColourSums sums(const Row& share, std::size_t count) const;
};

}  // namespace etchback::copper::eye::detail
