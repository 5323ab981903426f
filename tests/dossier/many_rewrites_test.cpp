// Many edits of many files: what is read back is what was meant, and nothing else has changed.
#include <algorithm>

#include "dossier/detail/rewriting.h"
#include "dossier/fixture.h"
#include "dossier/generator.h"

namespace etchback::dossier {
namespace {

std::vector<std::string> lines_of(const std::string& text) {
    std::vector<std::string> lines;
    for (std::size_t at = 0; at < text.size();) {
        const std::size_t end = std::min(text.find('\n', at), text.size() - 1) + 1;
        lines.push_back(text.substr(at, end - at));
        at = end;
    }
    return lines;
}

// Other spellings that TOML allows for the same tables.
struct OddFile {
    std::string_view name;
    std::string_view text;
};
const std::vector<OddFile>& odd_files() {
    static const std::vector<OddFile> files = {
        {"dotted keys",
         "format = 1\nitem.name = \"x\" # name\nitem.maker = \"m\"\n"
         "parts.R1.kind = \"resistor\" # r\nparts.R1.pins.1 = \"A\"\nparts.R1.pins.2 = \"B\"\n"},
        {"inline tables",
         "format = 1 # f\nitem = { name = \"x\", date = 2026-03-14 } # i\n"
         "claims = [ { quantity = \"input power\", value = \"3 W\" } ]\n"
         "parts = { R1 = { kind = \"resistor\", pins = { 1 = \"A\", 2 = \"B\" } } } # p\n"},
        {"parts within one header",
         "format = 1\n[item]\nname = \"x\"\n[parts] # all\n"
         "R1 = { kind = \"resistor\", pins = { 1 = \"A\", 2 = \"B\" } } # one\n"
         "R2.kind = \"resistor\" # two\nR2.pins = { 1 = \"A\", 2 = \"B\" }\n"},
        {"pins in a table of their own",
         "format = 1\n[item]\nname = \"x\"\n[parts.U1]\n[parts.U1.pins] # p\n"
         "1 = \"A\" # one\n2 = \"B\" # two\n[parts.U1.known]\nrest = \"seen\" # k\n"},
        {"subtables first",
         "format = 1\n[parts.U1.pins] # p\n1 = \"A\"\n2 = \"B\"\n[item] # i\nname = 'x'\n"},
        {"indented",
         "format = 1\n  [ item ] # i\n    name = \"x\" # n\n\t[ parts . \"R1\" "
         "]\n\t\tkind=\"resistor\"\n"
         "\t\tpins={1=\"A\",2='B'}\n"},
        {"lists over lines",
         "format = 1\nitem.name = \"\"\"\\\n   x\"\"\"\n[parts.T]\nkind = \"transformer\"\n"
         "pins = { 1 = \"A\", 2 = \"B\", 3 = \"C\", 4 = \"D\" }\nwindings = [ # all\n  # first\n"
         "  { name = \"p\", pins = [\n     \"1\", # dot\n     \"2\"\n ] }, # P\n  # second\n"
         "  { name = \"s\", pins = [\"3\", \"4\"] } # S\n  # end\n]\n"},
        {"empty parts",
         "format = 1\n[item]\nname = \"x\"\n\n# parts come here\n[parts]\n\n# nets "
         "there\n[nets]\n"},
    };
    return files;
}

// Not by a whole new file, which would read back as well, but lose the comments.
void expect_in_place(const std::string& text, const Dossier& before, const Dossier& after) {
    const auto result = detail::rewritten_in_place(
        text, detail::tree_of(before, catalogue()), detail::tree_of(after, catalogue()));
    ASSERT_TRUE(result) << text;
    EXPECT_EQ(read_well(*result) == after, true) << text << "\nbecame\n" << *result;
    EXPECT_EQ(rewrite(text, before, after, catalogue()), before == after ? text : *result);
}

TEST(ManyRewrites, OddButValidFilesAreChangedInPlace) {
    for (const OddFile& file : odd_files()) {
        const std::string text(file.text);
        const Dossier before = read_well(text);
        EXPECT_EQ(rewrite(text, before, before, catalogue()), text);
        for (std::uint64_t seed = 1; seed <= 60; ++seed) {
            expect_in_place(text, before, Generator(seed, catalogue()).edited(before));
            ASSERT_FALSE(testing::Test::HasFailure()) << file.name << ", seed " << seed;
        }
    }
}

TEST(ManyRewrites, ALineAddedToAnOddFileLeavesItsCommentsAlone) {
    for (const OddFile& file : odd_files()) {
        const std::string text(file.text);
        Dossier after = read_well(text);
        after.item.author.value = "me";
        if (!after.parts.empty()) {
            after.parts[0].title.value = "mine";
            after.parts[0].pins.push_back({after.parts[0].name == "R1" ? "x" : "5", "A", {}});
            if (after.parts[0].name == "R1") {
                after.parts[0].pins.pop_back();
            }
        }
        const std::string result = rewrite(text, read_well(text), after, catalogue());
        EXPECT_EQ(read_well(result), after) << result;
        for (std::size_t at = text.find('#'); at != std::string::npos;
             at = text.find('#', at + 1)) {
            const std::string comment = text.substr(at, text.find('\n', at) - at);
            EXPECT_NE(result.find(comment), std::string::npos)
                << file.name << " lost " << comment << "\n"
                << result;
        }
    }
}

// The text from a table's header to the next table, without what stands above that.
std::string section_at(const std::string& text, const std::string& header) {
    const std::size_t begin = text.find("\n" + header + "\n");
    if (begin == std::string::npos) {
        return {};
    }
    std::size_t end = text.find("\n\n", begin + 1);
    end = end == std::string::npos ? text.size() : end + 1;
    return text.substr(begin + 1, end - begin - 1);
}

bool is_everything_comment_kept(const std::string& text, const std::string& result) {
    for (const std::string& line : lines_of(text)) {
        if (line.starts_with("#") && result.find(line) == std::string::npos) {
            ADD_FAILURE() << "lost " << line;
            return false;
        }
    }
    return true;
}

TEST(ManyRewrites, ThreeHundredEditsOfEverythingReadBackAndTouchNothingElse) {
    const std::string text = everything_text();
    const Dossier before = everything();
    for (std::uint64_t seed = 1; seed <= 300; ++seed) {
        const Dossier after = Generator(seed, catalogue()).edited(before);
        const std::string result = rewrite(text, before, after, catalogue());
        ASSERT_EQ(read_well(result) == after, true) << "seed " << seed << "\n" << result;
        ASSERT_TRUE(is_everything_comment_kept(text, result)) << "seed " << seed << "\n" << result;
        for (const Part& part : before.parts) {
            const Part* same = after.part(part.name);
            if (same != nullptr && *same == part) {
                const std::string section = section_at(text, "[parts." + part.name + "]");
                ASSERT_NE(result.find(section), std::string::npos)
                    << "seed " << seed << ", part " << part.name << "\n"
                    << result;
            }
        }
    }
}

TEST(ManyRewrites, ThreeHundredEditsOfGeneratedDossiersStayInPlace) {
    for (std::uint64_t seed = 1; seed <= 300; ++seed) {
        Generator generator(seed, catalogue());
        const Dossier before = generator.dossier();
        const std::string text = write(before, catalogue());
        expect_in_place(text, before, generator.edited(before));
        ASSERT_FALSE(testing::Test::HasFailure()) << "seed " << seed;
    }
}

// What a person's hand does to a file: comments everywhere, blanks, lines gone.
std::string untidied(std::string text, Dice& dice) {
    for (std::size_t n = 1 + dice.below(6); n > 0; --n) {
        const std::size_t at = dice.below(text.size());
        const std::size_t line = text.rfind('\n', at) + 1;
        const std::size_t end = std::min(text.find('\n', at), text.size() - 1);
        switch (dice.below(6)) {
            case 0:
                text.insert(line, "# odd [x] = \"\"\" comment\n");
                break;
            case 1:
                text.insert(line, "\n");
                break;
            case 2:
                text.insert(line, "   \t");
                break;
            case 3:
                text.insert(end, "  # c ' \" ]");
                break;
            case 4:
                text.erase(line, end - line);
                break;
            default:
                text.insert(at, 1, " \t#'\"\n"[dice.below(6)]);
                break;
        }
    }
    return text;
}

TEST(ManyRewrites, UntidyFilesAreChangedInPlace) {
    Dice dice(11);
    int changed = 0;
    for (std::uint64_t seed = 1; seed <= 500; ++seed) {
        const std::string text = untidied(everything_text(), dice);
        const auto before = read(text, "", catalogue());
        if (before) {
            ++changed;
            expect_in_place(text, *before, Generator(seed, catalogue()).edited(*before));
            ASSERT_FALSE(testing::Test::HasFailure()) << "seed " << seed;
        }
    }
    EXPECT_GT(changed, 200);
}

}  // namespace
}  // namespace etchback::dossier
