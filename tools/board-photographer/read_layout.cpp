#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "base/file.h"
#include "base/text.h"
#include "base/toml_reader.h"
#include "board-photographer/bodies.h"
#include "board-photographer/detail/words.h"
#include "board-photographer/layout_file.h"
#include "board-photographer/shapes.h"

namespace etchback::photographer {
namespace {

using base::Errors;
using base::TableReader;

// A table of the file with the getters that a layout needs.
class Table : public TableReader {
public:
    Table(const toml::table& table, const std::string& file, std::string where, Errors& errors)
        : TableReader(table, file, std::move(where), errors), table_(table), file_(file) {}

    const std::string& file() const { return file_; }

    double length(std::string_view key, double usual, double least, double most) {
        const auto value = number(key);
        if (!value) {
            return usual;
        }
        if (!(value->value >= least && value->value <= most)) {
            complain(value->place,
                     fmt::format("{} is {:g} mm", key, value->value),
                     fmt::format("write a length from {:g} to {:g}", least, most));
            return usual;
        }
        return value->value;
    }
    double angle(std::string_view key) {
        const auto value = number(key);
        return value ? value->value : 0.0;
    }
    template <typename Word, std::size_t N>
    Word one_of(std::string_view key, const std::array<std::string, N>& words, Word usual) {
        const auto found = word(key, words);
        if (!found) {
            return usual;
        }
        return static_cast<Word>(std::find(words.begin(), words.end(), found->value) -
                                 words.begin());
    }
    // [x, y]. Needed: absent is an error.
    Point point(std::string_view key) {
        know(key);
        const toml::array* pair = table_[key].as_array();
        if (const auto p = pair == nullptr ? std::nullopt : point_of(*pair)) {
            return *p;
        }
        complain(place(key),
                 fmt::format("{} is not a point", key),
                 "write [x, y] in mm, x to the right and y down");
        return {};
    }
    // [[x, y], [x, y] ...] of at least `least` points; absent: empty, unless `needed`.
    Polyline line(std::string_view key, std::size_t least, bool needed) {
        know(key);
        Polyline points;
        const toml::array* list = table_[key].as_array();
        if (list == nullptr && !needed && !has(key)) {
            return points;
        }
        bool good = list != nullptr;
        if (good) {
            points = line_of(*list, good);
        }
        if (!good || points.size() < least) {
            complain(place(key),
                     fmt::format("{} is not a list of {} points or more", key, least),
                     "write [[x, y], [x, y], ...] in mm");
            points.clear();
        }
        return points;
    }
    std::vector<Polyline> lines(std::string_view key, std::size_t least) {
        know(key);
        std::vector<Polyline> all;
        const toml::array* list = table_[key].as_array();
        if (list == nullptr) {
            if (has(key)) {
                complain(place(key),
                         fmt::format("{} is not a list of outlines", key),
                         "write [[[x, y], [x, y], ...]]: a list of lists of points");
            }
            return all;
        }
        for (const toml::node& element : *list) {
            bool good = element.is_array();
            Polyline points = good ? line_of(*element.as_array(), good) : Polyline{};
            if (!good || points.size() < least) {
                complain(base::place_of(element, file_),
                         fmt::format(
                             "an outline in {} has fewer than {} points", key, least),
                         "write [[x, y], [x, y], ...] in mm");
            } else {
                all.push_back(std::move(points));
            }
        }
        return all;
    }

private:
    static std::optional<Point> point_of(const toml::array& pair) {
        if (pair.size() != 2 || !pair[0].is_number() || !pair[1].is_number()) {
            return std::nullopt;
        }
        const Point p{*pair[0].value<double>(), *pair[1].value<double>()};
        return std::abs(p.x_mm) < 1000.0 && std::abs(p.y_mm) < 1000.0 ? std::optional(p)
                                                                      : std::nullopt;
    }
    static Polyline line_of(const toml::array& list, bool& good) {
        Polyline points;
        for (const toml::node& element : list) {
            const auto p = element.is_array() ? point_of(*element.as_array()) : std::nullopt;
            good = good && p.has_value();
            points.push_back(p.value_or(Point{}));
        }
        return points;
    }

    const toml::table& table_;
    std::string file_;
};

class LayoutReader {
public:
    LayoutReader(const std::string& file, Errors& errors) : file_(file), errors_(errors) {}

    Layout read(const toml::table& root);

private:
    Table open(const toml::table& table, std::string where) {
        return {table, file_, std::move(where), errors_};
    }
    void board(Table table);
    void nets(Table& top);
    void gaps(Table& top);
    void parts(Table& top);
    Part part(Table table, const std::string& name);
    void copper(Table table);
    void legends(Table& top);
    std::string net_of(Table& table);
    void check_places();

    std::string file_;
    Errors& errors_;
    Layout layout_;
    std::map<std::string, base::Place> part_places_;
};

std::string LayoutReader::net_of(Table& table) {
    table.require("net", "write net = \"NAME\", the net that it belongs to");
    const auto net = table.text("net");
    return net ? net->value : std::string();
}

void LayoutReader::board(Table table) {
    BoardShape& board = layout_.board;
    board.outline = table.line("outline", 3, true);
    board.cut_outs = table.lines("cut_outs", 3);
    for (const toml::table* one : table.tables("slots")) {
        Table slot = open(*one, "slot");
        board.slots.push_back({slot.line("along", 2, true), slot.length("width", 1.0, 0.2, 20.0)});
        slot.finish();
    }
    for (const toml::table* one : table.tables("holes")) {
        Table hole = open(*one, "hole");
        board.holes.push_back({hole.point("at"), hole.length("diameter", 3.2, 0.2, 50.0)});
        hole.finish();
    }
    board.thickness_mm = table.length("thickness", 1.6, 0.2, 6.0);
    if (const auto sides = table.integer("sides")) {
        if (sides->value != 1 && sides->value != 2) {
            table.complain(sides->place,
                           fmt::format("{} sides with copper", sides->value),
                           "write 1 (the bottom) or 2");
        } else {
            board.sides = static_cast<int>(sides->value);
        }
    }
    board.mask = table.one_of("mask", mask_words, Mask::green);
    board.laminate = table.one_of("laminate", laminate_words, Laminate::fr4);
    board.finish = table.one_of("finish", finish_words, Finish::tin);
    board.clearance_mm = table.length("clearance", 0.3, 0.1, 5.0);
    table.finish();
}

void LayoutReader::nets(Table& top) {
    const toml::table* all = top.table("nets");
    if (all == nullptr) {
        return;
    }
    for (const auto& [key, node] : *all) {
        const std::string name(key.str());
        if (const toml::table* one = node.as_table()) {
            Table net = open(*one, "net " + name);
            const auto domain = net.text("domain");
            layout_.nets[name] = {domain ? domain->value : std::string(),
                                  net.length("width", 0.4, 0.1, 20.0)};
            net.finish();
        } else {
            top.complain(base::place_of(node, file_),
                         fmt::format("net {} is no table", name),
                         "write NAME = { width = 0.5 }");
        }
    }
}

void LayoutReader::gaps(Table& top) {
    for (const toml::table* one : top.tables("gaps")) {
        Table gap = open(*one, "gap");
        const auto between = gap.texts("between");
        if (between.size() != 2) {
            gap.complain(gap.place("between"),
                         "between does not name two domains",
                         "write between = [\"primary\", \"secondary\"]");
        } else {
            layout_.gaps.push_back(
                {between[0].value, between[1].value, gap.length("distance", 6.0, 0.1, 50.0)});
        }
        gap.finish();
    }
}

Part LayoutReader::part(Table table, const std::string& name) {
    Part part;
    part.name = name;
    part_places_[name] = table.place();
    const std::vector<std::string> bodies = known_bodies();
    if (const toml::table* pins = table.table("pins")) {
        TableReader reader(*pins, file_, "pins of " + name, errors_);
        for (const std::string& pin : reader.keys()) {
            const auto net = reader.spelled(pin);
            part.pins.push_back({pin, net ? net->value : std::string()});
        }
    }
    if (const auto pitch = table.number("pitch")) {
        part.pitch_mm = pitch->value;
    }
    table.require("body", "write body = \"1206\" or another of docs/board-layout.md");
    if (const auto body = table.spelled("body")) {
        part.body = body->value;
        if (!body_of(part.body, std::max<std::size_t>(part.pins.size(), 1), part.pitch_mm)) {
            const auto near = base::nearest_word(part.body, bodies);
            table.complain(body->place,
                           fmt::format("no body is called '{}'", part.body),
                           near ? fmt::format("did you mean '{}'?", *near)
                                : "docs/board-layout.md lists them");
        } else {
            const std::size_t count =
                body_of(part.body, part.pins.size(), part.pitch_mm)->pads.size();
            if (part.pins.size() > count) {
                table.complain(table.place("pins"),
                               fmt::format("{} pins on a body of {}", part.pins.size(), count),
                               "name as many pins as the body has, in its order");
            }
        }
    }
    part.at = table.point("at");
    part.turn_deg = table.angle("turn");
    part.side = table.one_of("side", side_words, Side::top);
    const auto marking = table.spelled("marking");
    part.marking = marking ? marking->value : std::string();
    const auto colour = table.text("colour");
    part.colour = colour ? colour->value : std::string();
    const auto fitted = table.flag("fitted");
    part.fitted = !fitted || fitted->value;
    table.finish();
    return part;
}

void LayoutReader::parts(Table& top) {
    const toml::table* all = top.table("parts");
    if (all == nullptr) {
        return;
    }
    TableReader order(*all, file_, "parts", errors_);
    for (const std::string& name : order.keys()) {
        if (const toml::table* one = order.table(name)) {
            layout_.parts.push_back(part(open(*one, "part " + name), name));
        }
    }
}

void LayoutReader::copper(Table table) {
    for (const toml::table* one : table.tables("pads")) {
        Table t = open(*one, "pad");
        Pad pad;
        const auto name = t.text("name");
        pad.part = name ? name->value : std::string();
        pad.net = net_of(t);
        pad.at = t.point("at");
        pad.shape = t.one_of("shape", pad_shape_words, PadShape::round);
        pad.width_mm = t.length("width", 1.6, 0.2, 30.0);
        pad.height_mm = t.length("height", pad.width_mm, 0.2, 30.0);
        pad.turn_deg = t.angle("turn");
        pad.drill_mm = t.length("drill", 0.0, 0.0, 10.0);
        pad.side = t.one_of("side", side_words, Side::bottom);
        const auto soldered = t.flag("soldered");
        pad.soldered = soldered && soldered->value;
        t.finish();
        layout_.test_points.push_back(pad);
    }
    for (const toml::table* one : table.tables("tracks")) {
        Table t = open(*one, "track");
        Track track;
        track.net = net_of(t);
        track.side = t.one_of("side", side_words, Side::bottom);
        track.width_mm = t.length("width", 0.4, 0.05, 30.0);
        track.along = t.line("along", 2, true);
        t.finish();
        layout_.tracks.push_back(std::move(track));
    }
    for (const toml::table* one : table.tables("pours")) {
        Table t = open(*one, "pour");
        Pour pour;
        pour.net = net_of(t);
        pour.side = t.one_of("side", side_words, Side::bottom);
        pour.outline = t.line("outline", 3, true);
        pour.clearance_mm = t.length("clearance", 0.4, 0.1, 5.0);
        const auto thermal = t.flag("thermal");
        pour.thermal = thermal && thermal->value;
        t.finish();
        layout_.pours.push_back(std::move(pour));
    }
    for (const toml::table* one : table.tables("vias")) {
        Table t = open(*one, "via");
        Via via;
        via.net = net_of(t);
        via.at = t.point("at");
        via.drill_mm = t.length("drill", 0.4, 0.1, 5.0);
        via.diameter_mm = t.length("diameter", 0.8, 0.2, 8.0);
        const auto tented = t.flag("tented");
        via.tented = tented && tented->value;
        t.finish();
        layout_.vias.push_back(via);
    }
    for (const toml::table* one : table.tables("jumpers")) {
        Table t = open(*one, "jumper");
        layout_.jumpers.push_back({net_of(t), t.point("from"), t.point("to")});
        t.finish();
    }
    for (const toml::table* one : table.tables("blobs")) {
        Table t = open(*one, "blob");
        Blob blob;
        blob.net = net_of(t);
        const auto joins = t.text("joins");
        blob.joins = joins ? joins->value : std::string();
        blob.side = t.one_of("side", side_words, Side::bottom);
        blob.along = t.line("along", 1, true);
        blob.width_mm = t.length("width", 1.0, 0.1, 20.0);
        t.finish();
        layout_.blobs.push_back(std::move(blob));
    }
    table.finish();
}

void LayoutReader::legends(Table& top) {
    for (const toml::table* one : top.tables("legend")) {
        Table t = open(*one, "legend");
        Legend legend;
        legend.side = t.one_of("side", side_words, Side::top);
        legend.along = t.line("along", 2, false);
        const auto text = t.spelled("text");
        legend.text = text ? text->value : std::string();
        if (legend.along.empty()) {
            t.require("text", "write text = \"R1\" with at = [x, y], or along = [[x, y], ...]");
            legend.at = t.point("at");
        }
        legend.height_mm = t.length("height", 1.2, 0.3, 20.0);
        legend.turn_deg = t.angle("turn");
        legend.width_mm = t.length("width", 0.15, 0.05, 3.0);
        t.finish();
        layout_.legends.push_back(std::move(legend));
    }
}

// Pads that hang over the edge of the board are a slip of the pen.
void LayoutReader::check_places() {
    if (layout_.board.outline.empty()) {
        return;
    }
    std::set<std::string> told;
    for (const Pad& pad : pads_of(layout_)) {
        if (depth_inside(layout_.board.outline, pad.at) < 0.0 && told.insert(pad.part).second) {
            const auto place = part_places_.find(pad.part);
            errors_.push_back(
                {place == part_places_.end() ? base::Place{file_, 0, 0} : place->second,
                 fmt::format("{}: a pad at {:g}, {:g} lies beside the board",
                             pad.part.empty() ? "a pad or jumper" : "part " + pad.part,
                             pad.at.x_mm,
                             pad.at.y_mm),
                 "change at or turn, or the board's outline"});
        }
    }
}

Layout LayoutReader::read(const toml::table& root) {
    Table top = open(root, "layout");
    top.require("format", "write format = 1 at the top");
    if (const auto format = top.integer("format"); format && format->value != 1) {
        top.complain(
            format->place, fmt::format("format is {}", format->value), "this program reads 1");
    }
    const auto name = top.text("name");
    layout_.name = name ? name->value : std::string();
    const auto invented = top.flag("invented");
    if (!invented || !invented->value) {
        top.complain(top.place("invented"),
                     "the layout does not say that it is invented",
                     "write invented = true: this tool draws no real boards");
    }
    top.require("board", "write a table [board] with its outline");
    if (const toml::table* table = top.table("board")) {
        board(open(*table, "board"));
    }
    nets(top);
    gaps(top);
    parts(top);
    if (const toml::table* table = top.table("copper")) {
        copper(open(*table, "copper"));
    }
    legends(top);
    top.finish();
    if (errors_.empty()) {
        check_places();
    }
    return std::move(layout_);
}

}  // namespace

base::Result<Layout> parse_layout(std::string_view text, const std::string& file) {
    const base::Result<toml::table> table = base::parse_toml(text, file);
    if (!table) {
        return table.errors();
    }
    Errors errors;
    Layout layout = LayoutReader(file, errors).read(*table);
    if (!errors.empty()) {
        base::sort_by_place(errors);
        return errors;
    }
    return layout;
}

base::Result<Layout> read_layout(const std::filesystem::path& path) {
    return parse_layout(base::read_file(path), path.string());
}

}  // namespace etchback::photographer
