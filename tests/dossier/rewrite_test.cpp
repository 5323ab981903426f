#include <algorithm>

#include "dossier/fixture.h"

namespace etchback::dossier {
namespace {

using base::Unit;

std::string rewritten(const std::string& text, const Dossier& after) {
    return rewrite(text, read_well(text), after, catalogue());
}

Part& part_of(Dossier& dossier, std::string_view name) {
    return *std::ranges::find(dossier.parts, name, &Part::name);
}

std::vector<std::string> lines_of(const std::string& text) {
    std::vector<std::string> lines;
    for (std::size_t at = 0; at < text.size();) {
        const std::size_t end = std::min(text.find('\n', at), text.size() - 1) + 1;
        lines.push_back(text.substr(at, end - at));
        at = end;
    }
    return lines;
}

// What `after` has in place of `before`: lines that went, with "-", and that came, with "+".
std::string difference(const std::string& before, const std::string& after) {
    const auto a = lines_of(before);
    const auto b = lines_of(after);
    std::size_t front = 0;
    while (front < a.size() && front < b.size() && a[front] == b[front]) {
        ++front;
    }
    std::size_t back = 0;
    while (back < a.size() - front && back < b.size() - front &&
           a[a.size() - 1 - back] == b[b.size() - 1 - back]) {
        ++back;
    }
    std::string text;
    for (std::size_t i = front; i < a.size() - back; ++i) {
        text += "-" + a[i];
    }
    for (std::size_t i = front; i < b.size() - back; ++i) {
        text += "+" + b[i];
    }
    return text;
}

std::string change_in_everything(void (*edit)(Dossier&)) {
    const std::string text = everything_text();
    Dossier after = everything();
    edit(after);
    const std::string result = rewritten(text, after);
    EXPECT_EQ(read_well(result), after) << result;
    return difference(text, result);
}

TEST(Rewrite, NoChangeGivesTheSameBytes) {
    const std::string text = everything_text();
    EXPECT_EQ(rewrite(text, everything(), everything(), catalogue()), text);
}

TEST(Rewrite, AChangedValueIsReplacedInPlaceAndItsCommentStays) {
    EXPECT_EQ(change_in_everything([](Dossier& d) { part_of(d, "R1").marking.value = "104"; }),
              "-marking = \"474\"                 # what is printed on it, letter by letter\n"
              "+marking = \"104\"                 # what is printed on it, letter by letter\n");
}

TEST(Rewrite, AnAddedKeyComesWhereANewFileHasIt) {
    EXPECT_EQ(change_in_everything([](Dossier& d) {
                  part_of(d, "F1").rated_voltage = Amount{Quantity::of(250, Unit::volt), {}};
              }),
              "+rated_voltage = \"250 V\"\n");
    EXPECT_EQ(change_in_everything([](Dossier& d) { part_of(d, "C1").title.value = "dropper"; }),
              "+title = \"dropper\"\n");
}

TEST(Rewrite, ARemovedKeyGoesWithItsComment) {
    EXPECT_EQ(change_in_everything([](Dossier& d) { part_of(d, "R1").title.value.clear(); }),
              "-title = \"bleeder\"               # your own words\n");
}

TEST(Rewrite, APinMovesToAnotherNetWithinItsLine) {
    EXPECT_EQ(
        change_in_everything([](Dossier& d) { part_of(d, "F1").pins[1].net = "N"; }),
        "-pins = { 1 = \"L\", 2 = \"L_F\" }   # pin = \"net\"; nets need no table of their own\n"
        "+pins = { 1 = \"L\", 2 = \"N\" }   # pin = \"net\"; nets need no table of their own\n");
}

TEST(Rewrite, PinsAreAddedRemovedAndPutInOrderWithinTheirLine) {
    EXPECT_EQ(change_in_everything([](Dossier& d) {
                  auto& pins = part_of(d, "X1").pins;
                  pins.erase(pins.begin());
                  std::swap(pins[0], pins[1]);
                  pins.push_back({"EP", "HV-", {}});
              }),
              "-pins = { 1 = \"FB\", 2 = \"HV-\", 3 = \"VCC\" }\n"
              "+pins = { 3 = \"VCC\", 2 = \"HV-\", EP = \"HV-\" }\n");
}

TEST(Rewrite, AWindingChangesWithinItsLine) {
    EXPECT_EQ(
        change_in_everything([](Dossier& d) { part_of(d, "T1").windings[1].turns->value = 13; }),
        "-  { name = \"secondary\", pins = [\"3\", \"4\"], turns = 12 },\n"
        "+  { name = \"secondary\", pins = [\"3\", \"4\"], turns = 13 },\n");
    EXPECT_EQ(
        change_in_everything([](Dossier& d) {
            part_of(d, "T1").windings[1].resistance = Amount{Quantity::of(0.2, Unit::ohm), {}};
        }),
        "-  { name = \"secondary\", pins = [\"3\", \"4\"], turns = 12 },\n"
        "+  { name = \"secondary\", pins = [\"3\", \"4\"], turns = 12, resistance = \"0R2\" },\n");
}

TEST(Rewrite, AWindingComesAndGoesAsALine) {
    EXPECT_EQ(change_in_everything([](Dossier& d) {
                  auto& windings = part_of(d, "T1").windings;
                  windings.erase(windings.begin() + 1);
              }),
              "-  { name = \"secondary\", pins = [\"3\", \"4\"], turns = 12 },\n");
    EXPECT_EQ(change_in_everything([](Dossier& d) {
                  Winding winding;
                  winding.name.value = "screen";
                  winding.pins = {{"5", {}}, {"6", {}}};
                  part_of(d, "T1").windings.push_back(winding);
              }),
              "+  { name = \"screen\", pins = [\"5\", \"6\"] },\n");
}

TEST(Rewrite, OneWordForHowAllIsKnownBecomesATable) {
    EXPECT_EQ(
        change_in_everything([](Dossier& d) { part_of(d, "F1").known["value"] = Basis::told; }),
        "-known = \"seen\"                  # how all this is known, if not said for each: seen, "
        "marking,\n"
        "+known = { value = \"told\", rest = \"seen\" }                  # how all this is known, "
        "if not said for each: seen, marking,\n");
}

TEST(Rewrite, ANewPartComesAfterThePartBeforeIt) {
    EXPECT_EQ(change_in_everything([](Dossier& d) {
                  Part part;
                  part.name = "R 10";
                  part.kind.value = "resistor";
                  part.pins = {{"1", "L", {}}, {"2", "N", {}}};
                  d.parts.insert(d.parts.begin() + 3, part);
              }),
              "+[parts.\"R 10\"]\n+kind = \"resistor\"\n+pins = { 1 = \"L\", 2 = \"N\" }\n+\n");
}

TEST(Rewrite, ARemovedPartGoesWithItsTables) {
    const std::string gone = change_in_everything([](Dossier& d) {
        std::erase_if(d.parts, [](const Part& part) { return part.name == "R1"; });
        d.continuity.erase(d.continuity.begin());
    });
    EXPECT_EQ(gone.find("-[parts.R1]"), 0U) << gone;
    EXPECT_NE(gone.find("-[[parts.R1.alternatives]]"), std::string::npos);
    EXPECT_EQ(gone.find("-[parts.C1]\n+"), std::string::npos);
}

TEST(Rewrite, TheCommentAboveARemovedTableStays) {
    const std::string text = everything_text();
    Dossier after = everything();
    after.readings.erase(after.readings.begin());
    after.continuity.clear();
    const std::string result = rewritten(text, after);
    EXPECT_NE(result.find("# Numbers from a meter. Readings taken at one moment share a group.\n"
                          "[[readings]]\nquantity = \"input power\""),
              std::string::npos)
        << result;
    EXPECT_NE(result.find("# Beeps of a continuity tester"), std::string::npos);
    EXPECT_EQ(read_well(result), after);
}

TEST(Rewrite, ARenamedPartKeepsItsText) {
    EXPECT_EQ(change_in_everything([](Dossier& d) { part_of(d, "C1").name = "C 1"; }),
              "-[parts.C1]\n+[parts.\"C 1\"]\n");
    const std::string both = change_in_everything([](Dossier& d) {
        part_of(d, "R1").name = "R7";
        d.continuity[0].between[0].value = "R7.1";
    });
    EXPECT_NE(both.find("+[[parts.R7.alternatives]]       # another reading of a fact\n"),
              std::string::npos)
        << both;
}

TEST(Rewrite, PartsThatChangePlacesTakeTheirCommentsAlong) {
    const std::string text =
        "format = 1\n[item]\nname = \"x\"\n\n# all parts\n[parts.A]\n# of A\n\n# above "
        "B\n[parts.B]\n"
        "title = \"b\" # B\n\n[parts.C]\ntitle = \"c\"\n";
    Dossier after = read_well(text);
    std::swap(after.parts[0], after.parts[1]);
    const std::string result = rewritten(text, after);
    EXPECT_EQ(read_well(result), after);
    EXPECT_EQ(result,
              "format = 1\n[item]\nname = \"x\"\n\n# all parts\n# above B\n[parts.B]\ntitle = "
              "\"b\" # B\n\n"
              "[parts.A]\n# of A\n\n[parts.C]\ntitle = \"c\"\n");
}

TEST(Rewrite, AKeyThatSaidTheUsualThingIsReplacedNotRepeated) {
    EXPECT_EQ(change_in_everything([](Dossier& d) { part_of(d, "R1").touchable = true; }),
              "-touchable = false               # a person can touch it in use\n"
              "+touchable = true               # a person can touch it in use\n");
}

TEST(Rewrite, WindowsLineEndsStayAndComeWithWhatIsNew) {
    std::string text;
    for (const char c : everything_text()) {
        text += c == '\n' ? std::string("\r\n") : std::string(1, c);
    }
    Dossier after = read_well(text);
    after.item.story.value = "two\nlines\n";
    part_of(after, "F1").note.value = "new";
    const std::string result = rewritten(text, after);
    EXPECT_EQ(read_well(result), after);
    for (std::size_t at = result.find('\n'); at != std::string::npos;
         at = result.find('\n', at + 1)) {
        ASSERT_EQ(result[at - 1], '\r') << "at byte " << at;
    }
    EXPECT_NE(result.find("# what is printed on it"), std::string::npos);
}

TEST(Rewrite, AFileWithoutALastLineBreakGetsOne) {
    const std::string text = "format = 1\n[item]\nname = \"x\"";
    Dossier after = read_well(text);
    after.item.maker.value = "m";
    EXPECT_EQ(rewritten(text, after), "format = 1\n[item]\nname = \"x\"\nmaker = \"m\"\n");
}

TEST(Rewrite, AByteOrderMarkStays) {
    const std::string text = "\xEF\xBB\xBF" + everything_text();
    Dossier after = read_well(text);
    after.item.name.value = "other";
    const std::string result = rewritten(text, after);
    EXPECT_TRUE(result.starts_with("\xEF\xBB\xBF# A dossier"));
    EXPECT_EQ(read_well(result), after);
}

TEST(Rewrite, ADossierThatIsNotYetInOrderIsSavedInPlaceAllTheSame) {
    const std::string text = everything_text();
    Dossier after = everything();
    after.item.name.value.clear();
    const std::string result = rewritten(text, after);
    EXPECT_EQ(difference(text, result), "-name = \"Workbench night light\"\n+name = \"\"\n");
}

TEST(Rewrite, ATextThatIsNoTomlIsReplacedByANewFile) {
    EXPECT_EQ(rewrite("= no", {}, everything(), catalogue()), write(everything(), catalogue()));
}

}  // namespace
}  // namespace etchback::dossier
