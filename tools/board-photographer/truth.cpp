#include "board-photographer/truth.h"

#include <fmt/format.h>

#include <numbers>
#include <opencv2/imgcodecs.hpp>

#include "base/file.h"
#include "board-photographer/bodies.h"
#include "board-photographer/draw.h"

namespace etchback::photographer {
namespace {

cv::Mat blank(const Raster& raster) {
    return cv::Mat::zeros(raster.height, raster.width, CV_8U);
}

cv::Mat board_of(const BoardShape& board, const Raster& raster) {
    cv::Mat mask = blank(raster);
    fill(mask, raster, board.outline, 255, false);
    for (const Polyline& cut : board.cut_outs) {
        fill(mask, raster, cut, 0, false);
    }
    for (const Slot& slot : board.slots) {
        fill_line(mask, raster, slot.along, slot.width_mm, 0, false);
    }
    for (const BoardHole& hole : board.holes) {
        fill(mask, raster, circle(hole.at, hole.diameter_mm / 2.0), 0, false);
    }
    return mask;
}

cv::Mat bodies_of(const Layout& layout, Side side, const Raster& raster) {
    cv::Mat mask = blank(raster);
    for (const Part& part : layout.parts) {
        if (part.side == side && part.fitted) {
            fill(mask, raster, body_ring(part), 255, false);
        }
    }
    return mask;
}

std::vector<TruthPad> truth_pads(const Layout& layout) {
    std::vector<TruthPad> pads;
    int alone = 0;
    for (const Pad& pad : pads_of(layout)) {
        const Shape shape = shape_of(pad, layout.board);
        const std::string net =
            pad.net.empty() ? fmt::format("open {}", ++alone) : joined_name(layout, pad.net);
        pads.push_back({net, pad.part, pad.pin, pad.at, shape.top, shape.bottom});
    }
    for (const Via& via : layout.vias) {
        pads.push_back(
            {joined_name(layout, via.net), "", "", via.at, layout.board.sides == 2, true});
    }
    return pads;
}

void write_png(const std::filesystem::path& path, const cv::Mat& picture) {
    std::vector<uchar> bytes;
    cv::imencode(".png", picture, bytes);
    base::write_file_atomically(path, {reinterpret_cast<const char*>(bytes.data()), bytes.size()});
}

// As comma-separated values want it.
std::string field(const std::string& text) {
    if (text.find_first_of(",\"\n") == std::string::npos) {
        return text;
    }
    std::string quoted = "\"";
    for (const char c : text) {
        quoted += c;
        if (c == '"') {
            quoted += c;
        }
    }
    return quoted + '"';
}

}  // namespace

Polyline body_ring(const Part& part, double grow_mm) {
    const auto body = body_of(part.body, part.pins.size(), part.pitch_mm);
    if (!body || body->form == Form::none || body->form == Form::wires) {
        return {};
    }
    if (body->form == Form::standing) {
        return circle(part.at, body->length_mm / 2.0 + grow_mm);
    }
    Polyline ring;
    const double x = body->length_mm / 2.0 + grow_mm;
    const double y = body->width_mm / 2.0 + grow_mm;
    for (const Point& corner : {Point{-x, -y}, Point{x, -y}, Point{x, y}, Point{-x, y}}) {
        ring.push_back(on_board(part, corner));
    }
    return ring;
}

cv::Mat copper_of(const Layout& layout,
                  const std::vector<PouredCopper>& poured,
                  Side side,
                  const Raster& raster,
                  bool soft) {
    cv::Mat mask = blank(raster);
    for (const Shape& shape : shapes_of(layout)) {
        if (shape.on(side)) {
            fill(mask, raster, ring_of(shape), 255, soft);
        }
    }
    for (const PouredCopper& pour : poured) {
        if (pour.side == side) {
            for (const copper::Polygon& piece : pour.pieces) {
                std::vector<Polyline> rings{piece.outer};
                rings.insert(rings.end(), piece.holes.begin(), piece.holes.end());
                fill(mask, raster, rings, 255, soft);
            }
        }
    }
    return mask;
}

std::vector<TruthHole> holes_of(const Layout& layout) {
    std::vector<TruthHole> holes;
    const bool two_sided = layout.board.sides == 2;
    for (const Pad& pad : pads_of(layout)) {
        if (pad.drill_mm > 0.0) {
            holes.push_back({pad.at, pad.drill_mm, {}, two_sided, !pad.soldered});
        }
    }
    for (const Via& via : layout.vias) {
        holes.push_back({via.at, via.drill_mm, {}, two_sided, !via.tented});
    }
    for (const BoardHole& hole : layout.board.holes) {
        holes.push_back({hole.at, hole.diameter_mm, {}, false, true});
    }
    for (const Slot& slot : layout.board.slots) {
        if (!slot.along.empty()) {
            holes.push_back({slot.along.front(), slot.width_mm, slot.along, false, true});
        }
    }
    return holes;
}

Truth truth_of(const Layout& layout, double px_per_mm) {
    Truth truth;
    truth.raster = raster_of(layout.board, px_per_mm);
    const std::vector<PouredCopper> poured = pour_all(layout);
    truth.top = copper_of(layout, poured, Side::top, truth.raster, false);
    truth.bottom = copper_of(layout, poured, Side::bottom, truth.raster, false);
    truth.board = board_of(layout.board, truth.raster);
    truth.body_top = bodies_of(layout, Side::top, truth.raster);
    truth.body_bottom = bodies_of(layout, Side::bottom, truth.raster);
    truth.holes = holes_of(layout);
    truth.pads = truth_pads(layout);
    return truth;
}

void write_truth(const Truth& truth, const std::filesystem::path& folder) {
    std::filesystem::create_directories(folder);
    write_png(folder / "top.png", truth.top);
    write_png(folder / "bottom.png", truth.bottom);
    write_png(folder / "board.png", truth.board);
    write_png(folder / "bodies-top.png", truth.body_top);
    write_png(folder / "bodies-bottom.png", truth.body_bottom);
    std::string holes = "x_mm,y_mm,diameter_mm,plated,open,to_x_mm,to_y_mm\n";
    for (const TruthHole& hole : truth.holes) {
        const Point end = hole.slot.empty() ? hole.at : hole.slot.back();
        holes += fmt::format("{:.3f},{:.3f},{:.3f},{},{},{:.3f},{:.3f}\n",
                             hole.at.x_mm,
                             hole.at.y_mm,
                             hole.diameter_mm,
                             hole.plated ? 1 : 0,
                             hole.open ? 1 : 0,
                             end.x_mm,
                             end.y_mm);
    }
    base::write_file_atomically(folder / "holes.csv", holes);
    std::string nets = "net,part,pin,side,x_mm,y_mm\n";
    for (const TruthPad& pad : truth.pads) {
        for (const bool top : {true, false}) {
            if (top ? pad.top : pad.bottom) {
                nets += fmt::format("{},{},{},{},{:.3f},{:.3f}\n",
                                    field(pad.net),
                                    field(pad.part),
                                    field(pad.pin),
                                    top ? "top" : "bottom",
                                    pad.at.x_mm,
                                    pad.at.y_mm);
            }
        }
    }
    base::write_file_atomically(folder / "nets.csv", nets);
}

}  // namespace etchback::photographer
