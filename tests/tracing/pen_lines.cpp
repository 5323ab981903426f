#include "tracing/pen_lines.h"

#include <algorithm>
#include <map>
#include <opencv2/imgproc.hpp>
#include <set>

#include "tracing/pen_ways.h"

namespace etchback::tracing {

namespace {

// Places well inside what was read as one net, of a piece; where there are none, holes that lead
// to it.
cv::Mat goals_of(
    const Lookout& view, const Wish& wish, int group, const cv::Mat& walkable, cv::Rect box) {
    constexpr double inside_mm = 0.35;
    cv::Mat mask = (view.groups(wish.side)(box) == group) & walkable;
    const cv::Mat inside = depth_in(mask);
    double deepest = 0.0;
    cv::minMaxLoc(inside, nullptr, &deepest);
    if (deepest > 0.0) {
        return inside >= std::min(inside_mm * view.px_per_mm(), 0.8 * deepest);
    }
    for (const auto& [of, at] : wish.holes) {
        if (of == group) {
            mask.at<std::uint8_t>(at - box.tl()) = 255;
        }
    }
    return mask;
}

}  // namespace

std::vector<cv::Point> along_copper(const Lookout& view, const Wish& wish) {
    const cv::Mat whole = view.seen(wish.side).piece == wish.piece;
    const cv::Rect box = around(whole, 2);
    const cv::Mat walkable = whole(box);
    const cv::Mat depth = depth_in(walkable);
    std::vector<cv::Mat> goals;
    for (const int group : wish.groups) {
        goals.push_back(goals_of(view, wish, group, walkable, box));
    }
    for (const cv::Point& p : wish.dark) {
        goals.emplace_back(walkable.size(), CV_8U, cv::Scalar(0));
        goals.back().at<std::uint8_t>(p - box.tl()) = 255;
    }
    if (goals.size() < 2) {
        return {};
    }
    // Starts at the smallest: its way to the next is the first of the walk.
    const auto fewest = std::ranges::min_element(
        goals, {}, [](const cv::Mat& goal) { return cv::countNonZero(goal); });
    std::vector<cv::Point> some;
    cv::findNonZero(*fewest, some);
    if (some.empty()) {
        return {};
    }
    std::vector<cv::Point> along = {some[some.size() / 2]};
    goals.erase(fewest);
    while (!goals.empty()) {
        cv::Mat all(walkable.size(), CV_8U, cv::Scalar(0));
        for (const cv::Mat& goal : goals) {
            all |= goal;
        }
        const std::vector<cv::Point> way = way_over(walkable, depth, along.back(), all);
        if (way.empty()) {
            break;
        }
        along.insert(along.end(), way.begin() + 1, way.end());
        std::erase_if(goals, [&](const cv::Mat& goal) {
            return std::ranges::any_of(way,
                                       [&](cv::Point p) { return goal.at<std::uint8_t>(p) != 0; });
        });
    }
    for (cv::Point& p : along) {
        p += box.tl();
    }
    return along;
}

namespace {

// False copper that joins: board that was read as copper of a net and touches copper of two nets.
cv::Mat false_joins(const Lookout& view, copper::Side side, int group) {
    const SeenSide& seen = view.seen(side);
    const cv::Mat own = view.groups(side) == group;
    const cv::Mat taken = own & seen.board;
    cv::Mat pieces;
    const int count = cv::connectedComponents(taken, pieces, 4, CV_32S);
    std::vector<std::set<int>> nets(static_cast<std::size_t>(count));
    for (int y = 1; y + 1 < taken.rows; ++y) {
        for (int x = 1; x + 1 < taken.cols; ++x) {
            const int piece = pieces.at<int>(y, x);
            if (piece == 0) {
                continue;
            }
            for (const cv::Point step :
                 {cv::Point(1, 0), cv::Point(-1, 0), cv::Point(0, 1), cv::Point(0, -1)}) {
                const cv::Point q = cv::Point(x, y) + step;
                if (seen.net.at<int>(q) >= 0 && own.at<std::uint8_t>(q) != 0) {
                    nets[static_cast<std::size_t>(piece)].insert(seen.net.at<int>(q));
                }
            }
        }
    }
    cv::Mat joins(taken.size(), CV_8U, cv::Scalar(0));
    for (std::size_t i = 0; i < joins.total(); ++i) {
        const auto piece = static_cast<std::size_t>(pieces.ptr<int>()[i]);
        joins.data[i] = piece != 0 && nets[piece].size() > 1 ? 255 : 0;
    }
    return joins;
}

// Places at which a pen parts: CV_8U.
struct Gaps {
    cv::Mat own;  // about the net that is to be parted
    cv::Mat all;
};

// The middle between copper of two nets, where false copper joins them.
Gaps middle_of_gaps(const cv::Mat& joins, const SeenSide& seen, int net) {
    const cv::Mat none = seen.net < 0;
    cv::Mat depth;
    cv::Mat nearest;
    cv::distanceTransform(none, depth, nearest, cv::DIST_L2, cv::DIST_MASK_5, cv::DIST_LABEL_PIXEL);
    std::vector<int> net_of(none.total() + 1, -1);
    for (std::size_t i = 0; i < none.total(); ++i) {
        if (none.data[i] == 0) {
            net_of[static_cast<std::size_t>(nearest.ptr<int>()[i])] = seen.net.ptr<int>()[i];
        }
    }
    const auto net_near = [&](int y, int x) {
        return net_of[static_cast<std::size_t>(nearest.at<int>(y, x))];
    };
    Gaps gaps{cv::Mat(joins.size(), CV_8U, cv::Scalar(0)),
              cv::Mat(joins.size(), CV_8U, cv::Scalar(0))};
    for (int y = 0; y + 1 < joins.rows; ++y) {
        for (int x = 0; x + 1 < joins.cols; ++x) {
            if (joins.at<std::uint8_t>(y, x) == 0) {
                continue;
            }
            const int here = net_near(y, x);
            for (const int there : {net_near(y, x + 1), net_near(y + 1, x)}) {
                if (there != here) {
                    gaps.all.at<std::uint8_t>(y, x) = 255;
                    if (net < 0 || here == net || there == net) {
                        gaps.own.at<std::uint8_t>(y, x) = 255;
                    }
                }
            }
        }
    }
    return gaps;
}

// A pen on the board between copper.
class Cutter {
public:
    Cutter(const cv::Mat& none, cv::Point start)
        : none_(none), room_(depth_in(none)), along_{start} {
        cv::connectedComponents(none, parts_, 8, CV_32S);
        been_.insert(parts_.at<int>(start));
        // Across copper only where it must be.
        constexpr float reluctant = -0.8F;
        across_ = room_.clone();
        across_.setTo(reluctant, none == 0);
        anywhere_ = cv::Mat(none.size(), CV_8U, cv::Scalar(255));
    }

    const std::vector<cv::Point>& along() const { return along_; }

    // To the nearest goal over board alone. False: there is none, or it is too far.
    bool go_on(cv::Mat& goals, double longest) {
        return take(way_over(none_, room_, along_.back(), goals), goals, longest);
    }

    // To the nearest goal in a part of the board where it has not been, across copper: each area of
    // copper is entered from one of its edges and left over another.
    bool cross(cv::Mat& goals, double longest) {
        cv::Mat elsewhere = goals.clone();
        for (const int part : been_) {
            elsewhere.setTo(0, parts_ == part);
        }
        while (cv::countNonZero(elsewhere) > 0) {
            const std::vector<cv::Point> way =
                way_over(anywhere_, across_, along_.back(), elsewhere);
            if (way.empty()) {
                return false;
            }
            if (const auto passed = parts_passed(way)) {
                been_.insert(passed->begin(), passed->end());
                return take(way, goals, longest);
            }
            const int part = parts_.at<int>(way.back());
            elsewhere.setTo(0, parts_ == part);
        }
        return false;
    }

private:
    bool take(const std::vector<cv::Point>& way, cv::Mat& goals, double longest) {
        if (way.empty() || static_cast<double>(way.size()) > longest) {
            return false;
        }
        along_.insert(along_.end(), way.begin() + 1, way.end());
        cv::circle(goals, along_.back(), 2, cv::Scalar(0), cv::FILLED);
        return true;
    }

    // The parts of the board that a way comes to. Nothing: it comes back to one, which would part
    // copper.
    std::optional<std::set<int>> parts_passed(const std::vector<cv::Point>& way) const {
        std::set<int> passed = been_;
        int last = parts_.at<int>(way.front());
        for (const cv::Point& p : way) {
            const int part = parts_.at<int>(p);
            if (part == 0) {
                last = 0;
            } else if (part != last) {
                if (!passed.insert(part).second) {
                    return std::nullopt;
                }
                last = part;
            }
        }
        return passed;
    }

    cv::Mat none_;
    cv::Mat room_;
    cv::Mat parts_;
    cv::Mat anywhere_;
    cv::Mat across_;
    std::set<int> been_;
    std::vector<cv::Point> along_;
};

}  // namespace

std::vector<cv::Point> along_gaps(const Lookout& view, const Wish& wish) {
    constexpr double longest_mm = 300.0;
    constexpr double longest_of_one_mm = 100.0;
    constexpr double next_one_mm = 15.0;
    const SeenSide& seen = view.seen(wish.side);
    const double mm = view.px_per_mm();
    cv::Mat joins(seen.net.size(), CV_8U, cv::Scalar(0));
    for (const int group : wish.groups) {
        joins |= false_joins(view, wish.side, group);
    }
    if (cv::countNonZero(joins) == 0 || cv::countNonZero(seen.net >= 0) == 0) {
        return {};
    }
    Gaps gaps = middle_of_gaps(joins, seen, wish.net);
    std::vector<cv::Point> some;
    cv::findNonZero(gaps.own, some);
    if (some.empty()) {
        return {};
    }
    // Parts that stand on the board do not stop a pen; copper that is seen does.
    const cv::Rect box = around(gaps.all, cvRound(3.0 * mm));
    cv::Mat own = gaps.own(box);
    cv::Mat all = gaps.all(box);
    Cutter pen(seen.net(box) < 0, some.front() - box.tl());
    const bool of_all = wish.net < 0;
    const auto left = [&] {
        return (of_all ? longest_mm : longest_of_one_mm) * mm -
               static_cast<double>(pen.along().size());
    };
    while (cv::countNonZero(own) > 0 && left() > 0.0) {
        if (!pen.go_on(own, left()) && (!of_all || !pen.cross(own, left()))) {
            break;
        }
        cv::circle(all, pen.along().back(), 2, cv::Scalar(0), cv::FILLED);
    }
    while (!of_all && left() > 0.0 && pen.go_on(all, std::min(left(), next_one_mm * mm))) {
    }
    std::vector<cv::Point> along = pen.along();
    for (cv::Point& p : along) {
        p += box.tl();
    }
    // A dot is drawn as a short line.
    if (along.size() == 1) {
        along.push_back(along.front() + cv::Point(1, 0));
    }
    return along;
}

}  // namespace etchback::tracing
