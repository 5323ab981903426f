#include <fmt/format.h>

#include "board-photographer/detail/words.h"
#include "board-photographer/layout_file.h"

namespace etchback::photographer {
namespace {

std::string in_quotes(std::string_view text) {
    std::string out = "\"";
    for (const char c : text) {
        if (c == '"' || c == '\\') {
            out += '\\';
        }
        out += c;
    }
    return out + '"';
}

// The shortest text that reads back as the same number.
std::string number(double value) {
    return fmt::format("{}", value == 0.0 ? 0.0 : value);
}

std::string point(Point p) {
    return std::string("[") + number(p.x_mm) + ", " + number(p.y_mm) + "]";
}

std::string line(const Polyline& along) {
    std::string out = "[";
    for (std::size_t i = 0; i < along.size(); ++i) {
        out += (i == 0 ? "" : ", ") + point(along[i]);
    }
    return out + "]";
}

template <typename Items, typename Write>
void list(std::string& out, std::string_view key, const Items& items, const Write& write) {
    if (items.empty()) {
        return;
    }
    out += fmt::format("{} = [\n", key);
    for (const auto& item : items) {
        out += std::string("  { ") + write(item) + " },\n";
    }
    out += "]\n";
}

std::string side(Side s) {
    return in_quotes(side_words[static_cast<std::size_t>(s)]);
}

void write_board(std::string& out, const BoardShape& board) {
    out += std::string("\n[board]\noutline = ") + line(board.outline) + "\n";
    if (!board.cut_outs.empty()) {
        out += "cut_outs = [";
        for (std::size_t i = 0; i < board.cut_outs.size(); ++i) {
            out += (i == 0 ? "" : ", ") + line(board.cut_outs[i]);
        }
        out += "]\n";
    }
    list(out, "slots", board.slots, [](const Slot& slot) {
        return fmt::format("along = {}, width = {}", line(slot.along), number(slot.width_mm));
    });
    list(out, "holes", board.holes, [](const BoardHole& hole) {
        return fmt::format("at = {}, diameter = {}", point(hole.at), number(hole.diameter_mm));
    });
    out += fmt::format(
        "thickness = {}\nsides = {}\nmask = \"{}\"\nlaminate = \"{}\"\nfinish = \"{}\"\n",
        number(board.thickness_mm),
        board.sides,
        mask_words[static_cast<std::size_t>(board.mask)],
        laminate_words[static_cast<std::size_t>(board.laminate)],
        finish_words[static_cast<std::size_t>(board.finish)]);
    out += fmt::format("clearance = {}\n", number(board.clearance_mm));
}

void write_part(std::string& out, const Part& part) {
    out += fmt::format("\n[parts.{}]\nbody = {}\nat = {}\n",
                       in_quotes(part.name),
                       in_quotes(part.body),
                       point(part.at));
    if (part.turn_deg != 0.0) {
        out += fmt::format("turn = {}\n", number(part.turn_deg));
    }
    if (part.side == Side::bottom) {
        out += "side = \"bottom\"\n";
    }
    if (part.pitch_mm) {
        out += fmt::format("pitch = {}\n", number(*part.pitch_mm));
    }
    if (!part.marking.empty()) {
        out += std::string("marking = ") + in_quotes(part.marking) + "\n";
    }
    if (!part.colour.empty()) {
        out += std::string("colour = ") + in_quotes(part.colour) + "\n";
    }
    if (!part.fitted) {
        out += "fitted = false\n";
    }
    if (!part.pins.empty()) {
        out += "pins = { ";
        for (std::size_t i = 0; i < part.pins.size(); ++i) {
            out += fmt::format("{}{} = {}",
                               i == 0 ? "" : ", ",
                               in_quotes(part.pins[i].pin),
                               in_quotes(part.pins[i].net));
        }
        out += " }\n";
    }
}

void write_copper(std::string& out, const Layout& layout) {
    out += "\n[copper]\n";
    list(out, "pads", layout.test_points, [](const Pad& pad) {
        std::string words = pad.part.empty() ? "" : fmt::format("name = {}, ", in_quotes(pad.part));
        words += fmt::format("net = {}, at = {}, shape = \"{}\", width = {}, height = {}",
                             in_quotes(pad.net),
                             point(pad.at),
                             pad_shape_words[static_cast<std::size_t>(pad.shape)],
                             number(pad.width_mm),
                             number(pad.height_mm));
        return words + fmt::format(", turn = {}, drill = {}, side = {}, soldered = {}",
                                   number(pad.turn_deg),
                                   number(pad.drill_mm),
                                   side(pad.side),
                                   pad.soldered);
    });
    list(out, "tracks", layout.tracks, [](const Track& track) {
        return fmt::format("net = {}, side = {}, width = {}, along = {}",
                           in_quotes(track.net),
                           side(track.side),
                           number(track.width_mm),
                           line(track.along));
    });
    list(out, "pours", layout.pours, [](const Pour& pour) {
        return fmt::format("net = {}, side = {}, clearance = {}, thermal = {}, outline = {}",
                           in_quotes(pour.net),
                           side(pour.side),
                           number(pour.clearance_mm),
                           pour.thermal,
                           line(pour.outline));
    });
    list(out, "vias", layout.vias, [](const Via& via) {
        return fmt::format("net = {}, at = {}, drill = {}, diameter = {}, tented = {}",
                           in_quotes(via.net),
                           point(via.at),
                           number(via.drill_mm),
                           number(via.diameter_mm),
                           via.tented);
    });
    list(out, "jumpers", layout.jumpers, [](const Jumper& jumper) {
        return fmt::format("net = {}, from = {}, to = {}",
                           in_quotes(jumper.net),
                           point(jumper.from),
                           point(jumper.to));
    });
    list(out, "blobs", layout.blobs, [](const Blob& blob) {
        const std::string joins =
            blob.joins.empty() ? "" : fmt::format("joins = {}, ", in_quotes(blob.joins));
        return fmt::format("net = {}, {}side = {}, width = {}, along = {}",
                           in_quotes(blob.net),
                           joins,
                           side(blob.side),
                           number(blob.width_mm),
                           line(blob.along));
    });
}

}  // namespace

std::string write_layout(const Layout& layout) {
    std::string out =
        "# An invented board; see docs/board-layout.md.\n\nformat = 1\ninvented = true\n";
    out += std::string("name = ") + in_quotes(layout.name) + "\n";
    write_board(out, layout.board);
    if (!layout.nets.empty()) {
        out += "\n[nets]\n";
        for (const auto& [name, rule] : layout.nets) {
            const std::string domain =
                rule.domain.empty() ? "" : fmt::format("domain = {}, ", in_quotes(rule.domain));
            out += fmt::format(
                "{} = {{ {}width = {} }}\n", in_quotes(name), domain, number(rule.width_mm));
        }
    }
    for (const Gap& gap : layout.gaps) {
        out += fmt::format("\n[[gaps]]\nbetween = [{}, {}]\ndistance = {}\n",
                           in_quotes(gap.a),
                           in_quotes(gap.b),
                           number(gap.distance_mm));
    }
    for (const Part& part : layout.parts) {
        write_part(out, part);
    }
    write_copper(out, layout);
    for (const Legend& legend : layout.legends) {
        out += fmt::format("\n[[legend]]\nside = {}\n", side(legend.side));
        if (legend.along.empty()) {
            out += fmt::format("text = {}\nat = {}\nheight = {}\nturn = {}\n",
                               in_quotes(legend.text),
                               point(legend.at),
                               number(legend.height_mm),
                               number(legend.turn_deg));
        } else {
            out += fmt::format(
                "along = {}\nwidth = {}\n", line(legend.along), number(legend.width_mm));
        }
    }
    return out;
}

}  // namespace etchback::photographer
