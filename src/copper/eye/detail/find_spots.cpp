#include "copper/eye/detail/find_spots.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>

namespace etchback::copper::eye::detail {
namespace {

constexpr int rays = 24;

struct Edge {
    float x = 0.0F;
    float y = 0.0F;
    float dx = 0.0F;  // unit gradient, towards the light
    float dy = 0.0F;
};

struct Guess {
    int x = 0;
    int y = 0;
    float radius = 0.0F;
    float votes = 0.0F;
    bool dark = true;
};

std::vector<Edge> edges_of(const cv::Mat& grey, const cv::Mat& inside) {
    cv::Mat dx;
    cv::Mat dy;
    cv::Sobel(grey, dx, CV_16S, 1, 0);
    cv::Sobel(grey, dy, CV_16S, 0, 1);
    cv::Mat thin;
    cv::Canny(dx, dy, thin, 14.0, 32.0, true);
    std::vector<Edge> edges;
    for (int y = 0; y < grey.rows; ++y) {
        const auto* on = thin.ptr<std::uint8_t>(y);
        const auto* in = inside.ptr<std::uint8_t>(y);
        for (int x = 0; x < grey.cols; ++x) {
            if (on[x] != 0 && in[x] != 0) {
                const float gx = dx.at<std::int16_t>(y, x);
                const float gy = dy.at<std::int16_t>(y, x);
                const float length = std::hypot(gx, gy);
                edges.push_back(
                    {static_cast<float>(x), static_cast<float>(y), gx / length, gy / length});
            }
        }
    }
    return edges;
}

// Centres at which many edges of one kind point, for one radius.
void vote(const std::vector<Edge>& edges,
          cv::Size size,
          float radius,
          bool dark,
          std::vector<Guess>& out) {
    cv::Mat votes = cv::Mat::zeros(size, CV_16S);
    const float reach = dark ? -radius : radius;
    for (const Edge& e : edges) {
        const int x = cvRound(e.x + e.dx * reach);
        const int y = cvRound(e.y + e.dy * reach);
        if (x >= 0 && y >= 0 && x < size.width && y < size.height) {
            ++votes.at<std::int16_t>(y, x);
        }
    }
    const int blur = radius < 5.0F ? 3 : (radius < 12.0F ? 5 : 7);
    cv::boxFilter(votes, votes, CV_16S, {blur, blur}, {-1, -1}, false);
    const float full = 2.0F * std::numbers::pi_v<float> * radius;
    const auto least = static_cast<std::int16_t>(std::max(4.0F, 0.4F * full));
    for (int y = 1; y + 1 < size.height; ++y) {
        const auto* row = votes.ptr<std::int16_t>(y);
        for (int x = 1; x + 1 < size.width; ++x) {
            if (row[x] < least) {
                continue;
            }
            const auto* above = votes.ptr<std::int16_t>(y - 1) + x;
            const auto* below = votes.ptr<std::int16_t>(y + 1) + x;
            if (row[x] >= row[x - 1] && row[x] > row[x + 1] && row[x] >= above[0] &&
                row[x] >= above[-1] && row[x] >= above[1] && row[x] > below[0] &&
                row[x] > below[-1] && row[x] > below[1]) {
                out.push_back({x, y, radius, static_cast<float>(row[x]) / full, dark});
            }
        }
    }
}

float sample(const cv::Mat& grey, double x, double y) {
    const int x0 = cvFloor(x);
    const int y0 = cvFloor(y);
    if (x0 < 0 || y0 < 0 || x0 + 1 >= grey.cols || y0 + 1 >= grey.rows) {
        return -1.0F;
    }
    const auto fx = static_cast<float>(x - x0);
    const auto fy = static_cast<float>(y - y0);
    const auto* a = grey.ptr<std::uint8_t>(y0) + x0;
    const auto* b = grey.ptr<std::uint8_t>(y0 + 1) + x0;
    return (static_cast<float>(a[0]) * (1 - fx) + static_cast<float>(a[1]) * fx) * (1 - fy) +
           (static_cast<float>(b[0]) * (1 - fx) + static_cast<float>(b[1]) * fx) * fy;
}

struct RimPoint {
    cv::Point2d at;
    double step = 0.0;  // levels, in the looked-for direction
};

// The steepest step along each ray, between 0.55 and 1.5 radii.
std::vector<RimPoint> rim_points(const cv::Mat& grey,
                                 cv::Point2d centre,
                                 double radius,
                                 bool dark) {
    std::vector<RimPoint> rim;
    const double first = std::max(0.6, 0.55 * radius);
    const double last = 1.5 * radius + 1.0;
    for (int k = 0; k < rays; ++k) {
        const double angle = 2.0 * std::numbers::pi * k / rays;
        const cv::Point2d ray(std::cos(angle), std::sin(angle));
        std::vector<float> seen;
        const double pace = 0.5;
        for (double r = first - 1.0; r <= last + 1.0; r += pace) {
            seen.push_back(sample(grey, centre.x + ray.x * r, centre.y + ray.y * r));
        }
        double best = 3.0;
        double place = -1.0;
        for (std::size_t i = 2; i + 2 < seen.size(); ++i) {
            if (seen[i - 2] < 0.0F || seen[i + 2] < 0.0F) {
                continue;
            }
            const double rise = (dark ? 1.0 : -1.0) * (seen[i + 2] - seen[i - 2]);
            if (rise > best) {
                best = rise;
                place = first - 1.0 + pace * static_cast<double>(i);
            }
        }
        if (place > 0.0) {
            rim.push_back({centre + ray * place, best});
        }
    }
    return rim;
}

struct Circle {
    cv::Point2d centre;
    double radius = 0.0;
};

// Least squares (Kasa): x^2 + y^2 = 2 a x + 2 b y + c.
Circle circle_through(const std::vector<RimPoint>& rim, cv::Point2d about) {
    cv::Matx33d normal = cv::Matx33d::zeros();
    cv::Vec3d right(0, 0, 0);
    for (const RimPoint& p : rim) {
        const cv::Point2d d = p.at - about;
        const cv::Vec3d row(2.0 * d.x, 2.0 * d.y, 1.0);
        normal += row * row.t();
        right += row * d.dot(d);
    }
    cv::Vec3d solved;
    if (!cv::solve(normal, right, solved, cv::DECOMP_LU)) {
        return {};
    }
    const double r2 = solved[2] + solved[0] * solved[0] + solved[1] * solved[1];
    return {about + cv::Point2d(solved[0], solved[1]), r2 > 0.0 ? std::sqrt(r2) : 0.0};
}

std::vector<RimPoint> near_circle(const std::vector<RimPoint>& rim, const Circle& circle) {
    const double tolerance = 0.6 + 0.08 * circle.radius;
    std::vector<RimPoint> near;
    for (const RimPoint& p : rim) {
        if (std::abs(cv::norm(p.at - circle.centre) - circle.radius) < tolerance) {
            near.push_back(p);
        }
    }
    return near;
}

cv::Vec3f mean_colour(const cv::Mat& bgr, cv::Point2d centre, double from, double to) {
    cv::Vec3d sum(0, 0, 0);
    int count = 0;
    for (int y = cvFloor(centre.y - to); y <= cvCeil(centre.y + to); ++y) {
        for (int x = cvFloor(centre.x - to); x <= cvCeil(centre.x + to); ++x) {
            const double r = std::hypot(x - centre.x, y - centre.y);
            if (r >= from && r <= to && x >= 0 && y >= 0 && x < bgr.cols && y < bgr.rows) {
                sum += cv::Vec3d(bgr.at<cv::Vec3b>(y, x));
                ++count;
            }
        }
    }
    return count > 0 ? cv::Vec3f(sum / count) : cv::Vec3f();
}

// Standard deviation of a ring.
double spread(const cv::Mat& grey, cv::Point2d centre, double radius) {
    double sum = 0.0;
    double squares = 0.0;
    int count = 0;
    for (int k = 0; k < rays; ++k) {
        const double angle = 2.0 * std::numbers::pi * (k + 0.5) / rays;
        const float v =
            sample(grey, centre.x + radius * std::cos(angle), centre.y + radius * std::sin(angle));
        if (v >= 0.0F) {
            sum += v;
            squares += static_cast<double>(v) * v;
            ++count;
        }
    }
    return count < 2 ? 255.0
                     : std::sqrt(std::max(0.0, squares / count - sum * sum / count / count));
}

bool fit_spot(const cv::Mat& grey, const cv::Mat& bgr, const Guess& guess, Spot& spot) {
    Circle circle{cv::Point2d(guess.x, guess.y), guess.radius};
    std::vector<RimPoint> near;
    for (int round = 0; round < 2; ++round) {
        const std::vector<RimPoint> rim =
            rim_points(grey, circle.centre, circle.radius, guess.dark);
        near = near_circle(rim, circle);
        if (near.size() < rays / 2) {
            return false;
        }
        const Circle fitted = circle_through(near, circle.centre);
        if (cv::norm(fitted.centre - circle.centre) > 0.5 * guess.radius + 1.0 ||
            fitted.radius < 1.2 || fitted.radius > 1.5 * guess.radius + 1.0) {
            return false;
        }
        circle = fitted;
        near = near_circle(rim, circle);
    }
    if (5 * near.size() < 3 * std::size_t{rays}) {
        return false;
    }
    double step = 0.0;
    for (const RimPoint& p : near) {
        step += p.step;
    }
    spot.at = circle.centre + cv::Point2d(0.5, 0.5);
    spot.radius = circle.radius;
    spot.dark = guess.dark;
    spot.contrast = step / static_cast<double>(near.size());
    spot.seen = static_cast<double>(near.size()) / rays;
    spot.inside = mean_colour(bgr, circle.centre, 0.0, std::max(0.8, 0.7 * circle.radius));
    spot.around = mean_colour(bgr, circle.centre, 1.2 * circle.radius, 1.5 * circle.radius + 1.0);
    const double step_mean = (spot.around[0] + spot.around[1] + spot.around[2] - spot.inside[0] -
                              spot.inside[1] - spot.inside[2]) /
                             3.0;
    spot.unrest =
        spread(grey, circle.centre, 1.3 * circle.radius + 1.0) / std::max(1.0, std::abs(step_mean));
    return spot.contrast > 5.0;
}

// A loop of a printed letter is a dark spot, too, but as bright inside as the board beside it; a
// hole is darker.
double light_of(const cv::Vec3f& bgr) {
    return (bgr[0] + bgr[1] + bgr[2]) / 3.0;
}

// A loop of a printed letter is a dark spot, too, but as bright inside as the board beside it; a
// hole is darker.
void measure_depth(const cv::Mat& grey, std::vector<Spot>& spots) {
    constexpr int shrink = 8;
    cv::Mat wide;
    cv::resize(grey,
               wide,
               {std::max(1, grey.cols / shrink), std::max(1, grey.rows / shrink)},
               0,
               0,
               cv::INTER_AREA);
    cv::medianBlur(wide, wide, 11);
    for (Spot& spot : spots) {
        const int x = std::clamp(cvFloor(spot.at.x / shrink), 0, wide.cols - 1);
        const int y = std::clamp(cvFloor(spot.at.y / shrink), 0, wide.rows - 1);
        spot.depth = wide.at<std::uint8_t>(y, x) - light_of(spot.inside);
    }
}

}  // namespace

bool Spot::deep() const {
    return dark && unrest < 0.45 && depth > 4.0 &&
           depth > 0.16 * (light_of(around) - light_of(inside));
}

std::vector<Spot> find_spots(const cv::Mat& bgr, const cv::Mat& inside) {
    cv::Mat grey;
    // Plain mean of the colours: by the eye's weights a hole in a blue mask would hardly show.
    cv::transform(bgr, grey, cv::Matx13f(1.0F / 3, 1.0F / 3, 1.0F / 3));
    cv::GaussianBlur(grey, grey, {3, 3}, 0.7);
    const std::vector<Edge> edges = edges_of(grey, inside);
    std::vector<Guess> guesses;
    for (const float radius :
         {2.0F, 2.7F, 3.5F, 4.4F, 5.4F, 6.6F, 8.0F, 9.7F, 11.7F, 14.0F, 17.0F, 21.0F, 26.0F}) {
        for (const bool dark : {true, false}) {
            std::vector<Guess> found;
            vote(edges, grey.size(), radius, dark, found);
            std::stable_sort(found.begin(), found.end(), [](const Guess& a, const Guess& b) {
                return a.votes > b.votes;
            });
            // Grain makes small circles without number: each size has its own share.
            found.resize(std::min<std::size_t>(found.size(), 400));
            guesses.insert(guesses.end(), found.begin(), found.end());
        }
    }
    std::vector<Spot> spots;
    for (const Guess& guess : guesses) {
        Spot spot;
        if (fit_spot(grey, bgr, guess, spot)) {
            spots.push_back(spot);
        }
    }
    std::stable_sort(spots.begin(), spots.end(), [](const Spot& a, const Spot& b) {
        return a.score() > b.score();
    });
    measure_depth(grey, spots);
    std::vector<Spot> kept;
    for (const Spot& spot : spots) {
        const bool again = std::any_of(kept.begin(), kept.end(), [&](const Spot& other) {
            return other.dark == spot.dark &&
                   cv::norm(other.at - spot.at) < 0.6 * std::min(other.radius, spot.radius) + 1.0 &&
                   spot.radius < 1.4 * other.radius + 1.0 && other.radius < 1.4 * spot.radius + 1.0;
        });
        if (!again) {
            kept.push_back(spot);
        }
    }
    return kept;
}

}  // namespace etchback::copper::eye::detail
