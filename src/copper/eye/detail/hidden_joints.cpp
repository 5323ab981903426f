#include "copper/eye/detail/hidden_joints.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <opencv2/imgproc.hpp>

#include "copper/eye/detail/raster_pixels.h"

namespace etchback::copper::eye::detail {

namespace {

// Where an island meets what hides it.
struct Contact {
    int island = -1;
    cv::Point2d at;
    cv::Point2d into;     // unit vector, the way copper goes on; zero: none
    double width = 0.0;   // pixels along the edge
    double solder = 0.0;  // share of it that is bare metal
    double depth = 0.0;   // pixels of copper behind it, up to `deep_mm`
    bool pin = false;     // a pad that the part hides: tracks reach it from any side
};

enum Cover : std::uint8_t { seen = 0, print = 1, body = 2 };

cv::Mat covers_of(const SidePicture& side, const Raster& raster) {
    cv::Mat covers(raster.height, raster.width, CV_8U, cv::Scalar(seen));
    for (std::size_t i = 0; i < side.surface.size(); ++i) {
        const Surface s = side.surface[i];
        if (s == Surface::body || s == Surface::unknown) {
            covers.data[i] = body;
        } else if (s == Surface::legend && side.copper[i] < 128) {
            covers.data[i] = print;
        }
    }
    return covers;
}

struct Touch {
    cv::Point at;
    int island;
    bool solder;
};

// Pixels of copper along the edge of hidden places.
std::vector<Touch> touches_of(const cv::Mat& covers,
                              const cv::Mat& labels,
                              int count,
                              const SidePicture& side,
                              int reach) {
    cv::Mat wide;
    // A square, because OpenCV does it in two passes.
    cv::dilate(
        covers, wide, cv::getStructuringElement(cv::MORPH_RECT, {2 * reach + 1, 2 * reach + 1}));
    std::vector<Touch> touches;
    for (int y = 0; y < labels.rows; ++y) {
        const auto* near = wide.ptr<std::uint8_t>(y);
        const auto* here = covers.ptr<std::uint8_t>(y);
        const int* label = labels.ptr<int>(y);
        for (int x = 0; x < labels.cols; ++x) {
            if (label[x] >= 0 && label[x] < count && near[x] != seen && here[x] == seen) {
                const std::size_t i = static_cast<std::size_t>(y) * labels.cols + x;
                touches.push_back({{x, y}, label[x], side.surface[i] == Surface::bare_copper});
            }
        }
    }
    std::ranges::stable_sort(touches, std::less{}, &Touch::island);
    return touches;
}

// One contact for each stretch of about a millimetre.
void add_stretches(const std::vector<Touch>& run,
                   int reach,
                   double longest,
                   std::vector<Contact>& contacts) {
    cv::Point2d sum;
    for (const Touch& touch : run) {
        sum += cv::Point2d(touch.at);
    }
    const cv::Point2d middle = sum / static_cast<double>(run.size());
    double xx = 0.0;
    double xy = 0.0;
    double yy = 0.0;
    for (const Touch& touch : run) {
        const cv::Point2d d = cv::Point2d(touch.at) - middle;
        xx += d.x * d.x;
        xy += d.x * d.y;
        yy += d.y * d.y;
    }
    const double turn = 0.5 * std::atan2(2.0 * xy, xx - yy);
    const cv::Point2d along(std::cos(turn), std::sin(turn));
    double least = 0.0;
    double most = 0.0;
    for (const Touch& touch : run) {
        const double t = (cv::Point2d(touch.at) - middle).dot(along);
        least = std::min(least, t);
        most = std::max(most, t);
    }
    const int count = std::max(1, cvRound((most - least) / longest));
    std::vector<Contact> parts(static_cast<std::size_t>(count));
    std::vector<int> sizes(parts.size(), 0);
    for (const Touch& touch : run) {
        const double t = (cv::Point2d(touch.at) - middle).dot(along);
        const auto k = static_cast<std::size_t>(
            std::clamp(cvFloor((t - least) / std::max(1.0, most - least) * count), 0, count - 1));
        parts[k].at += cv::Point2d(touch.at);
        parts[k].solder += touch.solder ? 1.0 : 0.0;
        ++sizes[k];
    }
    for (std::size_t k = 0; k < parts.size(); ++k) {
        if (sizes[k] > 0) {
            parts[k].island = run.front().island;
            parts[k].at /= static_cast<double>(sizes[k]);
            parts[k].solder /= sizes[k];
            parts[k].width = static_cast<double>(sizes[k]) / reach;
            contacts.push_back(parts[k]);
        }
    }
}

// Touches of one island that hang together are one contact, or several along a line.
std::vector<Contact> contacts_of(const std::vector<Touch>& touches, int reach, double longest) {
    std::vector<Contact> contacts;
    for (std::size_t from = 0; from < touches.size();) {
        std::size_t to = from;
        cv::Rect box(touches[from].at, cv::Size(1, 1));
        while (to < touches.size() && touches[to].island == touches[from].island) {
            box |= cv::Rect(touches[to].at, cv::Size(1, 1));
            ++to;
        }
        cv::Mat mask(box.size(), CV_8U, cv::Scalar(0));
        for (std::size_t i = from; i < to; ++i) {
            mask.at<std::uint8_t>(touches[i].at - box.tl()) = 1;
        }
        cv::Mat pieces;
        const int count = cv::connectedComponents(mask, pieces, 8, CV_32S);
        std::vector<std::vector<Touch>> runs(static_cast<std::size_t>(count));
        for (std::size_t i = from; i < to; ++i) {
            runs[static_cast<std::size_t>(pieces.at<int>(touches[i].at - box.tl()))].push_back(
                touches[i]);
        }
        for (std::size_t k = 1; k < runs.size(); ++k) {
            add_stretches(runs[k], reach, longest, contacts);
        }
        from = to;
    }
    return contacts;
}

// The way in which copper arrives at a contact: from its middle a little outside to the contact.
void aim(Contact& contact, const cv::Mat& labels, const cv::Mat& covers, double reach) {
    cv::Point2d sum;
    int count = 0;
    const int r = cvCeil(reach);
    for (int dy = -r; dy <= r; ++dy) {
        for (int dx = -r; dx <= r; ++dx) {
            const cv::Point p(cvRound(contact.at.x) + dx, cvRound(contact.at.y) + dy);
            if (p.x >= 0 && p.y >= 0 && p.x < labels.cols && p.y < labels.rows &&
                dx * dx + dy * dy <= r * r && labels.at<int>(p) == contact.island &&
                covers.at<std::uint8_t>(p) == seen) {
                sum += cv::Point2d(p);
                ++count;
            }
        }
    }
    if (count > 0) {
        const cv::Point2d way = contact.at - sum / count;
        if (const double length = cv::norm(way); length > 0.15 * reach) {
            contact.into = way / length;
        }
    }
}

constexpr double deep_mm = 2.0;

// How far copper reaches back from a contact, against its way: a track that ends here comes from
// afar; one that only passes by is as deep as it is wide.
double depth_behind(const Contact& contact, const cv::Mat& labels, double most) {
    if (contact.into == cv::Point2d()) {
        return 0.0;
    }
    double depth = 0.0;
    int missed = 0;
    for (double t = 0.0; t <= most && missed < 3; t += 1.0) {
        const cv::Point p(cvRound(contact.at.x - t * contact.into.x),
                          cvRound(contact.at.y - t * contact.into.y));
        if (p.x < 0 || p.y < 0 || p.x >= labels.cols || p.y >= labels.rows) {
            break;
        }
        if (labels.at<int>(p) == contact.island) {
            depth = t;
            missed = 0;
        } else {
            ++missed;
        }
    }
    return depth;
}

// What lies on the straight way between two contacts.
struct Between {
    double length = 0.0;  // pixels, all
    double bodies = 0.0;  // pixels below a part
    double prints = 0.0;
    double seen = 0.0;     // pixels where no copper is seen although nothing hides it
    double copper = 0.0;   // mean probability below print
    double glow = 0.0;     // mean log odds of copper, as the other face shows it
    double told = 0.0;     // share of the hidden way of which it shows anything
    bool crossed = false;  // copper of another island lies there
};

Between between(const Contact& a,
                const Contact& b,
                const SidePicture& side,
                const cv::Mat& labels,
                const cv::Mat& covers,
                const cv::Mat& walls,
                const std::vector<std::int8_t>& glow) {
    Between out;
    const cv::Point2d way = b.at - a.at;
    out.length = cv::norm(way);
    const int steps = std::max(1, cvRound(out.length));
    for (int i = 1; i < steps; ++i) {
        const cv::Point2d q = a.at + way * (static_cast<double>(i) / steps);
        const cv::Point p(cvRound(q.x), cvRound(q.y));
        out.crossed = out.crossed || (!walls.empty() && walls.at<std::uint8_t>(p) != 0);
        const int label = labels.at<int>(p);
        if (label >= 0) {
            out.crossed = out.crossed || (label != a.island && label != b.island);
            continue;
        }
        const std::uint8_t cover = covers.at<std::uint8_t>(p);
        const std::size_t k = static_cast<std::size_t>(p.y) * labels.cols + p.x;
        if (!glow.empty() && glow[k] != 0) {
            out.glow += 0.1 * glow[k];
            out.told += 1.0;
        }
        if (cover == body) {
            out.bodies += 1.0;
        } else if (cover == print) {
            out.prints += 1.0;
            out.copper += side.copper[k] / 255.0;
        } else {
            out.seen += 1.0;
        }
    }
    out.copper /= std::max(1.0, out.prints);
    out.glow /= std::max(1.0, out.told);
    out.told /= std::max(1.0, out.bodies + out.prints + out.seen);
    return out;
}

struct Pair {
    std::size_t a = 0;
    std::size_t b = 0;
    Between way;
    double facing = 0.0;
    double score = 0.0;  // to compare with rivals
};

// All pairs of contacts that copper may join straight.
std::vector<Pair> pairs_of(const std::vector<Contact>& contacts,
                           const SidePicture& side,
                           const cv::Mat& labels,
                           const cv::Mat& covers,
                           const cv::Mat& walls,
                           const std::vector<std::int8_t>& glow,
                           double px_per_mm) {
    constexpr double longest_mm = 15.0;
    constexpr double least_facing = 0.6;
    constexpr double most_seen_mm = 0.25;
    std::vector<Pair> pairs;
    for (std::size_t i = 0; i < contacts.size(); ++i) {
        for (std::size_t j = i + 1; j < contacts.size(); ++j) {
            const Contact& a = contacts[i];
            const Contact& b = contacts[j];
            const cv::Point2d way = b.at - a.at;
            const double length = cv::norm(way);
            if (a.island == b.island || (a.pin && b.pin) || length > longest_mm * px_per_mm ||
                length < 1.0) {
                continue;
            }
            const double of_a = a.pin ? 1.0 : a.into.dot(way) / length;
            const double of_b = b.pin ? 1.0 : -b.into.dot(way) / length;
            Pair pair{i, j, {}, std::min(of_a, of_b), 0.0};
            if (pair.facing < least_facing) {
                continue;
            }
            pair.way = between(a, b, side, labels, covers, walls, glow);
            if (pair.way.crossed || pair.way.seen > most_seen_mm * px_per_mm ||
                pair.way.bodies + pair.way.prints < 1.0) {
                continue;
            }
            pair.score = pair.facing * std::exp(-length / px_per_mm / 4.0);
            pairs.push_back(pair);
        }
    }
    return pairs;
}

// What tells whether copper runs on: a logistic model for places below print and one for places
// below parts, fitted to 2000 pairs on invented boards (seeds 1 to 30 of tests/tracing).
struct Weights {
    double always;
    double log_length;
    double facing;
    double alike;
    double pin;
    double solder;
    double of_body;
    double copper;  // that was read through the print
    double seen;
    double rival;
    double wide;
    double depth;
    double end;
    double glow;
};
constexpr Weights below_print = {
    -3.24, 0.56, 2.43, -1.23, 0.70, -0.68, 0.06, 6.70, -7.07, 0.01, 0.18, 0.18, 0.16, 0.31};
constexpr Weights below_body = {
    -0.89, -0.73, 0.43, -0.52, 0.36, -0.35, 0.27, 7.15, -0.06, 0.37, 0.23, 0.25, -0.25, 0.16};

// `rival`: 0 where neither end has a better way to go, to 1.
double chance_of(
    const Pair& pair, const Contact& a, const Contact& b, double rival, double px_per_mm) {
    constexpr double most_unseen = 0.45;
    constexpr double deepest = 3.0;
    constexpr double least_told = 0.6;
    const double covered = std::max(1.0, pair.way.bodies + pair.way.prints);
    const double of_body = pair.way.bodies / covered;
    const bool to_pin = a.pin || b.pin;
    const double alike = std::min(a.width, b.width) / std::max({a.width, b.width, 1.0});
    const double solder = a.pin ? b.solder : b.pin ? a.solder : std::max(a.solder, b.solder);
    double depth = deep_mm;
    double end = deepest;
    for (const Contact* contact : {&a, &b}) {
        if (!contact->pin) {
            const double own = contact->depth / px_per_mm;
            depth = std::min(depth, own);
            end = std::min(end, own / std::max(0.2, contact->width / px_per_mm));
        }
    }
    const Weights& w = of_body < 0.5 ? below_print : below_body;
    const double odds =
        w.always + w.log_length * std::log(pair.way.length / px_per_mm + 0.1) +
        w.facing * pair.facing + w.alike * (to_pin ? 0.0 : std::sqrt(alike)) +
        w.pin * (to_pin ? 1.0 : 0.0) + w.solder * solder + w.of_body * of_body +
        w.copper * (1.0 - of_body) * pair.way.copper + w.seen * pair.way.seen / px_per_mm +
        w.rival * rival + w.wide * (std::max(a.width, b.width) > 2.0 * px_per_mm ? 1.0 : 0.0) +
        w.depth * depth + w.end * end + w.glow * (pair.way.told > least_told ? pair.way.glow : 0.0);
    const double chance = 1.0 / (1.0 + std::exp(-odds));
    return std::min(chance, most_unseen);
}

}  // namespace

void join_hidden(const SidePicture& side,
                 const cv::Mat& labels,
                 int count,
                 const cv::Mat& walls,
                 const Raster& raster,
                 const std::vector<std::int8_t>& glow,
                 std::vector<Joint>& joints) {
    constexpr double least_chance = 0.03;
    const double mm = raster.px_per_mm;
    const cv::Mat covers = covers_of(side, raster);
    const int reach = std::max(2, cvRound(0.08 * mm));
    const double largest_pin_px = 0.5 * mm * mm;
    std::vector<int> area(static_cast<std::size_t>(count), 0);
    for (const int label : cv::Mat_<int>(labels)) {
        if (label >= 0 && label < count) {
            ++area[static_cast<std::size_t>(label)];
        }
    }
    std::vector<Contact> contacts =
        contacts_of(touches_of(covers, labels, count, side, reach), reach, 1.0 * mm);
    for (Contact& contact : contacts) {
        contact.pin = area[static_cast<std::size_t>(contact.island)] < largest_pin_px;
        aim(contact, labels, covers, 0.8 * mm);
        contact.depth = depth_behind(contact, labels, deep_mm * mm);
    }
    const std::vector<Pair> pairs = pairs_of(contacts, side, labels, covers, walls, glow, mm);
    // The best way out of each contact, and the best that leads elsewhere.
    std::vector<std::pair<double, int>> best(contacts.size(), {0.0, -1});
    std::vector<double> second(contacts.size(), 0.0);
    for (int pass = 0; pass < 2; ++pass) {
        for (const Pair& pair : pairs) {
            for (const auto& [own, other] :
                 {std::pair(pair.a, pair.b), std::pair(pair.b, pair.a)}) {
                const int to = contacts[other].island;
                if (pass == 0 && pair.score > best[own].first) {
                    best[own] = {pair.score, to};
                } else if (pass == 1 && to != best[own].second) {
                    second[own] = std::max(second[own], pair.score);
                }
            }
        }
    }
    const auto rival_of = [&](std::size_t own, std::size_t other) {
        return contacts[own].pin                            ? 0.0
               : contacts[other].island == best[own].second ? second[own]
                                                            : best[own].first;
    };
    std::map<std::pair<int, int>, Joint> kept;
    for (const Pair& pair : pairs) {
        const Contact& a = contacts[pair.a];
        const Contact& b = contacts[pair.b];
        const double rivals = std::max(rival_of(pair.a, pair.b), rival_of(pair.b, pair.a));
        const double chance = chance_of(pair, a, b, rivals / (rivals + pair.score), mm);
        if (chance < least_chance) {
            continue;
        }
        Joint joint;
        joint.kind = Joint::Kind::hidden;
        joint.a = std::min(a.island, b.island);
        joint.b = std::max(a.island, b.island);
        joint.joined = chance;
        joint.path = {board_of(a.at, raster), board_of(b.at, raster)};
        joint.at = board_of(0.5 * (a.at + b.at), raster);
        joint.width_mm = std::min(a.width, b.width) / mm;
        joint.why = fmt::format(
            "copper may run on for {:.1f} mm below {}",
            pair.way.length / mm,
            2.0 * pair.way.bodies < pair.way.bodies + pair.way.prints ? "print" : "what hides it");
        Joint& best_one = kept[{joint.a, joint.b}];
        if (best_one.a < 0 || best_one.joined < joint.joined) {
            best_one = std::move(joint);
        }
    }
    for (auto& [islands, joint] : kept) {
        joints.push_back(std::move(joint));
    }
}

}  // namespace etchback::copper::eye::detail
