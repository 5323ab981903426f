#include "drawing/svg.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <regex>
#include <set>

#include "drawing/hand_made.h"

namespace etchback::drawing {
namespace {

using samples::Scene;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::Not;
using testing::StartsWith;

using Nets = std::vector<std::vector<std::string>>;

Nets read_back(const Scene& scene) {
    const auto nets = nets_from_svg(to_svg(scene.drawing, scene.circuit));
    if (!nets) {
        ADD_FAILURE() << base::to_string(nets.errors().front());
        return {};
    }
    return *nets;
}

// Four resistors around one place where four ways meet, in one net.
Scene four_way() {
    Scene s;
    s.circuit = samples::resistors({{"", "M"}, {"M", ""}, {"", "M"}, {"M", ""}});
    s.drawing.parts = {samples::placed(s.circuit, 0, {5, 10}),
                       samples::placed(s.circuit, 1, {15, 10}),
                       samples::placed(s.circuit, 2, {10, 5}, 1),
                       samples::placed(s.circuit, 3, {10, 15}, 1)};
    s.drawing.wires = {{{0}, {{{8, 10}, {12, 10}}, {{10, 8}, {10, 12}}}, {{10, 10}}}};
    s.drawing.width = s.drawing.height = 20;
    return s;
}

TEST(NetsFromSvg, AreThoseOfTheCircuit) {
    const Scene scene = samples::scene();
    EXPECT_EQ(read_back(scene), nets_of(scene.circuit));
    EXPECT_EQ(nets_of(scene.circuit),
              (Nets{{"R1.1"}, {"R1.2", "R2.1", "R3.1"}, {"R2.2"}, {"R3.2"}}));
}

TEST(NetsFromSvg, DoNotComeFromTheNamesOfNets) {
    const Scene scene = samples::scene();
    const std::string svg = std::regex_replace(
        to_svg(scene.drawing, scene.circuit), std::regex("data-net=\"[^\"]*\"|id=\"[^\"]*\""), "");
    const auto nets = nets_from_svg(svg);
    ASSERT_TRUE(nets);
    EXPECT_EQ(*nets, nets_of(scene.circuit));
}

TEST(NetsFromSvg, AMovedWireEndLosesItsPin) {
    Scene scene = samples::scene();
    scene.drawing.wires[0].segments[1].b = {15, 12};
    EXPECT_EQ(read_back(scene), (Nets{{"R1.1"}, {"R1.2", "R2.1"}, {"R2.2"}, {"R3.1"}, {"R3.2"}}));
}

// Every piece of wire is needed, and so is each of its ends where it is.
TEST(NetsFromSvg, NoWireCanBeMissedOrCutShort) {
    const Scene good = samples::scene();
    const Nets nets = nets_of(good.circuit);
    for (std::size_t i = 0; i < good.drawing.wires[0].segments.size(); ++i) {
        Scene scene = good;
        std::vector<Segment>& segments = scene.drawing.wires[0].segments;
        segments.erase(segments.begin() + static_cast<std::ptrdiff_t>(i));
        EXPECT_NE(read_back(scene), nets) << "without wire " << i;
        for (const bool first : {true, false}) {
            scene = good;
            Segment& cut = scene.drawing.wires[0].segments[i];
            (first ? cut.a : cut.b) = {cut.a.x + (cut.b.x - cut.a.x) / 4 * (first ? 1 : 3),
                                       cut.a.y + (cut.b.y - cut.a.y) / 4 * (first ? 1 : 3)};
            EXPECT_NE(read_back(scene), nets) << "wire " << i << " cut short";
        }
    }
}

TEST(NetsFromSvg, AThreeWayJoinsWithoutADot) {
    Scene scene = samples::scene();
    scene.drawing.wires[0].dots.clear();
    EXPECT_EQ(read_back(scene), nets_of(scene.circuit));
}

TEST(NetsFromSvg, AFourWayJoinsByItsDotOnly) {
    Scene scene = four_way();
    EXPECT_EQ(read_back(scene), nets_of(scene.circuit));
    scene.drawing.wires[0].dots.clear();
    const Nets crossed = {
        {"R1.1"}, {"R1.2", "R2.1"}, {"R2.2"}, {"R3.1"}, {"R3.2", "R4.1"}, {"R4.2"}};
    EXPECT_EQ(read_back(scene), crossed);
    // The same picture from four short lines means the same.
    scene.drawing.wires = {{{0}, {{{8, 10}, {10, 10}}, {{10, 8}, {10, 10}}}, {}},
                           {{0}, {{{10, 10}, {12, 10}}, {{10, 10}, {10, 12}}}, {}}};
    EXPECT_EQ(read_back(scene), crossed);
}

TEST(NetsFromSvg, ADotBesideACrossingJoinsNothing) {
    Scene scene = four_way();
    scene.drawing.wires[0].dots = {{10, 9}};
    EXPECT_NE(read_back(scene), nets_of(scene.circuit));
}

TEST(NetsFromSvg, SignsOfOneTextJoin) {
    Scene scene = samples::scene();
    scene.drawing.signs[1].text = "A";
    EXPECT_EQ(read_back(scene), (Nets{{"R1.1", "R2.2"}, {"R1.2", "R2.1", "R3.1"}, {"R3.2"}}));
    scene.drawing.signs[1].kind = NetSign::Kind::rail;
    EXPECT_EQ(read_back(scene), nets_of(scene.circuit));
}

TEST(NetsFromSvg, ASignWithAnotherTextChangesTheNets) {
    Scene scene = samples::scene();
    scene.circuit = samples::resistors({{"A", "M"}, {"M", "A"}, {"M", "C"}});
    scene.drawing.wires[0].net = {2};
    scene.drawing.labels.clear();
    scene.drawing.signs = {samples::sign({0}, {7, 10}, Direction::left, "A"),
                           samples::sign({0}, {23, 10}, Direction::right, "A"),
                           samples::sign({1}, {15, 19}, Direction::down, "C")};
    EXPECT_EQ(read_back(scene), nets_of(scene.circuit));
    scene.drawing.signs[1].text = "a";
    EXPECT_NE(read_back(scene), nets_of(scene.circuit));
}

TEST(NetsFromSvg, PinsThatMeetAreOneNet) {
    Scene scene;
    scene.circuit = samples::resistors({{"", "M"}, {"M", ""}});
    scene.drawing.parts = {samples::placed(scene.circuit, 0, {5, 10}),
                           samples::placed(scene.circuit, 1, {11, 10})};
    EXPECT_EQ(read_back(scene), nets_of(scene.circuit));
}

TEST(NetsFromSvg, ReadNamesWithCharactersOfXml) {
    Scene scene = samples::scene();
    scene.circuit.parts[0].name = "R<1>&\"x\"'";
    scene.drawing.signs[0].text = "A & <B>";
    scene.drawing.signs[1].text = "A & <B>";
    EXPECT_THAT(read_back(scene), testing::Contains(ElementsAre("R2.2", "R<1>&\"x\"'.1")));
}

TEST(NetsFromSvg, EmbeddedDrawingsReadTheSame) {
    const Scene scene = samples::scene();
    SvgStyle style;
    style.standalone = false;
    const auto nets = nets_from_svg(to_svg(scene.drawing, scene.circuit, style));
    ASSERT_TRUE(nets);
    EXPECT_EQ(*nets, nets_of(scene.circuit));
}

std::string complaint(const std::string& svg) {
    const auto nets = nets_from_svg(svg);
    return nets ? std::string("no complaint") : base::to_string(nets.errors().front());
}

std::string with(const std::string& inside) {
    return "<svg class=\"circuit\"><g class=\"part\" data-part=\"R1\">" + inside + "</g></svg>";
}

TEST(NetsFromSvg, SayWhatIsWrongWithBadInput) {
    EXPECT_THAT(complaint(""), HasSubstr("no drawing of a circuit"));
    EXPECT_THAT(complaint("<svg class=\"circuit\"><g>"), HasSubstr("no well-formed XML"));
    EXPECT_THAT(complaint("<svg>\n\n<g a=></g></svg>"), StartsWith("line 3: "));
    EXPECT_THAT(complaint("<svg/>"), HasSubstr("no drawing of a circuit"));
    EXPECT_THAT(complaint("<html/>"), HasSubstr("no drawing of a circuit"));
    EXPECT_THAT(complaint(with("<path class=\"wire\" d=\"M1 2L3 4\"/>")), HasSubstr("M, H and V"));
    EXPECT_THAT(complaint(with("<path class=\"wire\" d=\"H3\"/>")), HasSubstr("M, H and V"));
    EXPECT_THAT(complaint(with("<path class=\"wire\" d=\"M1 nan\"/>")), HasSubstr("M, H and V"));
    EXPECT_THAT(complaint(with("<path class=\"pin\" data-pin=\"1\" d=\"M1\"/>")),
                HasSubstr("the place of pin R1.1"));
    EXPECT_THAT(complaint(with("<circle class=\"dot\" cx=\"1\"/>")),
                HasSubstr("the place of a dot"));
    EXPECT_THAT(complaint(with("<g class=\"sign\"/>")), HasSubstr("sign has no place"));
    EXPECT_THAT(complaint(with("<g transform=\"scale(2)\"/>")), HasSubstr("transform"));
    EXPECT_THAT(complaint("<svg class=\"circuit\"><g class=\"part\"/></svg>"),
                HasSubstr("data-part"));
}

TEST(NetsFromSvg, EndlessNestingIsNoCrash) {
    for (const char* element : {"<g>", "<g a=\"</g>\">", "<g a='/>'>", "<g><!-- </g> -->"}) {
        std::string svg = "<svg class=\"circuit\">";
        for (int i = 0; i < 200000; ++i) {
            svg += element;
        }
        EXPECT_THAT(complaint(svg), HasSubstr("nested too deeply")) << element;
    }
}

TEST(NetsFromSvg, CommentsAndQuotesAreNoNesting) {
    std::string svg;
    for (int i = 0; i < 200; ++i) {
        svg += "<!-- <g> --><path a=\"<g>\"/>";
    }
    const auto nets = nets_from_svg("<svg class=\"circuit\">" + svg + "</svg>");
    ASSERT_TRUE(nets);
    EXPECT_TRUE(nets->empty());
}

TEST(NetsFromSvg, EndlessWiresAreNoHang) {
    std::string data = "M0 0";
    for (int i = 0; i < 200000; ++i) {
        data += "H1V1";
    }
    EXPECT_THAT(complaint(with("<path class=\"wire\" d=\"" + data + "\"/>")),
                HasSubstr("more than 10000 wires"));
}

TEST(Svg, SameDrawingGivesSameBytes) {
    const Scene scene = samples::scene();
    EXPECT_EQ(to_svg(scene.drawing, scene.circuit), to_svg(scene.drawing, scene.circuit));
}

TEST(Svg, HasOneGroupForEachPartAndNet) {
    const Scene scene = samples::scene();
    const std::string svg = to_svg(scene.drawing, scene.circuit);
    for (const char* group : {"<g class=\"part\" id=\"part-R1\" data-part=\"R1\" tabindex=\"0\">",
                              "<g class=\"part\" id=\"part-R3\" data-part=\"R3\" tabindex=\"0\">",
                              "<g class=\"net\" id=\"net-M\" data-net=\"M\" tabindex=\"0\">"}) {
        EXPECT_THAT(svg, HasSubstr(group));
    }
}

TEST(Svg, DrawsANetsWireInOnePathWithItsDotAndName) {
    const Scene scene = samples::scene();
    const std::string svg = to_svg(scene.drawing, scene.circuit);
    EXPECT_THAT(svg,
                HasSubstr("<path class=\"wire\" d=\"M130 100H170M150 100V130\"/>"
                          "<circle class=\"dot\" cx=\"150\" cy=\"100\" r=\"2.6\"/>"));
    EXPECT_THAT(svg,
                HasSubstr("<text class=\"netname\" x=\"150\" y=\"95\" font-size=\"9\" "
                          "text-anchor=\"middle\">M</text>"));
}

TEST(Svg, IdsAreSafeAndNeverTwice) {
    Scene scene;
    scene.circuit = samples::resistors({{"A 1", "A_1"}, {"A/1", "HV+"}});
    for (int i = 0; i < 2; ++i) {
        scene.drawing.parts.push_back(samples::placed(scene.circuit, i, {5, 5.0 + 5 * i}));
    }
    const std::string svg = to_svg(scene.drawing, scene.circuit);
    std::set<std::string> ids;
    const std::regex id(" id=\"([^\"]*)\"");
    int count = 0;
    for (std::sregex_iterator it(svg.begin(), svg.end(), id), end; it != end; ++it, ++count) {
        ids.insert((*it)[1]);
    }
    EXPECT_EQ(count, 6);
    EXPECT_EQ(ids.size(), 6U);
    EXPECT_TRUE(ids.count("net-HV+"));
    EXPECT_TRUE(ids.count("net-A_1"));
    EXPECT_TRUE(ids.count("net-A_1.2"));
}

TEST(Svg, EscapesEveryTextAndAttribute) {
    Scene scene = samples::scene();
    scene.circuit.nets[0].name = "<&\"";
    scene.drawing.labels[1].text = "1 < 2 & \"3\"\x01\xff";
    SvgStyle style;
    style.title = "a < b";
    const std::string svg = to_svg(scene.drawing, scene.circuit, style);
    EXPECT_THAT(svg, HasSubstr("data-net=\"&lt;&amp;&quot;\""));
    EXPECT_THAT(svg, HasSubstr("1 &lt; 2 &amp; &quot;3&quot;\xef\xbf\xbd\xef\xbf\xbd<"));
    EXPECT_THAT(svg, HasSubstr("<title>a &lt; b</title>"));
}

TEST(Svg, StandsAloneOrFitsIntoAPage) {
    const Scene scene = samples::scene();
    const std::string alone = to_svg(scene.drawing, scene.circuit);
    EXPECT_THAT(alone, StartsWith("<?xml"));
    EXPECT_THAT(alone, HasSubstr("fill=\"#fff\""));
    SvgStyle dark;
    dark.dark = true;
    EXPECT_THAT(to_svg(scene.drawing, scene.circuit, dark), HasSubstr("color:#e8e8e8"));
    SvgStyle page;
    page.standalone = false;
    const std::string embedded = to_svg(scene.drawing, scene.circuit, page);
    EXPECT_THAT(embedded, StartsWith("<svg "));
    EXPECT_THAT(embedded, Not(HasSubstr("#fff")));
    EXPECT_THAT(embedded, HasSubstr("class=\"hit\""));
}

}  // namespace
}  // namespace etchback::drawing
