#include "tracing/pen_passages.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <opencv2/imgproc.hpp>
#include <optional>
#include <utility>

#include "tracing/pen_ways.h"

namespace etchback::tracing {

namespace {

using copper::Joint;
using copper::Side;
using copper::Surface;
using Line = std::vector<cv::Point>;

constexpr double keep_off_mm = 0.55;  // from what a line would decide, with a hand's error
// How far from their ends ways along copper may lead.
constexpr double passages_mm = 6.0;
constexpr double places_mm = 2.0;

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

// The way from one to the other along the piece, that far from both at most.
Line way_along_piece(const Lookout& view, Side side, const Meeting& meeting, double room_mm) {
    constexpr double into_mm = 0.8;
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
    Line way = way_over(walkable, depth_in(walkable), start(meeting.a), goal);
    for (cv::Point& p : way) {
        p += off;
    }
    return way;
}

// It leads below a cover, and does not come out in between where the program sees board.
bool is_passage(const Line& way, const cv::Mat& groups, const cv::Mat& covers, double px_per_mm) {
    constexpr double rim_mm = 0.2;
    int covered = 0;
    int open = 0;
    for (const cv::Point& p : way) {
        if (groups.at<int>(p) < 0) {
            ++(covers.at<std::uint8_t>(p) != 0 ? covered : open);
        }
    }
    return covered > 0 && open <= rim_mm * px_per_mm;
}

// The pixel of an island on known copper that is nearest to a place.
std::optional<cv::Point> nearest_of(const Lookout& view, Side side, int island, cv::Point at) {
    constexpr double farthest_mm = 1.0;
    const cv::Mat& piece = view.seen(side).piece;
    const auto& map = view.trace().islands.map(side);
    const int r = cvRound(farthest_mm * view.px_per_mm());
    std::optional<cv::Point> nearest;
    double best = r;
    for (int dy = -r; dy <= r; ++dy) {
        for (int dx = -r; dx <= r; ++dx) {
            const cv::Point p = at + cv::Point(dx, dy);
            const double far = std::hypot(dx, dy);
            if (far < best && cv::Rect({0, 0}, piece.size()).contains(p) && piece.at<int>(p) >= 0 &&
                map[static_cast<std::size_t>(p.y) * piece.cols + p.x] == island) {
                best = far;
                nearest = p;
            }
        }
    }
    return nearest;
}

// Places in doubt, as `hidden copper` decides them.
bool is_open_hole(const Joint& joint) {
    return joint.kind == Joint::Kind::hole && joint.joined <= 0.5;
}
bool is_way_of(const Lookout& view, Side side, const Joint& joint) {
    return (joint.kind == Joint::Kind::gap || joint.kind == Joint::Kind::hidden) &&
           view.trace().islands.islands[static_cast<std::size_t>(joint.a)].side == side;
}

// Over a place at which copper goes on, as one knows: a short line, or a dot on a hole. Empty:
// there is none.
Line over_place(const Lookout& view, Side side, const Joint& joint) {
    const cv::Point at = view.pixel(joint.at);
    if (joint.kind == Joint::Kind::hole) {
        return {at};
    }
    const bool is_path = !joint.path.empty();
    const auto a =
        nearest_of(view, side, joint.a, is_path ? cv::Point(view.pixel(joint.path.front())) : at);
    const auto b =
        nearest_of(view, side, joint.b, is_path ? cv::Point(view.pixel(joint.path.back())) : at);
    const cv::Mat& piece = view.seen(side).piece;
    if (!a || !b || piece.at<int>(*a) != piece.at<int>(*b)) {
        return {};
    }
    const Line way = way_along_piece(view, side, {*a, *b}, places_mm);
    const bool passes = std::ranges::any_of(
        way, [&](cv::Point p) { return cv::norm(p - at) < 0.1 * view.px_per_mm(); });
    return passes ? way : Line();
}

}  // namespace

namespace {

// What a line may join, and where.
class Passages {
public:
    Passages(const Lookout& view, Side side, bool also_places)
        : view_(view), side_(side), covers_(covers_of(view, side)) {
        for (const auto& [nets, meeting] : meetings_of(view.seen(side).piece, view.groups(side))) {
            all_.push_back({{nets.first, nets.second}, meeting.a, meeting, nullptr, {}});
        }
        if (!also_places) {
            return;
        }
        for (const Joint& joint : view.trace().islands.joints) {
            const NetLink link{view.group_of(joint.a), view.group_of(joint.b)};
            if ((is_open_hole(joint) || is_way_of(view, side, joint)) && link.a != link.b &&
                view.is_right(side, joint)) {
                all_.push_back({link, view.pixel(joint.at), {}, &joint, {}});
            }
        }
    }

    // One line over all that is worth it between two places from left to right.
    Wish wish(int from_x, int to_x) {
        Wish wish;
        wish.side = side_;
        wish.says = "hidden copper";
        std::vector<Passage*> some;
        for (Passage& one : all_) {
            if (one.at.x >= from_x && one.at.x < to_x) {
                some.push_back(&one);
            }
        }
        WorthJoining worth;
        bool all_lead = false;
        while (!all_lead) {
            std::erase_if(some, [](const Passage* one) { return one->way && one->way->empty(); });
            std::vector<NetLink> links;
            for (const Passage* one : some) {
                links.push_back(one->link);
            }
            worth = worth_joining(links, view_.pads());
            all_lead = true;
            for (const std::size_t i : worth.links) {
                if (!some[i]->way) {
                    some[i]->way = way_of(*some[i]);
                }
                all_lead = all_lead && !some[i]->way->empty();
            }
        }
        wish.gain = worth.gain;
        for (const std::size_t i : worth.links) {
            wish.passages.push_back(*some[i]->way);
        }
        return wish;
    }

private:
    struct Passage {
        NetLink link;
        cv::Point at;
        Meeting meeting;
        const Joint* joint = nullptr;  // of a place in doubt
        std::optional<Line> way;       // once it was looked for; empty: there is none
    };

    Line way_of(const Passage& one) const {
        if (one.joint != nullptr) {
            return over_place(view_, side_, *one.joint);
        }
        Line way = way_along_piece(view_, side_, one.meeting, passages_mm);
        const bool is =
            way.size() > 1 && is_passage(way, view_.groups(side_), covers_, view_.px_per_mm());
        return is ? way : Line();
    }

    const Lookout& view_;
    Side side_;
    cv::Mat covers_;
    std::vector<Passage> all_;
};

}  // namespace

std::vector<Wish> wish_passages(const Lookout& view, Side side, bool also_places) {
    Passages passages(view, side, also_places);
    const int width = view.seen(side).piece.cols;
    std::vector<Wish> wishes = {
        passages.wish(0, width), passages.wish(0, width / 2), passages.wish(width / 2, width)};
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
          islands_(view.trace().islands),
          groups_(view.groups(side)),
          map_(islands_.map(side)),
          covers_(covers_of(view, side)),
          px_per_mm_(view.px_per_mm()),
          scale_(std::min(1.0, cells_per_mm / px_per_mm_)) {
        constexpr float reluctant = -0.6F;
        cv::Mat avoided = covers_ | (groups_ >= 0);
        for (const Joint& joint : islands_.joints) {
            const bool is_hole = is_open_hole(joint);
            if (view.group_of(joint.a) == view.group_of(joint.b) ||
                (!is_hole && !is_way_of(view, side, joint)) || view.is_right(side, joint)) {
                continue;
            }
            const cv::Point at = view.pixel(joint.at);
            if (is_hole) {
                wrong_holes_.push_back(at);
                cv::circle(avoided, at, cvRound(keep_off_mm * px_per_mm_), 255, cv::FILLED);
            } else {
                wrong_ways_[std::minmax(joint.a, joint.b)].push_back(at);
            }
        }
        cv::Mat share;
        cv::resize(avoided, share, {}, scale_, scale_, cv::INTER_AREA);
        room_ = depth_in(share == 0);
        room_.setTo(reluctant, share > 0);
        anywhere_ = cv::Mat(room_.size(), CV_8U, cv::Scalar(255));
    }

    // Empty: it would join on its way what is not one.
    Line way(cv::Point from, cv::Point to) const {
        cv::Mat goal(room_.size(), CV_8U, cv::Scalar(0));
        goal.at<std::uint8_t>(cell(to)) = 255;
        Line way = way_over(anywhere_, room_, cell(from), goal);
        for (cv::Point& p : way) {
            p = {std::min(groups_.cols - 1, cvRound((p.x + 0.5) / scale_)),
                 std::min(groups_.rows - 1, cvRound((p.y + 0.5) / scale_))};
        }
        way.front() = from;
        way.back() = to;
        return joins_wrongly(way) || decides_wrongly(way) ? Line() : way;
    }

    // It passes a place in doubt where copper does not go on, so that it would join there.
    bool decides_wrongly(const Line& way) const {
        const auto passes = [&](cv::Point at) {
            return std::ranges::any_of(
                way, [&](cv::Point p) { return cv::norm(p - at) <= keep_off_mm * px_per_mm_; });
        };
        if (std::ranges::any_of(wrong_holes_, passes)) {
            return true;
        }
        int before = -1;
        for (std::size_t i = 0; i < way.size(); ++i) {
            cv::LineIterator pixel(groups_, way[i == 0 ? 0 : i - 1], way[i]);
            for (int k = 0; k < pixel.count; ++k, ++pixel) {
                const cv::Point p = pixel.pos();
                const int island = map_[static_cast<std::size_t>(p.y) * groups_.cols + p.x];
                if (island < 0 || island == before) {
                    continue;
                }
                const auto wrong = wrong_ways_.find(std::minmax(before, island));
                before = island;
                if (wrong != wrong_ways_.end() && std::ranges::any_of(wrong->second, passes)) {
                    return true;
                }
            }
        }
        return false;
    }

private:
    static constexpr double cells_per_mm = 4.0;

    cv::Point cell(cv::Point p) const {
        return {std::min(room_.cols - 1, static_cast<int>(p.x * scale_)),
                std::min(room_.rows - 1, static_cast<int>(p.y * scale_))};
    }

    // What the program says of a line: from copper below a cover onto copper is one.
    bool joins_wrongly(const Line& way) const {
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
    const copper::Islands& islands_;
    const cv::Mat& groups_;
    const std::vector<std::int32_t>& map_;
    std::map<std::pair<int, int>, std::vector<cv::Point>> wrong_ways_;
    std::vector<cv::Point> wrong_holes_;
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
    std::vector<Line> left = wish.passages;
    std::erase_if(left, [&](const Line& way) { return pen.decides_wrongly(way); });
    if (left.empty()) {
        return {};
    }
    Line along = left.front();
    double length = static_cast<double>(along.size());
    left.erase(left.begin());
    while (!left.empty()) {
        const auto far = [&](const Line& way) {
            return std::min(cv::norm(along.back() - way.front()),
                            cv::norm(along.back() - way.back()));
        };
        const auto next = std::ranges::min_element(left, {}, far);
        Line way = std::move(*next);
        left.erase(next);
        if (cv::norm(along.back() - way.back()) < cv::norm(along.back() - way.front())) {
            std::ranges::reverse(way);
        }
        const Line there = pen.way(along.back(), way.front());
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
