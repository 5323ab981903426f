// What the readers of the single tables share. Each reads one table of a dossier, adds what is
// wrong to the errors and returns what could be read.
#pragma once

#include <fmt/format.h>

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "base/toml_reader.h"
#include "dossier/dossier.h"
#include "parts/catalogue.h"

namespace etchback::dossier::detail {

using base::TableReader;

struct Context {
    std::string file;
    const parts::Catalogue& catalogue;
    base::Errors& errors;

    void complain(const Place& place, std::string what, std::string todo) const;
};

// `root` is the file's own table; these find their tables in it.
Item read_item(TableReader& root, const Context& context);
std::vector<Claim> read_claims(TableReader& root, const Context& context);
Supply read_supply(TableReader& root, const Context& context);
std::vector<NetNote> read_nets(TableReader& root, const Context& context);
std::vector<Reading> read_readings(TableReader& root, const Context& context);
std::vector<Continuity> read_continuity(TableReader& root, const Context& context);
std::vector<Waveform> read_waveforms(TableReader& root, const Context& context);
std::vector<Photo> read_photos(TableReader& root, const Context& context);
Board read_board(TableReader& root, const Context& context);
std::vector<Stroke> read_strokes(TableReader& root, const Context& context);
std::vector<Scenario> read_scenarios(TableReader& root, const Context& context);
DrawingWishes read_drawing(TableReader& root, const Context& context);
std::optional<Reference> read_reference(TableReader& root, const Context& context);

// Every element of the array `key`, read by `read_one`.
template <typename T>
std::vector<T> read_each(TableReader& root,
                         std::string_view key,
                         std::string_view what,
                         const Context& context,
                         T (*read_one)(TableReader&, const Context&)) {
    std::vector<T> all;
    for (const toml::table* table : root.tables(key)) {
        TableReader reader(
            *table, context.file, fmt::format("{} {}", what, all.size() + 1), context.errors);
        all.push_back(read_one(reader, context));
    }
    return all;
}

// The parts under the key "parts" of `owner`; `what` names one of them in messages: "part".
std::vector<Part> read_parts(TableReader& owner, std::string_view what, const Context& context);

// Pieces of a part. `kind` is null where it is not known.
void read_pins(TableReader& part_reader, const parts::Kind* kind, Part& part, const Context& c);
void read_windings(TableReader& part_reader, const parts::Kind* kind, Part& part, const Context& c);
void read_pads(TableReader& part_reader, const parts::Kind* kind, Part& part, const Context& c);
void read_known(TableReader& part_reader, const toml::table& table, Part& part, const Context& c);
void read_alternatives(TableReader& part_reader, Part& part, const Context& c);

// Complaints about names in one place that mean nothing in another: nets, pins, parts.
void check_references(const Dossier& dossier, const Context& context);
// The same of [drawing], and wishes that cannot all be granted.
void check_drawing(const Dossier& dossier, const Context& context);

// Small readers.
Text text_of(TableReader& reader, std::string_view key);
bool flag_of(TableReader& reader, std::string_view key, bool otherwise);
// A text that must be there and not be empty.
Text needed_text(TableReader& reader, std::string_view key, std::string todo);
// A quantity of which no end may be below zero (or at zero, if `above_zero`).
enum class Least { zero, above_zero };
std::optional<Amount> amount_of(TableReader& reader,
                                std::string_view key,
                                base::Unit unit,
                                Least least,
                                const Context& context);
// `quantity`, in small letters if it is one of the known words.
Text quantity_word_of(TableReader& reader);
// The two nets of `between`; none if the key is absent.
std::vector<Text> pair_of(TableReader& reader, std::string_view meaning, const Context& context);
// A file within the dossier's folder.
Text file_within(TableReader& reader, std::string todo, const Context& context);
// Complains unless a name of a file leads into the dossier's folder.
void check_path(const Text& file,
                std::string_view where,
                std::string_view example,
                const Context& c);
// A pair of numbers, "[x, y]".
using Spot = std::pair<double, double>;
std::optional<Spot> spot_of(TableReader& reader, std::string_view key, const Context& context);
// A list of them; none if anything in it is wrong.
std::vector<Spot> spots_of(TableReader& reader, std::string_view key, const Context& context);

// Complains unless `name` can be told from its neighbours: not empty, no blanks around it, no
// control characters.
void check_name(std::string_view name, std::string_view what, const Place& place, const Context& c);

// "did you mean 'x'?" if a known word is near, else "" .
std::string did_you_mean(std::string_view word, std::span<const std::string> known);
// "a resistor", "an electrolytic capacitor", "an LED", "a UV lamp".
std::string with_article(std::string_view noun);
// `word` in quotes, cut to what a message can hold.
std::string in_quotes(std::string_view word);

}  // namespace etchback::dossier::detail
