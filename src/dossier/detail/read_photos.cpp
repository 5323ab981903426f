// Photos of the board, what is known of the bare board, and strokes on the photos.
#include <fmt/format.h>

#include <cmath>
#include <set>

#include "dossier/detail/reading.h"
#include "dossier/words.h"

namespace etchback::dossier::detail {

namespace {

using base::Unit;

constexpr std::string_view spot_example = "write two numbers, as in [812, 430]";

double finite_or_nan(const toml::node& node) {
    const double number = node.is_number() ? node.value_or(std::nan("")) : std::nan("");
    return std::isfinite(number) ? number : std::nan("");
}

std::optional<Spot> spot_in(const toml::node& node,
                            std::string_view key,
                            const TableReader& reader,
                            const Context& context) {
    const toml::array* list = node.as_array();
    if (list != nullptr && list->size() == 2) {
        const Spot spot = {finite_or_nan((*list)[0]), finite_or_nan((*list)[1])};
        if (!std::isnan(spot.first) && !std::isnan(spot.second)) {
            return spot;
        }
    }
    context.complain(base::place_of(node, context.file),
                     fmt::format("{}: {} is no pair of numbers", reader.where(), key),
                     std::string(spot_example));
    return std::nullopt;
}

// Pixels are counted from the upper left corner.
void check_on_photo(const std::optional<Spot>& spot,
                    std::string_view key,
                    const TableReader& reader,
                    const Context& context) {
    if (spot && (spot->first < 0.0 || spot->second < 0.0)) {
        context.complain(reader.place(key),
                         fmt::format("{}: {} lies outside the photo", reader.where(), key),
                         "count pixels from the upper left corner, to the right and down");
    }
}

std::optional<Spot> needed_spot(TableReader& reader, std::string_view key, const Context& context) {
    reader.require(key, fmt::format("say where: {} = [812, 430], in pixels of the photo", key));
    const auto spot = spot_of(reader, key, context);
    check_on_photo(spot, key, reader, context);
    return spot;
}

PhotoPoint read_point(TableReader& reader, const Context& context) {
    PhotoPoint point;
    point.name = needed_text(
        reader, "name", "name the spot, the same on every photo: name = \"hole at the corner\"");
    const auto at = needed_spot(reader, "at", context).value_or(Spot{});
    point.x_px = at.first;
    point.y_px = at.second;
    if (const auto on_board = spot_of(reader, "board_mm", context)) {
        point.x_mm = on_board->first;
        point.y_mm = on_board->second;
    }
    reader.finish();
    return point;
}

void read_points(TableReader& reader, Photo& photo, const Context& context) {
    std::set<std::string> names;
    for (const toml::table* table : reader.tables("points")) {
        TableReader own(*table,
                        context.file,
                        fmt::format("{}, point {}", reader.where(), photo.points.size() + 1),
                        context.errors);
        photo.points.push_back(read_point(own, context));
        const Text& name = photo.points.back().name;
        if (!name.value.empty() && !names.insert(name.value).second) {
            context.complain(name.place,
                             fmt::format("{}: two points of this photo are called {}",
                                         reader.where(),
                                         in_quotes(name.value)),
                             "give each point of a photo a name of its own");
        }
    }
}

// Only a copper picture has one scale all over: a photograph has perspective.
void read_scale(TableReader& reader, Photo& photo, const Context& context) {
    photo.px_per_mm = reader.number("px_per_mm");
    if (!photo.px_per_mm) {
        return;
    }
    if (!(photo.px_per_mm->value > 0.0)) {
        context.complain(
            photo.px_per_mm->place,
            fmt::format("{}: {:g} pixels per mm cannot be", reader.where(), photo.px_per_mm->value),
            "write how many pixels make a millimetre: px_per_mm = 20");
    } else if (photo.shows.value != "copper") {
        context.complain(
            photo.px_per_mm->place,
            fmt::format("{}: a photograph has no scale of its own", reader.where()),
            "write a known length under [[board.lengths]], or shows = \"copper\" if this is a "
            "picture of copper alone");
    }
}

Photo read_photo(TableReader& reader, const Context& context) {
    Photo photo;
    photo.place = reader.place();
    photo.file = file_within(reader, "name the file: file = \"photos/top.jpg\"", context);
    photo.side = reader.word("side", photo_sides()).value_or(Text{});
    photo.shows = reader.word("shows", photo_contents()).value_or(Text{});
    photo.seen_from = reader.word("seen_from", board_sides()).value_or(Text{});
    read_scale(reader, photo, context);
    read_points(reader, photo, context);
    photo.note = text_of(reader, "note");
    reader.finish();
    return photo;
}

// A length on a board. A number without unit would be metres, and is nearly always meant as mm.
std::optional<Amount> length_of(TableReader& reader, std::string_view key, const Context& context) {
    const auto amount = amount_of(reader, key, Unit::metre, Least::above_zero, context);
    constexpr double longest_m = 3.0;
    if (amount && !amount->value.exact()) {
        context.complain(amount->place,
                         fmt::format("{}: {} is not one number", reader.where(), key),
                         fmt::format("write one: {} = \"62.5 mm\"", key));
    } else if (amount && amount->value.value > longest_m) {
        context.complain(
            amount->place,
            fmt::format("{}: {} of {:g} m is no board", reader.where(), key, amount->value.value),
            fmt::format("write the unit: {} = \"62.5 mm\"", key));
    }
    return amount;
}

KnownLength read_length(TableReader& reader, const Context& context) {
    KnownLength length;
    length.photo = needed_text(reader, "photo", "name the photo: photo = \"photos/top.jpg\"");
    const auto from = needed_spot(reader, "from", context).value_or(Spot{});
    const auto to = needed_spot(reader, "to", context).value_or(Spot{});
    length.from_x_px = from.first;
    length.from_y_px = from.second;
    length.to_x_px = to.first;
    length.to_y_px = to.second;
    if (reader.has("from") && reader.has("to") && from == to) {
        context.complain(reader.place("to"),
                         fmt::format("{}: it ends where it begins", reader.where()),
                         "write two points far apart: the further, the better the scale");
    }
    reader.require("length", "write what you measured: length = \"50.8 mm\"");
    length.length = length_of(reader, "length", context).value_or(Amount{});
    length.note = text_of(reader, "note");
    reader.finish();
    return length;
}

void read_sides(TableReader& reader, Board& board, const Context& context) {
    const auto sides = reader.integer("sides");
    if (!sides) {
        return;
    }
    if (sides->value != 1 && sides->value != 2) {
        context.complain(
            sides->place,
            fmt::format(
                "{}: {} sides with copper cannot be followed", reader.where(), sides->value),
            "write 1 or 2; copper inside a board is seen on no photo");
        return;
    }
    board.sides = Placed<int>{static_cast<int>(sides->value), sides->place};
}

Stroke read_stroke(TableReader& reader, const Context& context) {
    Stroke stroke;
    stroke.place = reader.place();
    stroke.photo = needed_text(reader, "photo", "name the photo: photo = \"photos/top.jpg\"");
    reader.require("says", "say what lies there: says = \"copper\"");
    stroke.says = reader.word("says", stroke_words()).value_or(Text{});
    reader.require("along", "say where: along = [[812, 430], [866, 431]], in pixels of the photo");
    const std::size_t before = context.errors.size();
    stroke.along = spots_of(reader, "along", context);
    const bool read = context.errors.size() == before && reader.has("along");
    for (const Spot& spot : stroke.along) {
        if (spot.first < 0.0 || spot.second < 0.0) {
            check_on_photo(spot, "along", reader, context);
            break;
        }
    }
    const bool joins = stroke.says.value == "cut" || stroke.says.value == "bridge";
    if (read && stroke.along.size() < (joins ? 2U : 1U)) {
        context.complain(
            reader.place("along"),
            stroke.along.empty()
                ? fmt::format("{}: a stroke without a point is nowhere", reader.where())
                : fmt::format("{}: a {} needs both its ends", reader.where(), stroke.says.value),
            "write two points or more: along = [[812, 430], [866, 431]]");
    }
    if (const auto width = reader.number("width")) {
        stroke.width_px = width->value;
        if (!(width->value > 0.0)) {
            context.complain(
                width->place,
                fmt::format("{}: a width of {:g} cannot be", reader.where(), width->value),
                "write it in pixels of the photo, or leave it out");
        }
    }
    stroke.note = text_of(reader, "note");
    reader.finish();
    return stroke;
}

}  // namespace

std::optional<Spot> spot_of(TableReader& reader, std::string_view key, const Context& context) {
    const toml::array* list = reader.list(key, std::string(spot_example));
    return list == nullptr ? std::nullopt : spot_in(*list, key, reader, context);
}

std::vector<Spot> spots_of(TableReader& reader, std::string_view key, const Context& context) {
    const toml::array* list = reader.list(key, "write a list: [[812, 430], [866, 431]]");
    std::vector<Spot> spots;
    if (list == nullptr) {
        return spots;
    }
    for (const toml::node& node : *list) {
        const auto spot = spot_in(node, key, reader, context);
        if (!spot) {
            return {};
        }
        spots.push_back(*spot);
    }
    return spots;
}

std::vector<Photo> read_photos(TableReader& root, const Context& context) {
    return read_each<Photo>(root, "photos", "photo", context, read_photo);
}

Board read_board(TableReader& root, const Context& context) {
    Board board;
    const toml::table* table = root.table("board");
    if (table == nullptr) {
        return board;
    }
    TableReader reader(*table, context.file, "board", context.errors);
    board.width = length_of(reader, "width", context);
    board.height = length_of(reader, "height", context);
    read_sides(reader, board, context);
    board.mask = reader.word("mask", mask_words()).value_or(Text{});
    board.holes = text_of(reader, "holes");
    if (!board.holes.value.empty()) {
        check_path(board.holes, "board, holes", "holes.csv", context);
    }
    board.lengths = read_each<KnownLength>(reader, "lengths", "length", context, read_length);
    board.note = text_of(reader, "note");
    reader.finish();
    return board;
}

std::vector<Stroke> read_strokes(TableReader& root, const Context& context) {
    return read_each<Stroke>(root, "strokes", "stroke", context, read_stroke);
}

}  // namespace etchback::dossier::detail
