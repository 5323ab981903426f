// How the person wants the circuit drawn.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <set>

#include "base/text.h"
#include "dossier/detail/reading.h"
#include "dossier/words.h"

namespace etchback::dossier::detail {

namespace {

constexpr double farthest = 1000.0;  // steps: a sheet of several metres

// Two whole numbers of steps.
std::optional<Placed<std::pair<int, int>>> steps_of(TableReader& reader,
                                                    std::string_view key,
                                                    const Context& context) {
    const toml::array* list =
        reader.list(key, fmt::format("write two whole numbers, as in {} = [6, -4]", key));
    if (list == nullptr) {
        return std::nullopt;
    }
    std::array<double, 2> steps{};
    bool well = list->size() == steps.size();
    for (std::size_t i = 0; well && i < steps.size(); ++i) {
        const toml::node& node = (*list)[i];
        steps[i] = node.is_number() ? node.value_or(std::nan("")) : std::nan("");
        well = steps[i] == std::floor(steps[i]) && std::abs(steps[i]) <= farthest;
    }
    if (!well) {
        context.complain(
            reader.place(key),
            fmt::format("{}: {} is no pair of whole numbers from -{:g} to {:g}",
                        reader.where(),
                        key,
                        farthest,
                        farthest),
            fmt::format("write steps of the grid, to the right and down: {} = [6, -4]", key));
        return std::nullopt;
    }
    return Placed<std::pair<int, int>>{{static_cast<int>(steps[0]), static_cast<int>(steps[1])},
                                       reader.place(key)};
}

std::optional<Placed<int>> turn_of(TableReader& reader, const Context& context) {
    const auto turn = reader.integer("turn");
    if (!turn) {
        return std::nullopt;
    }
    if (turn->value != 0 && turn->value != 90 && turn->value != 180 && turn->value != 270) {
        context.complain(
            turn->place,
            fmt::format("{}: a part cannot be turned by {} degrees", reader.where(), turn->value),
            "write 0, 90, 180 or 270: degrees clockwise");
        return std::nullopt;
    }
    return Placed<int>{static_cast<int>(turn->value), turn->place};
}

bool has_neighbour(const PartWish& wish) {
    return !wish.right_of.value.empty() || !wish.left_of.value.empty() ||
           !wish.above.value.empty() || !wish.below.value.empty();
}

// A place is said once.
void check_place(const TableReader& reader, const PartWish& wish, const Context& context) {
    if (reader.has("by") && !reader.has("from")) {
        context.complain(reader.key_place("by"),
                         fmt::format("{}: it does not say from where", reader.where()),
                         "write the other part, too: from = \"Q1\"");
    }
    if (reader.has("from") && !reader.has("by")) {
        context.complain(reader.key_place("from"),
                         fmt::format("{}: it does not say how far from it", reader.where()),
                         "write the steps to the right and down, too: by = [6, -4]");
    }
    const bool is_fixed = reader.has("at") || reader.has("from");
    if (reader.has("at") && reader.has("from")) {
        context.complain(reader.key_place("from"),
                         fmt::format("{}: both at and from", reader.where()),
                         "leave one of them out: each of them alone gives the place");
    } else if (is_fixed && has_neighbour(wish)) {
        context.complain(
            reader.place(),
            fmt::format("{}: its place is given twice", reader.where()),
            fmt::format("{} gives it exactly: take right_of, left_of, above and below out",
                        reader.has("at") ? "at" : "from"));
    }
}

PartWish read_wish(TableReader& reader, const Context& context) {
    PartWish wish;
    wish.at = steps_of(reader, "at", context);
    wish.from = text_of(reader, "from");
    wish.by = steps_of(reader, "by", context);
    wish.right_of = text_of(reader, "right_of");
    wish.left_of = text_of(reader, "left_of");
    wish.above = text_of(reader, "above");
    wish.below = text_of(reader, "below");
    wish.turn = turn_of(reader, context);
    wish.flip = reader.flag("flip");
    check_place(reader, wish, context);
    reader.finish();
    return wish;
}

void read_wishes(TableReader& drawing, DrawingWishes& wishes, const Context& context) {
    const toml::table* parts = drawing.table("parts");
    if (parts == nullptr) {
        return;
    }
    TableReader names(*parts, context.file, "drawing, parts", context.errors);
    for (const std::string& name : names.keys()) {
        const toml::table* table = names.table(name);
        if (table != nullptr) {
            TableReader reader(*table,
                               context.file,
                               fmt::format("drawing, part {}", in_quotes(name)),
                               context.errors);
            PartWish& wish = wishes.parts[name];
            wish = read_wish(reader, context);
            wish.place = names.key_place(name);
        }
    }
}

void read_layers(TableReader& reader, DrawingWishes& wishes, const Context& context) {
    std::set<std::string> seen;
    for (const Text& layer : reader.texts("show")) {
        const auto words = layer_words();
        if (std::ranges::find(words, layer.value) == words.end()) {
            const std::string guess = did_you_mean(layer.value, words);
            context.complain(
                layer.place,
                fmt::format("{}: {} cannot be shown", reader.where(), in_quotes(layer.value)),
                guess.empty() ? "there are " + base::listed(std::vector<std::string>(words.begin(),
                                                                                     words.end()))
                              : guess);
        } else if (!seen.insert(layer.value).second) {
            context.complain(
                layer.place,
                fmt::format("{}: {} stands in show twice", reader.where(), in_quotes(layer.value)),
                "take one of them out");
        }
        wishes.show.push_back(layer);
    }
}

// The texts of a list within a list; anything else is complained of.
std::vector<Text> group_in(const toml::node& node, const TableReader& reader, const Context& c) {
    std::vector<Text> group;
    const toml::array* list = node.as_array();
    bool well = list != nullptr;
    for (std::size_t i = 0; well && i < list->size(); ++i) {
        const auto* text = (*list)[i].as_string();
        well = text != nullptr;
        if (well) {
            group.push_back({text->get(), base::place_of(*text, c.file)});
        }
    }
    if (!well || group.size() < 2) {
        c.complain(base::place_of(node, c.file),
                   well ? fmt::format("{}: a group of {} in together",
                                      reader.where(),
                                      group.empty() ? "no parts" : "one part")
                        : fmt::format("{}: together holds something that is no list of parts",
                                      reader.where()),
                   "write a list of lists of two parts or more: together = [[\"R1\", \"C2\"]]");
        return {};
    }
    return group;
}

void read_groups(TableReader& reader, DrawingWishes& wishes, const Context& context) {
    const toml::array* list = reader.list(
        "together", "write a list of lists of two parts or more: together = [[\"R1\", \"C2\"]]");
    if (list == nullptr) {
        return;
    }
    for (const toml::node& node : *list) {
        if (auto group = group_in(node, reader, context); !group.empty()) {
            wishes.together.push_back(std::move(group));
        }
    }
}

}  // namespace

DrawingWishes read_drawing(TableReader& root, const Context& context) {
    DrawingWishes wishes;
    const toml::table* table = root.table("drawing");
    if (table == nullptr) {
        return wishes;
    }
    TableReader reader(*table, context.file, "drawing", context.errors);
    wishes.symbols = reader.word("symbols", symbol_words()).value_or(Text{});
    wishes.paper = reader.word("paper", paper_words()).value_or(Text{});
    wishes.revision = reader.spelled("revision").value_or(Text{});
    read_layers(reader, wishes, context);
    wishes.notes = reader.texts("notes");
    read_groups(reader, wishes, context);
    read_wishes(reader, wishes, context);
    reader.finish();
    return wishes;
}

}  // namespace etchback::dossier::detail
