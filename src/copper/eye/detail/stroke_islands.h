// What strokes of the person say of islands. A line of copper is one piece from end to end, a cut
// or laminate parts whatever lies on either side, a bridge joins what lies below its two ends.
#pragma once

#include <opencv2/core.hpp>
#include <vector>

#include "copper/eye/detail/stroke_line.h"
#include "copper/eye/surface.h"
#include "copper/islands.h"

namespace etchback::copper::eye::detail {

bool says_copper(RasterStroke::Says says);

// From a place to the middle of a stroke, in pixels; infinite of a stroke without a point.
double distance_px(cv::Point2d at, const RasterStroke& stroke);

// The island at a place in pixels, or the nearest within `reach` pixels; -1: none.
int island_near(cv::Point2d at, const cv::Mat& labels, double reach);

// CV_8U, 255 where a stroke says that nothing goes across: cuts and what is no copper. Where a line
// ends a hand's error before the edge of the copper that it parts, it goes on to that edge. Empty:
// there is no such stroke. `copper`: CV_8U, 255 * probability.
cv::Mat walls_of(const std::vector<RasterStroke>& strokes, const cv::Mat& copper, double px_per_mm);

// Lines of copper: where no island is seen below one, it becomes islands of its own in `labels`
// (CV_32S), numbered from `next` on, which is raised. All that a line follows is joined; a
// neighbour that it only brushes is not.
void follow_copper(const std::vector<RasterStroke>& strokes,
                   const Raster& raster,
                   cv::Mat& labels,
                   int& next,
                   std::vector<Joint>& joints);

// What a line of copper followed below print teaches of other places where print crosses a track:
// each place that a stroke shows to be joined makes the other gaps and hidden ways below print of
// this side likelier.
void learn_from_strokes(const std::vector<RasterStroke>& strokes,
                        const SidePicture& side,
                        const Raster& raster,
                        const cv::Mat& labels,
                        std::vector<Joint>& joints);

// Lines of copper lead through the holes whose middle they pass: a joint to the copper about the
// hole on the other side. `own`, `other`: labels of the strokes' side and of the other.
void lead_through(const std::vector<RasterStroke>& strokes,
                  const std::vector<Hole>& holes,
                  const Raster& raster,
                  const cv::Mat& own,
                  const cv::Mat& other,
                  std::vector<Joint>& joints);

// Decides the places of this side in whose middle a line passes, or hardly further off than a hand
// is: `goes on` closes gaps, hidden ways and doubtful holes, `hidden copper` doubtful holes and
// the ways between islands that it follows one after the other, `stops` opens these and necks and
// holes that were taken for plated. Of several lines the last counts. `labels` as after
// follow_copper.
void decide_ways(const std::vector<RasterStroke>& strokes,
                 const Raster& raster,
                 const cv::Mat& labels,
                 std::vector<Joint>& joints);

// Takes away the hidden ways that lines of copper cross, whose islands are those from `first` up to
// `end`: these say themselves where copper leads. What a line of `goes on` or `stops` decided
// stays.
void drop_crossed(
    const cv::Mat& labels, int first, int end, const Raster& raster, std::vector<Joint>& joints);

// Joints of cuts (open) and bridges (closed).
void cut_and_bridge(const std::vector<RasterStroke>& strokes,
                    const Raster& raster,
                    const cv::Mat& labels,
                    std::vector<Joint>& joints);

}  // namespace etchback::copper::eye::detail
