// The page and the example of the format know every key that the reader knows. The reader itself
// is asked: its complaint of a key that is like no other lists those that it knows.
#include <algorithm>
#include <set>

#include "base/file.h"
#include "base/text.h"
#include "dossier/fixture.h"
#include "dossier/words.h"

namespace etchback::dossier {
namespace {

struct KnownTable {
    std::string name;
    std::string text;     // a dossier with a strange key in just this table
    std::string section;  // heading of the page
};

const std::vector<KnownTable>& tables() {
    static const std::string head = "format = 1\nitem.name = \"x\"\n";
    static const std::string strange = "qqqqqqqqqqqq = 1\n";
    static const std::string part = "[parts.T1]\npins = { 1 = \"A\", 2 = \"B\" }\n";
    static const std::string photo = "[[photos]]\nfile = \"w\"\nside = \"top\"\n";
    static const std::vector<KnownTable> all = {
        {"root", "qqqqqqqqqqqq = 1\n" + head, "## At the top"},
        {"item", "format = 1\n[item]\nname = \"x\"\n" + strange, "## `[item]`"},
        {"claim",
         head + "[[claims]]\nquantity = \"efficiency\"\nvalue = 1\n" + strange,
         "## `[[claims]]`"},
        {"supply", head + "[supply]\n" + strange, "## `[supply]`"},
        {"part", head + part + strange, "## `[parts.NAME]`"},
        {"winding",
         head + part + "[[parts.T1.windings]]\nname = \"p\"\npins = [\"1\", \"2\"]\n" + strange,
         "### Windings"},
        {"position",
         head + part + "[parts.T1.position]\nx_mm = 1\ny_mm = 1\n" + strange,
         "### Position"},
        {"known", head + part + "[parts.T1.known]\n" + strange, "### How it is known"},
        {"alternative",
         head + part + "[[parts.T1.alternatives]]\nfield = \"kind\"\nreading = \"x\"\n" + strange,
         "### `[[parts.NAME.alternatives]]`"},
        {"net", head + part + "[nets.A]\n" + strange, "## `[nets.NAME]`"},
        {"reading",
         head + "[[readings]]\nquantity = \"time\"\nvalue = 1\n" + strange,
         "## `[[readings]]`"},
        {"continuity",
         head + part + "[[continuity]]\nbetween = [\"A\", \"B\"]\n" + strange,
         "## `[[continuity]]`"},
        {"waveform", head + "[[waveforms]]\nfile = \"w\"\n" + strange, "## `[[waveforms]]`"},
        {"photo", head + "[[photos]]\nfile = \"w\"\n" + strange, "## `[[photos]]`"},
        {"photo point",
         head + "[[photos]]\nfile = \"w\"\n[[photos.points]]\nname = \"p\"\nat = [1, 1]\n" +
             strange,
         "### Points"},
        {"board", head + "[board]\n" + strange, "## `[board]`"},
        {"length",
         head + photo +
             "[[board.lengths]]\nphoto = \"w\"\nfrom = [1, 1]\nto = [2, 2]\nlength = \"1 mm\"\n" +
             strange,
         "### Lengths"},
        {"stroke",
         head + photo + "[[strokes]]\nphoto = \"w\"\nsays = \"hole\"\nalong = [[1, 1]]\n" + strange,
         "## `[[strokes]]`"},
        {"scenario",
         head + "[[scenarios]]\nid = \"w\"\nspan = 1\n" + strange,
         "## `[[scenarios]]`"},
        {"deed",
         head +
             "[[scenarios]]\nid = \"w\"\nspan = 1\n[[scenarios.deeds]]\n"
             "what = \"open load\"\nat = 0\n" +
             strange,
         "### Deeds"},
        {"drawing", head + "[drawing]\n" + strange, "## `[drawing]`"},
        {"drawn part", head + part + "[drawing.parts.T1]\n" + strange, "### `[drawing.parts]`"},
        {"reference", head + "[reference]\n" + strange, "## `[reference]`"},
    };
    return all;
}

// The runs of small letters and underscores.
std::vector<std::string> words_of(const std::string& text) {
    std::vector<std::string> words(1);
    for (const char c : text) {
        if ((c >= 'a' && c <= 'z') || c == '_') {
            words.back() += c;
        } else if (!words.back().empty()) {
            words.emplace_back();
        }
    }
    std::erase(words, "");
    return words;
}

// "known here: a, b and c" as a list.
std::vector<std::string> known_keys(const KnownTable& table) {
    const auto errors = errors_of(table.text);
    EXPECT_EQ(errors.size(), 1U) << table.name;
    std::vector<std::string> keys = words_of(errors[0].todo.substr(errors[0].todo.find(':')));
    std::erase(keys, "and");
    return keys;
}

std::string page() {
    return base::read_file(source_dir() / "docs" / "dossier-format.md");
}

// From a heading to the next of any rank.
std::string section_of(const std::string& text, const std::string& heading) {
    const auto begin = text.find("\n" + heading);
    if (begin == std::string::npos) {
        ADD_FAILURE() << "no heading " << heading;
        return {};
    }
    return text.substr(begin, text.find("\n#", begin + 2) - begin);
}

TEST(FormatPage, NamesEveryKeyOfEveryTableInItsSection) {
    const std::string text = page();
    for (const KnownTable& table : tables()) {
        const std::string section = section_of(text, table.section);
        const auto keys = known_keys(table);
        EXPECT_FALSE(keys.empty());
        for (const std::string& key : keys) {
            EXPECT_NE(section.find("`" + key + "`"), std::string::npos)
                << table.name << ": " << key << " is not on the page";
        }
    }
}

// The keys in the first column of the tables of a section whose first column is called "key".
std::vector<std::string> keys_on_page(const std::string& section) {
    std::vector<std::string> keys;
    bool in_table = false;
    for (std::size_t at = 0; at < section.size();) {
        const std::size_t end = std::min(section.find('\n', at), section.size());
        const std::string line = section.substr(at, end - at);
        at = end + 1;
        in_table = line.starts_with("| key |") || (in_table && line.starts_with("|"));
        if (in_table && line.starts_with("| `")) {
            const auto words = words_of(line.substr(0, line.find(" | ", 2)));
            keys.insert(keys.end(), words.begin(), words.end());
        }
    }
    return keys;
}

TEST(FormatPage, NamesNoKeyThatTheReaderDoesNotKnow) {
    const std::string text = page();
    for (const KnownTable& table : tables()) {
        if (table.name == "known") {
            continue;  // its table is of words, not of keys
        }
        const auto known = known_keys(table);
        const auto named = keys_on_page(section_of(text, table.section));
        EXPECT_EQ(named.size(), known.size()) << table.name;
        for (const std::string& key : named) {
            EXPECT_TRUE(std::ranges::find(known, key) != known.end()) << table.name << ": " << key;
        }
    }
}

TEST(FormatPage, NamesEveryWord) {
    const std::string text = page();
    const auto expect_word = [&](std::string_view word) {
        const bool there = text.find("`" + std::string(word) + "`") != std::string::npos ||
                           text.find("`\"" + std::string(word) + "\"`") != std::string::npos;
        EXPECT_TRUE(there) << word;
    };
    for (const QuantityWord& word : quantity_words()) {
        expect_word(word.word);
    }
    for (const auto words : {net_roles(),
                             photo_sides(),
                             board_sides(),
                             photo_contents(),
                             mask_words(),
                             stroke_words(),
                             basis_words(),
                             part_facts(),
                             supply_words(),
                             beginning_words(),
                             deed_words(),
                             symbol_words(),
                             paper_words(),
                             layer_words()}) {
        for (const std::string& word : words) {
            expect_word(word);
        }
    }
}

TEST(FormatPage, PointsToTheExample) {
    EXPECT_NE(page().find("(everything.toml)"), std::string::npos);
}

// As a key of a line or within braces, or in a header.
bool uses(const std::string& text, const std::string& key) {
    const std::vector<std::string> ways = {"\n" + key + " = ",
                                           "{ " + key + " = ",
                                           ", " + key + " = ",
                                           "\n[" + key + "]",
                                           "\n[" + key + ".",
                                           "\n[[" + key + "]]",
                                           "." + key + "]",
                                           "." + key + "."};
    return std::ranges::any_of(
        ways, [&](const std::string& way) { return text.find(way) != std::string::npos; });
}

TEST(ExampleOfEverything, UsesEveryKey) {
    const std::string text = everything_text();
    for (const KnownTable& table : tables()) {
        if (table.name == "known") {
            EXPECT_NE(text.find("rest = "), std::string::npos);
            continue;
        }
        for (const std::string& key : known_keys(table)) {
            EXPECT_TRUE(uses(text, key)) << table.name << ": " << key;
        }
    }
}

}  // namespace
}  // namespace etchback::dossier
