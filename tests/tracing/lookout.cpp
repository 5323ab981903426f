#include "tracing/lookout.h"

#include <algorithm>

#include "copper/eye/detail/raster_pixels.h"

namespace etchback::tracing {

using copper::Side;

Lookout::Lookout(const InventedBoard& board, const TracedBoard& first) : board_(board) {
    for (const Side side : {Side::top, Side::bottom}) {
        seen_[index(side)] = seen_side(board, first, side, names_);
    }
}

void Lookout::look(const TracedBoard& now) {
    now_ = &now;
    const copper::Nets& nets = now.trace.nets;
    pads_.assign(nets.nets.size(), {});
    dark_.clear();
    true_nets_.clear();
    for (std::size_t i = 0; i < now.trace.pads.size(); ++i) {
        true_nets_.push_back(names_.of(now.nets[i]));
        if (const int net = nets.net_of_pad[i]; net >= 0) {
            ++pads_[static_cast<std::size_t>(net)][true_nets_.back()];
        } else {
            dark_.push_back(i);
        }
    }
    for (const Side side : {Side::top, Side::bottom}) {
        const auto& islands = now.trace.islands.map(side);
        cv::Mat& groups = groups_[index(side)];
        groups = cv::Mat(seen_[index(side)].net.size(), CV_32S, cv::Scalar(-1));
        for (std::size_t i = 0; i < islands.size(); ++i) {
            groups.ptr<int>()[i] = islands[i] < 0 ? -1 : group_of(islands[i]);
        }
        look_at_pieces(side);
    }
}

void Lookout::look_at_pieces(Side side) {
    const SeenSide& seen = seen_[index(side)];
    auto& read = read_on_[index(side)];
    auto& net = net_of_piece_[index(side)];
    read.assign(static_cast<std::size_t>(seen.pieces), {});
    net.assign(static_cast<std::size_t>(seen.pieces), -1);
    const int* group = groups_[index(side)].ptr<int>();
    for (std::size_t i = 0; i < seen.piece.total(); ++i) {
        if (const int piece = seen.piece.ptr<int>()[i]; piece >= 0) {
            net[static_cast<std::size_t>(piece)] = seen.net.ptr<int>()[i];
            if (group[i] >= 0) {
                ++read[static_cast<std::size_t>(piece)][group[i]];
            }
        }
    }
}

cv::Point2d Lookout::pixel(copper::Point at) const {
    return copper::eye::detail::pixel_of(at, now_->trace.picture.raster);
}

// The pieces of known copper on an island about a place.
std::set<int> Lookout::pieces_at(Side side, int island, cv::Point2d at) const {
    constexpr double about_mm = 0.5;
    const SeenSide& seen = seen_[index(side)];
    const auto& islands = now_->trace.islands.map(side);
    const int r = cvRound(about_mm * px_per_mm());
    std::set<int> pieces;
    for (int dy = -r; dy <= r; ++dy) {
        for (int dx = -r; dx <= r; ++dx) {
            const cv::Point p(cvRound(at.x) + dx, cvRound(at.y) + dy);
            if (cv::Rect({0, 0}, seen.piece.size()).contains(p) &&
                islands[static_cast<std::size_t>(p.y) * seen.piece.cols + p.x] == island) {
                pieces.insert(seen.piece.at<int>(p));
            }
        }
    }
    pieces.erase(-1);
    return pieces;
}

// Copper of one net on both sides, one above the other.
bool Lookout::is_one_net(copper::Point place) const {
    const cv::Point p = pixel(place);
    const cv::Mat& above = seen_[index(Side::top)].net;
    const cv::Mat& below = seen_[index(Side::bottom)].net;
    return cv::Rect({0, 0}, above.size()).contains(p) && above.at<int>(p) >= 0 &&
           above.at<int>(p) == below.at<int>(p);
}

bool Lookout::is_right(Side side, const copper::Joint& joint) const {
    if (joint.kind == copper::Joint::Kind::hole) {
        return is_one_net(joint.at);
    }
    const bool is_path = !joint.path.empty();
    const std::set<int> a =
        pieces_at(side, joint.a, pixel(is_path ? joint.path.front() : joint.at));
    const std::set<int> b = pieces_at(side, joint.b, pixel(is_path ? joint.path.back() : joint.at));
    return std::ranges::any_of(a, [&](int piece) { return b.contains(piece); });
}

int Lookout::group_about(Side side, cv::Point hole) const {
    constexpr double ring_mm = 0.6;
    const cv::Mat& piece = seen_[index(side)].piece;
    const int r = cvRound(ring_mm * px_per_mm());
    const cv::Rect inside({0, 0}, piece.size());
    std::map<int, int> votes;
    for (int dy = -r; dy <= r; ++dy) {
        for (int dx = -r; dx <= r; ++dx) {
            const cv::Point p = hole + cv::Point(dx, dy);
            if (inside.contains(p) && piece.at<int>(p) == piece.at<int>(hole)) {
                ++votes[groups_[index(side)].at<int>(p)];
            }
        }
    }
    votes.erase(-1);
    const auto most = std::ranges::max_element(votes, {}, &std::pair<const int, int>::second);
    return most == votes.end() ? -1 : most->first;
}

int Lookout::group_of_piece(Side side, int piece) const {
    const auto k = static_cast<std::size_t>(piece);
    int best = -1;
    int most = 0;
    for (const auto& [group, pixels] : read_on_[index(side)][k]) {
        const PadsByNet& pads = pads_[static_cast<std::size_t>(group)];
        const auto found = pads.find(net_of_piece_[index(side)][k]);
        if (found != pads.end() && found->second > most) {
            best = group;
            most = found->second;
        }
    }
    return best;
}

bool Lookout::is_found(copper::Point truly) const {
    constexpr double near_mm = 0.3;
    constexpr double least_real = 0.5;
    const cv::Point2d at = raster_place(board_, now_->trace, Side::top, truly);
    return std::ranges::any_of(now_->trace.picture.holes, [&](const copper::Hole& hole) {
        return hole.real >= least_real && cv::norm(pixel(hole.at) - at) <= near_mm * px_per_mm();
    });
}

}  // namespace etchback::tracing
