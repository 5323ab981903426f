#include "tracing/pen_passages.h"

#include <algorithm>
#include <map>
#include <opencv2/imgproc.hpp>
#include <utility>

#include "tracing/pen_ways.h"

namespace etchback::tracing {

namespace {

using copper::Side;
using copper::Surface;

// CV_8U, 255 where the program sees a part, print or glare.
cv::Mat covers_of(const Lookout& view, Side side) {
    const copper::Raster& raster = view.trace().picture.raster;
    cv::Mat covers(raster.height, raster.width, CV_8U, cv::Scalar(0));
    const auto& surface = view.trace().picture.side(side)->surface;
    for (std::size_t i = 0; i < surface.size(); ++i) {
        const bool hides = surface[i] == Surface::body || surface[i] == Surface::unknown ||
                           surface[i] == Surface::legend;
        covers.data[i] = hides ? 255 : 0;
    }
    return covers;
}

// Where copper that was read as one net comes nearest to what was read as another, over copper of
// the same piece that was not read.
struct Meeting {
    cv::Point a;
    cv::Point b;
};

// Waves from all that was read of the known copper of a side over the rest of it: where two meet.
// By net, the lower first.
std::map<std::pair<int, int>, Meeting> meetings_of(const cv::Mat& piece, const cv::Mat& groups) {
    cv::Mat origin(piece.size(), CV_32S, cv::Scalar(-1));  // the pixel that a wave came from
    std::vector<int> wave;
    const int width = piece.cols;
    for (int i = 0; i < static_cast<int>(piece.total()); ++i) {
        if (piece.ptr<int>()[i] >= 0 && groups.ptr<int>()[i] >= 0) {
            origin.ptr<int>()[i] = i;
            wave.push_back(i);
        }
    }
    std::map<std::pair<int, int>, Meeting> met;
    while (!wave.empty()) {
        std::vector<int> next;
        for (const int i : wave) {
            const cv::Point p(i % width, i / width);
            for (const cv::Point step :
                 {cv::Point(1, 0), cv::Point(0, 1), cv::Point(-1, 0), cv::Point(0, -1)}) {
                const cv::Point q = p + step;
                if (!cv::Rect({0, 0}, piece.size()).contains(q) ||
                    piece.at<int>(q) != piece.at<int>(p)) {
                    continue;
                }
                const int own = origin.ptr<int>()[i];
                int& there = origin.at<int>(q);
                if (there < 0) {
                    there = own;
                    next.push_back(q.y * width + q.x);
                    continue;
                }
                int a = groups.ptr<int>()[own];
                int b = groups.ptr<int>()[there];
                if (a != b) {
                    Meeting meeting{{own % width, own / width}, {there % width, there / width}};
                    if (a > b) {
                        std::swap(a, b);
                        std::swap(meeting.a, meeting.b);
                    }
                    met.emplace(std::pair(a, b), meeting);
                }
            }
        }
        wave = std::move(next);
    }
    return met;
}

// Into what was read about a place: as far from its edges as is near by.
cv::Point inside(const cv::Mat& read, cv::Point at, double reach) {
    const cv::Mat depth = depth_in(read);
    cv::Point best = at;
    float deepest = depth.at<float>(at);
    const int r = cvRound(reach);
    for (int y = std::max(0, at.y - r); y <= std::min(read.rows - 1, at.y + r); ++y) {
        for (int x = std::max(0, at.x - r); x <= std::min(read.cols - 1, at.x + r); ++x) {
            const double far = std::hypot(x - at.x, y - at.y);
            if (far <= reach && depth.at<float>(y, x) > deepest) {
                deepest = depth.at<float>(y, x);
                best = {x, y};
            }
        }
    }
    return best;
}

// The way from one to the other along the piece. Empty: it does not lead below a cover, or comes
// out in between where the program sees board.
std::vector<cv::Point> passage(const Lookout& view,
                               Side side,
                               const Meeting& meeting,
                               const cv::Mat& covers) {
    constexpr double room_mm = 6.0;
    constexpr double into_mm = 0.8;
    constexpr double rim_mm = 0.2;
    const cv::Mat& piece = view.seen(side).piece;
    const cv::Mat& groups = view.groups(side);
    const double mm = view.px_per_mm();
    const int room = cvRound(room_mm * mm);
    const cv::Rect box =
        (cv::Rect(meeting.a, cv::Size(1, 1)) | cv::Rect(meeting.b, cv::Size(1, 1))) +
        cv::Size(2 * room, 2 * room) - cv::Point(room, room);
    const cv::Rect within = box & cv::Rect({0, 0}, piece.size());
    const cv::Point off = within.tl();
    const cv::Mat walkable = piece(within) == piece.at<int>(meeting.a);
    const auto start = [&](cv::Point at) {
        return inside((groups(within) == groups.at<int>(at)) & walkable, at - off, into_mm * mm);
    };
    cv::Mat goal(walkable.size(), CV_8U, cv::Scalar(0));
    goal.at<std::uint8_t>(start(meeting.b)) = 255;
    std::vector<cv::Point> way = way_over(walkable, depth_in(walkable), start(meeting.a), goal);
    int covered = 0;
    int open = 0;
    for (cv::Point& p : way) {
        p += off;
        if (groups.at<int>(p) < 0) {
            ++(covers.at<std::uint8_t>(p) != 0 ? covered : open);
        }
    }
    return covered == 0 || open > rim_mm * mm ? std::vector<cv::Point>() : way;
}

}  // namespace

std::vector<Wish> wish_passages(const Lookout& view, Side side) {
    const cv::Mat covers = covers_of(view, side);
    std::vector<NetLink> links;
    std::vector<std::vector<cv::Point>> ways;
    for (const auto& [nets, meeting] : meetings_of(view.seen(side).piece, view.groups(side))) {
        std::vector<cv::Point> way = passage(view, side, meeting, covers);
        if (way.size() > 1) {
            links.push_back({nets.first, nets.second});
            ways.push_back(std::move(way));
        }
    }
    const auto wish_where = [&](auto lies) {
        std::vector<NetLink> some;
        std::vector<std::size_t> index;
        for (std::size_t i = 0; i < links.size(); ++i) {
            if (lies(ways[i].front().x)) {
                some.push_back(links[i]);
                index.push_back(i);
            }
        }
        const WorthJoining worth = worth_joining(some, view.pads());
        Wish wish;
        wish.side = side;
        wish.says = "hidden copper";
        wish.gain = worth.gain;
        for (const std::size_t i : worth.links) {
            wish.passages.push_back(ways[index[i]]);
        }
        return wish;
    };
    const int middle = covers.cols / 2;
    std::vector<Wish> wishes = {wish_where([](int) { return true; }),
                                wish_where([&](int x) { return x < middle; }),
                                wish_where([&](int x) { return x >= middle; })};
    std::erase_if(wishes, [](const Wish& wish) { return wish.gain <= 0; });
    return wishes;
}

namespace {

// A pen on its way from passage to passage: over board rather than over copper or covers. It looks
// at cells of a quarter of a millimetre.
class Traveller {
public:
    Traveller(const Lookout& view, Side side)
        : seen_(view.seen(side)),
          groups_(view.groups(side)),
          covers_(covers_of(view, side)),
          px_per_mm_(view.px_per_mm()),
          scale_(std::min(1.0, cells_per_mm / px_per_mm_)) {
        constexpr float reluctant = -0.6F;
        cv::Mat share;
        cv::resize(covers_ | (groups_ >= 0), share, {}, scale_, scale_, cv::INTER_AREA);
        room_ = depth_in(share == 0);
        room_.setTo(reluctant, share > 0);
        anywhere_ = cv::Mat(room_.size(), CV_8U, cv::Scalar(255));
    }

    // Empty: it would join on its way what is not one.
    std::vector<cv::Point> way(cv::Point from, cv::Point to) const {
        cv::Mat goal(room_.size(), CV_8U, cv::Scalar(0));
        goal.at<std::uint8_t>(cell(to)) = 255;
        std::vector<cv::Point> way = way_over(anywhere_, room_, cell(from), goal);
        for (cv::Point& p : way) {
            p = {std::min(groups_.cols - 1, cvRound((p.x + 0.5) / scale_)),
                 std::min(groups_.rows - 1, cvRound((p.y + 0.5) / scale_))};
        }
        way.front() = from;
        way.back() = to;
        return joins_wrongly(way) ? std::vector<cv::Point>() : way;
    }

private:
    static constexpr double cells_per_mm = 4.0;

    cv::Point cell(cv::Point p) const {
        return {std::min(room_.cols - 1, static_cast<int>(p.x * scale_)),
                std::min(room_.rows - 1, static_cast<int>(p.y * scale_))};
    }

    // What the program says of a line: from copper below a cover onto copper is one.
    bool joins_wrongly(const std::vector<cv::Point>& way) const {
        constexpr double rim_mm = 0.35;
        int from = -1;  // true net of the copper that it left
        bool covered = false;
        double open = 0.0;
        for (std::size_t i = 1; i < way.size(); ++i) {
            cv::LineIterator pixel(groups_, way[i - 1], way[i]);
            for (int k = 0; k < pixel.count; ++k, ++pixel) {
                const cv::Point p = pixel.pos();
                if (groups_.at<int>(p) >= 0) {
                    const int net = seen_.net.at<int>(p);
                    if (from >= 0 && covered && net != from) {
                        return true;
                    }
                    from = net;
                    covered = false;
                    open = 0.0;
                } else if (covers_.at<std::uint8_t>(p) != 0) {
                    covered = true;
                } else if (++open > rim_mm * px_per_mm_) {
                    from = -1;
                }
            }
        }
        return false;
    }

    const SeenSide& seen_;
    const cv::Mat& groups_;
    cv::Mat covers_;
    double px_per_mm_;
    double scale_;
    cv::Mat room_;
    cv::Mat anywhere_;
};

}  // namespace

std::vector<cv::Point> along_passages(const Lookout& view, const Wish& wish, double longest_mm) {
    const double longest = longest_mm * view.px_per_mm();
    const Traveller pen(view, wish.side);
    std::vector<std::vector<cv::Point>> left = wish.passages;
    std::vector<cv::Point> along = left.front();
    double length = static_cast<double>(along.size());
    left.erase(left.begin());
    while (!left.empty()) {
        const auto far = [&](const std::vector<cv::Point>& way) {
            return std::min(cv::norm(along.back() - way.front()),
                            cv::norm(along.back() - way.back()));
        };
        const auto next = std::ranges::min_element(left, {}, far);
        std::vector<cv::Point> way = std::move(*next);
        left.erase(next);
        if (cv::norm(along.back() - way.back()) < cv::norm(along.back() - way.front())) {
            std::ranges::reverse(way);
        }
        const std::vector<cv::Point> there = pen.way(along.back(), way.front());
        double more = static_cast<double>(way.size());
        for (std::size_t i = 1; i < there.size(); ++i) {
            more += cv::norm(there[i] - there[i - 1]);
        }
        if (there.empty() || length + more > longest) {
            continue;
        }
        length += more;
        along.insert(along.end(), there.begin(), there.end());
        along.insert(along.end(), way.begin(), way.end());
    }
    return along;
}

}  // namespace etchback::tracing
