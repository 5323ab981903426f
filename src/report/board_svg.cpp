#include "report/board_svg.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <iterator>
#include <set>

#include "base/text.h"
#include "report/detail/digest.h"
#include "report/detail/xml_text.h"

namespace etchback::report {

namespace {

using copper::Point;
using copper::Side;
using detail::xml_text;

// Eight hues that can be told apart, also by most who see colours otherwise (after Okabe and Ito,
// "Color Universal Design", 2008; from memory).
constexpr std::array<const char*, 8> hues = {
    "#e69f00", "#56b4e9", "#009e73", "#f0e442", "#0072b2", "#d55e00", "#cc79a7", "#9a86ff"};

constexpr const char* own_style =
    "<style>"
    ".board text{font-family:\"Liberation Sans\",\"DejaVu Sans\",sans-serif;fill:#111;"
    "stroke:#fff;stroke-width:.22em;paint-order:stroke;stroke-linejoin:round}"
    ".board .copper{fill-opacity:.5;stroke-opacity:.9}"
    ".board .loose{fill:#888;fill-opacity:.25;stroke:#555}"
    ".board .pad{fill:#fff;fill-opacity:.75;stroke:#111}"
    ".board .mark{fill:#fff;fill-opacity:.85;stroke:#b00020}"
    ".board .way{fill:none;stroke:#b00020}"
    ".board .perhaps{opacity:.55}"
    ".board .hole{fill:none;stroke:#111}"
    "</style>";

class Drawer {
public:
    Drawer(const copper::Trace& trace, Side side, const BoardSvgStyle& style)
        : trace_(trace), side_(side), style_(style) {
        const copper::Raster& raster = trace.picture.raster;
        width_ = raster.width / raster.px_per_mm;
        height_ = raster.height / raster.px_per_mm;
        // Sizes of marks and letters follow the board's, so that they can be read on any.
        unit_ = std::clamp(std::max(width_, height_) / 90.0, 0.25, 2.5);
    }

    std::string drawn(const std::string& jpeg) {
        open();
        if (!jpeg.empty()) {
            add_photo(jpeg);
        }
        add_copper();
        add_pads();
        add_ways();
        add_marks();
        add("</svg>\n");
        return std::move(svg_);
    }

private:
    template <typename... Args>
    void add(fmt::format_string<Args...> format, Args&&... args) {
        fmt::format_to(std::back_inserter(svg_), format, std::forward<Args>(args)...);
    }

    double x(Point p) const {
        const double from_left = p.x_mm - trace_.picture.raster.origin.x_mm;
        return side_ == Side::top ? from_left : width_ - from_left;
    }
    double y(Point p) const { return p.y_mm - trace_.picture.raster.origin.y_mm; }

    void open() {
        const char* name = side_ == Side::top ? "top" : "bottom";
        if (style_.standalone) {
            add("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
                "<svg xmlns=\"http://www.w3.org/2000/svg\" "
                "xmlns:xlink=\"http://www.w3.org/1999/xlink\" width=\"{:.2f}mm\" "
                "height=\"{:.2f}mm\" ",
                style_.enlarge * width_,
                style_.enlarge * height_);
        } else {
            add("<svg ");
        }
        add("class=\"board\" viewBox=\"0 0 {:.2f} {:.2f}\" role=\"img\" "
            "aria-label=\"The {} side of the board\">\n",
            width_,
            height_,
            name);
        add("<title>The {} side of the board{}</title>\n",
            name,
            side_ == Side::top ? "" : ", as one looks at it");
        if (style_.standalone) {
            add("{}\n<rect width=\"{:.2f}\" height=\"{:.2f}\" fill=\"#fff\"/>\n",
                own_style,
                width_,
                height_);
        }
    }

    void add_photo(const std::string& jpeg) {
        const std::string turned =
            side_ == Side::top ? ""
                               : fmt::format(" transform=\"matrix(-1 0 0 1 {:.3f} 0)\"", width_);
        add("<image width=\"{:.3f}\" height=\"{:.3f}\" preserveAspectRatio=\"none\"{} "
            "{}href=\"data:image/jpeg;base64,{}\"/>\n",
            width_,
            height_,
            turned,
            style_.standalone ? "xlink:" : "",
            detail::base64(jpeg));
    }

    void add_ring(const copper::Polyline& ring) {
        // Relative steps of a hundredth of a mm: half the bytes, and no error adds up.
        long last_x = 0;
        long last_y = 0;
        for (std::size_t i = 0; i < ring.size(); ++i) {
            const long now_x = std::lround(100.0 * x(ring[i]));
            const long now_y = std::lround(100.0 * y(ring[i]));
            add("{}{} {}",
                i == 0 ? "M" : "l",
                hundredths(now_x - last_x),
                hundredths(now_y - last_y));
            last_x = now_x;
            last_y = now_y;
        }
        add("z");
    }

    static std::string hundredths(long value) {
        return fmt::format("{}", static_cast<double>(value) / 100.0);
    }

    void add_shape(const copper::Polygon& shape) {
        add_ring(shape.outer);
        for (const copper::Polyline& hole : shape.holes) {
            add_ring(hole);
        }
    }

    bool on_side(const copper::Net& net) const {
        return std::ranges::any_of(net.islands, [&](int island) {
            return trace_.islands.islands[static_cast<std::size_t>(island)].side == side_;
        });
    }

    void add_paths(const copper::Net& net) {
        add("<path fill-rule=\"evenodd\" d=\"");
        for (const int i : net.islands) {
            const copper::Island& island = trace_.islands.islands[static_cast<std::size_t>(i)];
            if (island.side == side_) {
                add_shape(island.shape);
            }
        }
        add("\"/>");
    }

    void add_copper() {
        for (std::size_t i = 0; i < trace_.nets.nets.size(); ++i) {
            const copper::Net& net = trace_.nets.nets[i];
            if (!on_side(net)) {
                continue;
            }
            if (!is_shown(net)) {
                add("<g class=\"loose\" stroke-width=\"{:.3f}\">", 0.06 * unit_);
                add_paths(net);
                add("</g>\n");
                continue;
            }
            const std::string name = xml_text(net.name);
            add("<g class=\"net copper\"{} fill=\"{}\" stroke=\"{}\" stroke-width=\"{:.3f}\">"
                "<title>{}</title>",
                style_.standalone ? "" : fmt::format(" data-net=\"{}\"", name),
                hues[i % hues.size()],
                hues[i % hues.size()],
                0.12 * unit_,
                name);
            add_paths(net);
            add("</g>\n");
        }
        if (style_.standalone) {
            add_net_names();
        }
    }

    // On the largest piece of each net.
    void add_net_names() {
        for (const copper::Net& net : trace_.nets.nets) {
            const copper::Island* largest = nullptr;
            for (const int i : net.islands) {
                const copper::Island& island = trace_.islands.islands[static_cast<std::size_t>(i)];
                if (island.side == side_ &&
                    (largest == nullptr || island.area_mm2 > largest->area_mm2)) {
                    largest = &island;
                }
            }
            if (is_shown(net) && largest != nullptr) {
                const double letters =
                    std::clamp(0.4 * std::sqrt(largest->area_mm2), 0.4 * unit_, 1.4 * unit_);
                add("<text x=\"{:.2f}\" y=\"{:.2f}\" font-size=\"{:.2f}\" "
                    "text-anchor=\"middle\">{}</text>\n",
                    x(largest->inside),
                    y(largest->inside) + 0.35 * letters,
                    letters,
                    xml_text(net.name));
            }
        }
    }

    // Marks and names of pads that stand close together are small, so that none hides another.
    double room(const copper::Pad& pad) const {
        double nearest = 4.0 * unit_;
        for (const copper::Pad& other : trace_.pads) {
            if (&other != &pad && is_on_side(other)) {
                nearest = std::min(
                    nearest, std::hypot(other.at.x_mm - pad.at.x_mm, other.at.y_mm - pad.at.y_mm));
            }
        }
        return nearest;
    }

    bool is_on_side(const copper::Pad& pad) const { return !pad.side || *pad.side == side_; }

    void add_pads() {
        for (std::size_t i = 0; i < trace_.pads.size(); ++i) {
            const copper::Pad& pad = trace_.pads[i];
            if (!is_on_side(pad) || pad.part.empty()) {
                continue;
            }
            const std::string part = xml_text(pad.part);
            const std::string pin = xml_text(pad.pin);
            const double near = room(pad);
            const double letters = std::clamp(0.45 * near, 0.3 * unit_, 0.95 * unit_);
            const double radius = std::clamp(0.25 * near, 0.12 * unit_, 0.42 * unit_);
            add("<g class=\"padmark\"{}><title>{}.{}</title><circle class=\"pad\" cx=\"{:.2f}\" "
                "cy=\"{:.2f}\" r=\"{:.2f}\" stroke-width=\"{:.3f}\"{}/>",
                style_.standalone ? "" : fmt::format(" data-part=\"{}\"", part),
                part,
                pin,
                x(pad.at),
                y(pad.at),
                radius,
                0.25 * radius,
                pad.placed_by_body ? fmt::format(" stroke-dasharray=\"{:.2f}\"", 0.2 * unit_) : "");
            add("<text x=\"{:.2f}\" y=\"{:.2f}\" font-size=\"{:.2f}\">{}.{}</text></g>\n",
                x(pad.at) + 1.25 * radius,
                y(pad.at) - 0.8 * radius,
                letters,
                part,
                pin);
        }
    }

    // Paths that are proposed where copper is hidden: taken, or fainter where they are in doubt.
    void add_ways() {
        std::set<int> doubted;
        for (const copper::Doubt& doubt : trace_.nets.doubts) {
            doubted.insert(doubt.joints.begin(), doubt.joints.end());
        }
        for (std::size_t j = 0; j < trace_.islands.joints.size(); ++j) {
            const copper::Joint& joint = trace_.islands.joints[j];
            const bool here = joint.kind == copper::Joint::Kind::jumper || side_of(joint) == side_;
            const bool taken = joint.joined > 0.5;
            if (joint.path.size() < 2 || !here ||
                (!taken && !doubted.contains(static_cast<int>(j)))) {
                continue;
            }
            add("<polyline class=\"{}\" stroke-width=\"{:.2f}\" stroke-dasharray=\"{:.2f}\" "
                "points=\"",
                taken ? "way" : "way perhaps",
                0.25 * unit_,
                (taken ? 0.6 : 0.3) * unit_);
            for (const Point p : joint.path) {
                add("{:.2f},{:.2f} ", x(p), y(p));
            }
            add("\"/>\n");
        }
    }

    Side side_of(const copper::Joint& joint) const {
        return trace_.islands.islands[static_cast<std::size_t>(joint.a)].side;
    }

    void add_marks() {
        // The foremost last, so that they lie on top.
        for (std::size_t i = trace_.nets.doubts.size(); i-- > 0;) {
            const copper::Doubt& doubt = trace_.nets.doubts[i];
            if (doubt.joint < 0) {
                const copper::Pad& pad = trace_.pads[doubt.pads.front()];
                // What is said of all pads has no place.
                if (doubt.pads.size() == 1 && is_on_side(pad)) {
                    add_mark(i, pad.at, "triangle");
                }
                continue;
            }
            const copper::Joint& joint =
                trace_.islands.joints[static_cast<std::size_t>(doubt.joint)];
            const bool through = joint.kind == copper::Joint::Kind::hole;
            if (through || side_of(joint) == side_) {
                add_mark(i, joint.at, is_joined(joint) ? "diamond" : "ring");
            }
        }
    }

    bool is_joined(const copper::Joint& joint) const {
        const auto net = [&](int island) {
            return trace_.nets.net_of_island[static_cast<std::size_t>(island)];
        };
        return net(joint.a) == net(joint.b);
    }

    // Only the foremost are as large as their number: on a crowded board the rest would hide it.
    void add_mark(std::size_t number, Point at, std::string_view shape) {
        constexpr std::size_t numbered = 30;
        const double cx = x(at);
        const double cy = y(at);
        const double r = (number < numbered ? 1.15 : 0.4) * unit_;
        add("<g class=\"doubt\"><title>Doubt {}: {}</title>",
            number + 1,
            xml_text(trace_.nets.doubts[number].words));
        if (shape == "diamond") {
            add("<path class=\"mark\" stroke-width=\"{:.2f}\" d=\"M{:.2f} {:.2f}L{:.2f} "
                "{:.2f} {:.2f} {:.2f} {:.2f} {:.2f}z\"/>",
                0.18 * unit_,
                cx,
                cy - 1.25 * r,
                cx + 1.25 * r,
                cy,
                cx,
                cy + 1.25 * r,
                cx - 1.25 * r,
                cy);
        } else if (shape == "ring") {
            add("<circle class=\"mark\" stroke-width=\"{:.2f}\" stroke-dasharray=\"{:.2f}\" "
                "cx=\"{:.2f}\" cy=\"{:.2f}\" r=\"{:.2f}\"/>",
                0.18 * unit_,
                0.4 * unit_,
                cx,
                cy,
                r);
        } else {
            add("<path class=\"mark\" stroke-width=\"{:.2f}\" d=\"M{:.2f} {:.2f}L{:.2f} "
                "{:.2f} {:.2f} {:.2f}z\"/>",
                0.18 * unit_,
                cx,
                cy - 1.3 * r,
                cx + 1.3 * r,
                cy + r,
                cx - 1.3 * r,
                cy + r);
        }
        if (number < numbered) {
            add("<text x=\"{:.2f}\" y=\"{:.2f}\" font-size=\"{:.2f}\" font-weight=\"bold\" "
                "text-anchor=\"middle\">{}</text>",
                cx,
                cy + 0.42 * unit_,
                1.2 * unit_,
                number + 1);
        }
        add("</g>\n");
    }

    const copper::Trace& trace_;
    Side side_;
    BoardSvgStyle style_;
    double width_ = 0.0;
    double height_ = 0.0;
    double unit_ = 1.0;
    std::string svg_;
};

}  // namespace

bool is_shown(const copper::Net& net) {
    return !net.pads.empty();
}

base::Result<std::string> board_svg(const copper::Trace& trace,
                                    Side side,
                                    const BoardSvgStyle& style) {
    if (!trace.picture.side(side)) {
        return std::string();
    }
    std::string jpeg;
    if (style.photo) {
        base::Result<std::string> made = copper::jpeg_of(trace.picture, side, style.longest_px);
        if (!made) {
            return made.errors();
        }
        jpeg = *std::move(made);
    }
    return Drawer(trace, side, style).drawn(jpeg);
}

}  // namespace etchback::report
