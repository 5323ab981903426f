#include "tracing/drawing_person.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <opencv2/imgproc.hpp>
#include <random>
#include <set>

#include "copper/eye/detail/raster_pixels.h"
#include "copper/eye/registration.h"
#include "tracing/pen_sweep.h"
#include "tracing/pen_ways.h"
#include "tracing/seen_side.h"
#include "tracing/worth_joining.h"

namespace etchback::tracing {

namespace {

using copper::Side;

}  // namespace

class DrawingPerson::Mind {
public:
    Mind(const InventedBoard& board, const TracedBoard& first)
        : board_(board), hand_(static_cast<std::uint32_t>(board.truth.pads.size() + 77)) {
        for (const Side side : {Side::top, Side::bottom}) {
            SeenSide& seen = seen_[index(side)];
            seen = seen_side(board, first, side, names_);
            counts.concluded_rightly += seen.concluded_rightly;
            counts.concluded_wrongly += seen.concluded_wrongly;
        }
    }

    std::optional<dossier::Stroke> next(const TracedBoard& now, bool go_on) {
        look(now);
        std::vector<Wish> wishes;
        for (const Side side : {Side::top, Side::bottom}) {
            if (drawn_[index(side)] < strokes_a_side && now_->trace.picture.side(side)) {
                wish_ways(side, wishes);
                wish_copper(side, wishes);
                wish_cuts(side, wishes);
            }
        }
        if (go_on) {
            std::erase_if(wishes, [&](const Wish& wish) {
                return wish.says != "cut" || wish.side != strokes_.back().side ||
                       wish.net != strokes_.back().net;
            });
        }
        std::ranges::stable_sort(wishes, std::greater{}, &Wish::gain);
        constexpr std::size_t most_looked_at = 10;
        std::size_t looked_at = 0;
        for (const Wish& wish : wishes) {
            if (tried_.contains(key_of(wish)) || ++looked_at > most_looked_at) {
                continue;
            }
            const std::vector<cv::Point> along = wish.says == "cut"      ? along_gap(wish)
                                                 : wish.says == "copper" ? along_copper(wish)
                                                                         : over_ways(wish);
            if (along.size() < 2) {
                tried_.insert(key_of(wish));
                continue;
            }
            // What it does not mend is not tried again in the same way.
            if (wish.says != "cut" || go_on) {
                tried_.insert(key_of(wish));
            }
            if (auto stroke = drawn(wish, along)) {
                return stroke;
            }
        }
        return std::nullopt;
    }

    void take_back() {
        --drawn_[index(strokes_.back().side)];
        --counts.kept;
        ++counts.taken_back;
        counts.length_mm -= strokes_.back().length_mm;
        tried_.insert(strokes_.back().key);
        strokes_.pop_back();
    }

    Counts counts;
    std::string meant;

private:
    struct Wish {
        int gain = 0;
        Side side = Side::top;
        std::string says;
        int piece = -1;               // copper: of known copper
        std::vector<int> groups;      // copper: what is to be joined; cut: what is to be parted
        std::vector<cv::Point> dark;  // copper: pins on no copper
        std::vector<std::pair<int, cv::Point>> holes;  // copper: plated, by group
        int net = -1;                                  // cut: what is to be parted from all else
        std::vector<cv::Point2d> right;                // goes on: what is to be passed
        std::vector<cv::Point2d> wrong;                // and what is not
    };
    using Key = std::tuple<int, Side, std::string, int, int>;
    static Key key_of(const Wish& wish) {
        return {wish.gain, wish.side, wish.says, wish.piece, wish.net};
    }

    static std::size_t index(Side side) { return static_cast<std::size_t>(side); }
    const std::vector<std::int32_t>& map(Side side) const { return now_->trace.islands.map(side); }
    int group(Side side, std::size_t pixel) const {
        const int island = map(side).empty() ? -1 : map(side)[pixel];
        return island < 0 ? -1 : now_->trace.nets.net_of_island[static_cast<std::size_t>(island)];
    }

    // The nets as they lie over the photo.
    void look(const TracedBoard& now) {
        now_ = &now;
        pads_.clear();
        dark_.clear();
        for (std::size_t i = 0; i < now.trace.pads.size(); ++i) {
            const int net = now.trace.nets.net_of_pad[i];
            if (net >= 0) {
                ++pads_[net][names_.of(now.nets[i])];
            } else {
                dark_.push_back(i);
            }
        }
    }

    cv::Point2d pixel(copper::Point p) const {
        return copper::eye::detail::pixel_of(p, now_->trace.picture.raster);
    }

    // The pieces of known copper on an island about a place.
    std::set<int> pieces_at(Side side, int island, cv::Point2d at) const {
        constexpr double about_mm = 0.5;
        const SeenSide& seen = seen_[index(side)];
        const int r = cvRound(about_mm * now_->trace.picture.raster.px_per_mm);
        std::set<int> pieces;
        for (int dy = -r; dy <= r; ++dy) {
            for (int dx = -r; dx <= r; ++dx) {
                const cv::Point p(cvRound(at.x) + dx, cvRound(at.y) + dy);
                if (p.x >= 0 && p.y >= 0 && p.x < seen.piece.cols && p.y < seen.piece.rows &&
                    map(side)[static_cast<std::size_t>(p.y) * seen.piece.cols + p.x] == island) {
                    pieces.insert(seen.piece.at<int>(p));
                }
            }
        }
        pieces.erase(-1);
        return pieces;
    }

    // Copper of one net on both sides, one above the other.
    bool is_one_net(copper::Point place) const {
        const cv::Point2d at = pixel(place);
        const cv::Point p(cvRound(at.x), cvRound(at.y));
        const cv::Mat& above = seen_[index(Side::top)].net;
        const cv::Mat& below = seen_[index(Side::bottom)].net;
        return p.x >= 0 && p.y >= 0 && p.x < above.cols && p.y < above.rows &&
               above.at<int>(p) >= 0 && above.at<int>(p) == below.at<int>(p);
    }

    // Both ends lie on copper that one knows to be one.
    bool is_right(Side side, const copper::Joint& joint) const {
        if (joint.kind == copper::Joint::Kind::hole) {
            return is_one_net(joint.at);
        }
        const bool is_path = !joint.path.empty();
        const std::set<int> a =
            pieces_at(side, joint.a, pixel(is_path ? joint.path.front() : joint.at));
        const std::set<int> b =
            pieces_at(side, joint.b, pixel(is_path ? joint.path.back() : joint.at));
        return std::ranges::any_of(a, [&](int piece) { return b.contains(piece); });
    }

    // All places in doubt at which one knows that copper goes on, by one line.
    void wish_ways(Side side, std::vector<Wish>& wishes) {
        using Kind = copper::Joint::Kind;
        const auto& net_of = now_->trace.nets.net_of_island;
        const auto group_of = [&](int island) { return net_of[static_cast<std::size_t>(island)]; };
        std::vector<const copper::Joint*> right;
        Wish wish;
        wish.side = side;
        wish.says = "goes on";
        for (const copper::Joint& joint : now_->trace.islands.joints) {
            const bool is_way = joint.kind == Kind::gap || joint.kind == Kind::hidden;
            const bool is_hole = joint.kind == Kind::hole && joint.joined <= 0.5;
            const auto& island = now_->trace.islands.islands[static_cast<std::size_t>(joint.a)];
            if (!is_hole && (!is_way || island.side != side)) {
                continue;
            }
            if (!is_right(side, joint)) {
                wish.wrong.push_back(pixel(joint.at));
            } else if (group_of(joint.a) != group_of(joint.b)) {
                right.push_back(&joint);
            }
        }
        std::vector<PadsByNet> pads;
        for (const int net : net_of) {
            pads.resize(std::max(pads.size(), static_cast<std::size_t>(net + 1)));
        }
        for (const auto& [net, own] : pads_) {
            pads[static_cast<std::size_t>(net)] = own;
        }
        std::vector<NetLink> links;
        for (const copper::Joint* joint : right) {
            links.push_back({group_of(joint->a), group_of(joint->b)});
        }
        const WorthJoining worth = worth_joining(links, pads);
        wish.gain = worth.gain;
        for (const std::size_t i : worth.links) {
            wish.right.push_back(pixel(right[i]->at));
        }
        if (wish.gain > 0) {
            wishes.push_back(std::move(wish));
        }
    }

    std::vector<cv::Point> over_ways(const Wish& wish) const {
        constexpr double longest_mm = 300.0;
        return sweep_over(wish.right,
                          wish.wrong,
                          seen_[index(wish.side)].net.size(),
                          now_->trace.picture.raster.px_per_mm,
                          longest_mm);
    }

    // Plated holes that one knows, and the group that each leads to on the other side.
    std::vector<std::pair<cv::Point, int>> holes_to_other(Side side) const {
        const Side other = side == Side::top ? Side::bottom : Side::top;
        const cv::Size size = seen_[index(side)].net.size();
        std::vector<std::pair<cv::Point, int>> holes;
        for (const photographer::TruthHole& hole : board_.truth.holes) {
            const cv::Point here = raster_place(board_, now_->trace, side, hole.at);
            const cv::Point there = raster_place(board_, now_->trace, other, hole.at);
            const cv::Rect inside({0, 0}, size);
            if (!hole.plated || !inside.contains(here) || !inside.contains(there)) {
                continue;
            }
            const int own = group(other, static_cast<std::size_t>(there.y) * size.width + there.x);
            if (own >= 0) {
                holes.emplace_back(here, own);
            }
        }
        return holes;
    }

    // Along copper that is one, as one knows, but not read as one.
    void wish_copper(Side side, std::vector<Wish>& wishes) {
        const SeenSide& seen = seen_[index(side)];
        const double mm = now_->trace.picture.raster.px_per_mm;
        const int least = cvRound(0.03 * mm * mm);
        std::vector<std::map<int, int>> overlap(static_cast<std::size_t>(seen.pieces));
        std::vector<int> net(static_cast<std::size_t>(seen.pieces), -1);
        const int* piece = seen.piece.ptr<int>();
        for (std::size_t i = 0; i < seen.piece.total(); ++i) {
            if (piece[i] >= 0) {
                net[static_cast<std::size_t>(piece[i])] = seen.net.ptr<int>()[i];
                if (const int own = group(side, i); own >= 0) {
                    ++overlap[static_cast<std::size_t>(piece[i])][own];
                }
            }
        }
        std::vector<std::vector<cv::Point>> dark(static_cast<std::size_t>(seen.pieces));
        for (const std::size_t i : dark_) {
            const copper::Pad& pad = now_->trace.pads[i];
            const cv::Point2d at =
                copper::eye::detail::pixel_of(pad.at, now_->trace.picture.raster);
            const cv::Point p(cvRound(at.x), cvRound(at.y));
            if ((!pad.side || *pad.side == side) && p.x >= 0 && p.y >= 0 && p.x < seen.net.cols &&
                p.y < seen.net.rows && seen.net.at<int>(p) == names_.of(now_->nets[i])) {
                dark[static_cast<std::size_t>(seen.piece.at<int>(p))].push_back(p);
            }
        }
        std::vector<std::vector<std::pair<int, cv::Point>>> holes(
            static_cast<std::size_t>(seen.pieces));
        for (const auto& [at, own] : holes_to_other(side)) {
            if (const int on = seen.piece.at<int>(at); on >= 0) {
                holes[static_cast<std::size_t>(on)].emplace_back(own, at);
                overlap[static_cast<std::size_t>(on)][own] += least;
            }
        }
        for (std::size_t k = 0; k < overlap.size(); ++k) {
            Wish wish;
            wish.side = side;
            wish.says = "copper";
            wish.piece = static_cast<int>(k);
            wish.dark = dark[k];
            wish.holes = holes[k];
            // Greedily: what has most pins of the net first, then all that makes things better.
            std::vector<std::pair<int, int>> order;
            for (const auto& [own, pixels] : overlap[k]) {
                if (pixels >= least && pads_.contains(own)) {
                    const PadsByNet& pads = pads_.at(own);
                    const auto found = pads.find(net[k]);
                    order.emplace_back(found == pads.end() ? 0 : found->second, own);
                }
            }
            std::ranges::sort(order, std::greater{});
            PadsByNet all;
            for (const auto& [count, own] : order) {
                const int gain = gain_of_joining(all, pads_.at(own));
                if (wish.groups.empty() ? count > 0 : gain > 0) {
                    wish.groups.push_back(own);
                    wish.gain += std::max(0, gain);
                    for (const auto& [of, pads] : pads_.at(own)) {
                        all[of] += pads;
                    }
                }
            }
            for (std::size_t i = 0; i < dark[k].size(); ++i) {
                wish.gain += all.contains(net[k]) ? all[net[k]] : 0;
                ++all[net[k]];
            }
            if (wish.gain > 0) {
                wishes.push_back(std::move(wish));
            }
        }
    }

    // Follows the piece of copper from group to group, always to the nearest.
    std::vector<cv::Point> along_copper(const Wish& wish) {
        const SeenSide& seen = seen_[index(wish.side)];
        const double mm = now_->trace.picture.raster.px_per_mm;
        const cv::Mat whole = seen.piece == wish.piece;
        const cv::Rect box = around(whole, 2);
        const cv::Mat walkable = whole(box);
        const cv::Mat depth = depth_in(walkable);
        std::map<int, cv::Mat> goals;  // places well inside each
        int number = -1;
        for (const int own : wish.groups) {
            cv::Mat mask(walkable.size(), CV_8U, cv::Scalar(0));
            for (int y = 0; y < mask.rows; ++y) {
                for (int x = 0; x < mask.cols; ++x) {
                    const std::size_t i =
                        static_cast<std::size_t>(y + box.y) * seen.net.cols + x + box.x;
                    mask.at<std::uint8_t>(y, x) =
                        walkable.at<std::uint8_t>(y, x) != 0 && group(wish.side, i) == own ? 255
                                                                                           : 0;
                }
            }
            const cv::Mat inside = depth_in(mask);
            double deepest = 0.0;
            cv::minMaxLoc(inside, nullptr, &deepest);
            if (deepest > 0.0) {
                goals[own] = inside >= std::min(0.35 * mm, 0.8 * deepest);
                continue;
            }
            for (const auto& [of, at] : wish.holes) {
                if (of == own) {
                    mask.at<std::uint8_t>(at - box.tl()) = 255;
                }
            }
            goals[own] = mask;
        }
        for (const cv::Point& p : wish.dark) {
            cv::Mat mask(walkable.size(), CV_8U, cv::Scalar(0));
            mask.at<std::uint8_t>(p - box.tl()) = 255;
            goals[number--] = mask;
        }
        if (goals.size() < 2) {
            return {};
        }
        // Starts at the smallest: its way to the next is the first of the walk.
        const auto fewest = std::ranges::min_element(
            goals, {}, [](const auto& goal) { return cv::countNonZero(goal.second); });
        std::vector<cv::Point> some;
        cv::findNonZero(fewest->second, some);
        cv::Point at = some[some.size() / 2];
        goals.erase(fewest);
        std::vector<cv::Point> along = {at};
        while (!goals.empty()) {
            cv::Mat all(walkable.size(), CV_8U, cv::Scalar(0));
            for (const auto& [own, goal] : goals) {
                all |= goal;
            }
            const std::vector<cv::Point> way = way_over(walkable, depth, at, all);
            if (way.empty()) {
                break;
            }
            along.insert(along.end(), way.begin() + 1, way.end());
            at = way.back();
            std::erase_if(goals, [&](const auto& goal) {
                return std::ranges::any_of(way, [&](cv::Point p) {
                    return goal.second.template at<std::uint8_t>(p) != 0;
                });
            });
        }
        for (cv::Point& p : along) {
            p += box.tl();
        }
        return along;
    }

    // A net that lights up on two tracks.
    void wish_cuts(Side side, std::vector<Wish>& wishes) {
        for (const auto& [own, pads] : pads_) {
            if (pads.size() < 2) {
                continue;
            }
            int all = 0;
            for (const auto& [net, count] : pads) {
                all += count;
            }
            for (const auto& [net, count] : pads) {
                Wish wish;
                wish.side = side;
                wish.says = "cut";
                wish.groups = {own};
                wish.net = net;
                wish.gain = count * (all - count);
                wishes.push_back(std::move(wish));
            }
        }
    }

    // False copper that joins: board that was read as copper of this group and touches copper of
    // two nets.
    cv::Mat false_joins(const Wish& wish) const {
        const SeenSide& seen = seen_[index(wish.side)];
        cv::Mat taken(seen.net.size(), CV_8U, cv::Scalar(0));
        for (std::size_t i = 0; i < taken.total(); ++i) {
            taken.data[i] =
                seen.board.data[i] != 0 && group(wish.side, i) == wish.groups.front() ? 255 : 0;
        }
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
                    const std::size_t i = static_cast<std::size_t>(q.y) * taken.cols + q.x;
                    const int net = seen.net.at<int>(q);
                    if (net >= 0 && group(wish.side, i) == wish.groups.front()) {
                        nets[static_cast<std::size_t>(piece)].insert(net);
                    }
                }
            }
        }
        for (std::size_t i = 0; i < taken.total(); ++i) {
            const auto piece = static_cast<std::size_t>(pieces.ptr<int>()[i]);
            taken.data[i] = piece != 0 && nets[piece].size() > 1 ? 255 : 0;
        }
        return taken;
    }

    // In the middle of the board between the copper of two nets, wherever that was taken for copper
    // and joins them, one place after the other without lifting the pen: first about the net that
    // is to be parted, then whatever else of this group is near.
    std::vector<cv::Point> along_gap(const Wish& wish) {
        constexpr double longest_mm = 100.0;
        constexpr double next_one_mm = 15.0;
        const SeenSide& seen = seen_[index(wish.side)];
        const double mm = now_->trace.picture.raster.px_per_mm;
        const cv::Mat none = seen.net < 0;
        if (cv::countNonZero(none) == static_cast<int>(none.total())) {
            return {};
        }
        cv::Mat depth;
        cv::Mat nearest;
        cv::distanceTransform(
            none, depth, nearest, cv::DIST_L2, cv::DIST_MASK_5, cv::DIST_LABEL_PIXEL);
        std::vector<int> net_of(none.total() + 1, -1);
        for (std::size_t i = 0; i < none.total(); ++i) {
            if (none.data[i] == 0) {
                net_of[static_cast<std::size_t>(nearest.ptr<int>()[i])] = seen.net.ptr<int>()[i];
            }
        }
        const cv::Mat joins = false_joins(wish);
        cv::Mat own(joins.size(), CV_8U, cv::Scalar(0));
        cv::Mat any = own.clone();
        const auto net_near = [&](int y, int x) {
            return net_of[static_cast<std::size_t>(nearest.at<int>(y, x))];
        };
        for (int y = 0; y + 1 < joins.rows; ++y) {
            for (int x = 0; x + 1 < joins.cols; ++x) {
                if (joins.at<std::uint8_t>(y, x) == 0) {
                    continue;
                }
                const int here = net_near(y, x);
                for (const int there : {net_near(y, x + 1), net_near(y + 1, x)}) {
                    if (there != here) {
                        any.at<std::uint8_t>(y, x) = 255;
                        if (here == wish.net || there == wish.net) {
                            own.at<std::uint8_t>(y, x) = 255;
                        }
                    }
                }
            }
        }
        std::vector<cv::Point> some;
        cv::findNonZero(own, some);
        if (some.empty()) {
            return {};
        }
        // Parts that stand on the board do not stop a pen; copper that is seen does.
        const cv::Rect box = around(any, cvRound(3.0 * mm));
        const cv::Mat walkable = none(box);
        const cv::Mat room = depth(box);
        cv::Mat left = own(box).clone();
        cv::Mat later = any(box).clone();
        cv::Point at = some.front() - box.tl();
        std::vector<cv::Point> along = {at};
        bool of_own = true;
        while (static_cast<double>(along.size()) < longest_mm * mm) {
            for (cv::Mat* goals : {&left, &later}) {
                cv::circle(*goals, at, 2, cv::Scalar(0), cv::FILLED);
            }
            if (of_own && cv::countNonZero(left) == 0) {
                of_own = false;
                left = later;
            }
            if (cv::countNonZero(left) == 0) {
                break;
            }
            const std::vector<cv::Point> way = way_over(walkable, room, at, left);
            const double length = static_cast<double>(way.size());
            if (way.empty() || (!of_own && length > next_one_mm * mm)) {
                if (!of_own) {
                    break;
                }
                of_own = false;
                left = later;
                continue;
            }
            along.insert(along.end(), way.begin() + 1, way.end());
            at = way.back();
        }
        for (cv::Point& p : along) {
            p += box.tl();
        }
        // A dot is drawn as a short line.
        if (along.size() == 1) {
            along.push_back(along.front() + cv::Point(1, 0));
        }
        return along;
    }

    std::optional<dossier::Stroke> drawn(const Wish& wish, const std::vector<cv::Point>& along) {
        constexpr double off_mm = 0.07;
        constexpr double most_off_mm = 0.2;
        constexpr double step_mm = 0.7;
        const copper::Raster& raster = now_->trace.picture.raster;
        const auto& photos = now_->trace.picture.registration.photos;
        const auto fit = std::ranges::find(photos, wish.side, &copper::PhotoFit::side);
        if (fit == photos.end()) {
            return std::nullopt;
        }
        std::vector<cv::Point> few;
        cv::approxPolyDP(along, few, 0.04 * raster.px_per_mm, false);
        // A hand wavers on long straight lines, too.
        std::vector<cv::Point2d> points;
        double all_mm = 0.0;
        for (std::size_t i = 0; i + 1 < few.size(); ++i) {
            const cv::Point2d a = few[i];
            const cv::Point2d way = cv::Point2d(few[i + 1]) - a;
            const double length_mm = cv::norm(way) / raster.px_per_mm;
            all_mm += length_mm;
            const int parts = std::max(1, cvCeil(length_mm / step_mm));
            for (int k = 0; k < parts; ++k) {
                points.push_back(a + way * (static_cast<double>(k) / parts));
            }
        }
        points.emplace_back(few.back());
        std::normal_distribution<double> off(0.0, off_mm);
        dossier::Stroke stroke;
        stroke.photo.value = fit->file;
        stroke.says.value = wish.says;
        for (const cv::Point2d& p : points) {
            copper::Point at = copper::eye::detail::board_of(p, raster);
            at.x_mm += std::clamp(off(hand_), -most_off_mm, most_off_mm);
            at.y_mm += std::clamp(off(hand_), -most_off_mm, most_off_mm);
            const cv::Point2d px =
                copper::eye::photo_pixel(*fit, board_.shot(wish.side).bgr.size(), at);
            stroke.along.emplace_back(px.x, px.y);
        }
        stroke.width_px = 0.15 * fit->px_per_mm;
        strokes_.push_back({wish.side, wish.says, wish.net, all_mm, key_of(wish)});
        ++drawn_[index(wish.side)];
        ++counts.kept;
        counts.length_mm += all_mm;
        meant = fmt::format("{} {} {:.0f} mm, {} groups, {} dark, {} ways, should mend {}",
                            wish.side == Side::top ? "top" : "bottom",
                            wish.says,
                            all_mm,
                            wish.groups.size(),
                            wish.dark.size(),
                            wish.right.size(),
                            wish.gain);
        return stroke;
    }

    const InventedBoard& board_;
    std::mt19937 hand_;
    Names names_;
    SeenSide seen_[2];
    const TracedBoard* now_ = nullptr;
    std::map<int, PadsByNet> pads_;  // of each net that was read
    std::vector<std::size_t> dark_;
    std::set<Key> tried_;
    int drawn_[2] = {0, 0};
    struct Drawn {
        Side side = Side::top;
        std::string says;
        int net = -1;
        double length_mm = 0.0;
        Key key;
    };
    std::vector<Drawn> strokes_;
};

DrawingPerson::DrawingPerson(const InventedBoard& board, const TracedBoard& first)
    : mind_(std::make_unique<Mind>(board, first)) {}
DrawingPerson::~DrawingPerson() = default;

std::optional<dossier::Stroke> DrawingPerson::next(const TracedBoard& now, bool go_on) {
    return mind_->next(now, go_on);
}
void DrawingPerson::take_back() {
    mind_->take_back();
}
const DrawingPerson::Counts& DrawingPerson::counts() const {
    return mind_->counts;
}
const std::string& DrawingPerson::meant() const {
    return mind_->meant;
}

}  // namespace etchback::tracing
