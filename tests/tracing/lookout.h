// What a person sees who lays the nets over the photos, and how it compares with what they know of
// the copper; see drawing_person.h.
#pragma once

#include <map>
#include <opencv2/core.hpp>
#include <set>
#include <vector>

#include "tracing/invented_board.h"
#include "tracing/seen_side.h"
#include "tracing/worth_joining.h"

namespace etchback::tracing {

class Lookout {
public:
    Lookout(const InventedBoard& board, const TracedBoard& first);

    // Looks again. `now` must outlive what is asked from here on.
    void look(const TracedBoard& now);

    // What they know: never changes.
    const SeenSide& seen(copper::Side side) const { return seen_[index(side)]; }
    const InventedBoard& board() const { return board_; }

    // What was read.
    const copper::Trace& trace() const { return now_->trace; }
    // CV_32S at each pixel of the raster: the net that was read, -1: none.
    const cv::Mat& groups(copper::Side side) const { return groups_[index(side)]; }
    // True nets of the pads on each net that was read, by its number.
    const std::vector<PadsByNet>& pads() const { return pads_; }
    // Pads on no copper.
    const std::vector<std::size_t>& dark() const { return dark_; }
    int true_net(std::size_t pad) const { return true_nets_[pad]; }

    // What was read of each piece of known copper: pixels of each net.
    const std::vector<std::map<int, int>>& read_on(copper::Side side) const {
        return read_on_[index(side)];
    }
    // The true net of each piece.
    const std::vector<int>& net_of_piece(copper::Side side) const {
        return net_of_piece_[index(side)];
    }

    double px_per_mm() const { return now_->trace.picture.raster.px_per_mm; }
    cv::Point2d pixel(copper::Point at) const;
    int group_of(int island) const {
        return now_->trace.nets.net_of_island[static_cast<std::size_t>(island)];
    }

    // Both ends of a joint lie on copper that one knows to be one.
    bool is_right(copper::Side side, const copper::Joint& joint) const;

    // What was read of the known copper about a hole; -1: nothing.
    int group_about(copper::Side side, cv::Point hole) const;
    // What was read of a piece of known copper and has most pins of its net; -1: nothing.
    int group_of_piece(copper::Side side, int piece) const;
    // The program knows the hole at a true place, so that a line of copper leads through it.
    bool is_found(copper::Point truly) const;

private:
    static std::size_t index(copper::Side side) { return static_cast<std::size_t>(side); }
    void look_at_pieces(copper::Side side);
    std::set<int> pieces_at(copper::Side side, int island, cv::Point2d at) const;
    bool is_one_net(copper::Point place) const;

    const InventedBoard& board_;
    Names names_;
    SeenSide seen_[2];
    const TracedBoard* now_ = nullptr;
    cv::Mat groups_[2];
    std::vector<PadsByNet> pads_;
    std::vector<std::size_t> dark_;
    std::vector<int> true_nets_;
    std::vector<std::map<int, int>> read_on_[2];
    std::vector<int> net_of_piece_[2];
};

}  // namespace etchback::tracing
