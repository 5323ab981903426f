// The board in the report: on the page, in JSON and as a picture of its own.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "report/board_svg.h"
#include "report/copper_fixture.h"
#include "report/copper_json.h"
#include "report/copper_run.h"
#include "report/copper_view.h"
#include "report/detail/paper_blocks.h"

namespace etchback::report {
namespace {

using testing::HasSubstr;
using testing::Not;
using testing::SizeIs;

TEST(CopperOnThePage, NetsAndPadsCanBeTouched) {
    const std::string html = html_of(square_study());
    EXPECT_THAT(html, HasSubstr("<section id=\"board\""));
    EXPECT_THAT(html, HasSubstr("<g class=\"net copper\" data-net=\"N1\""));
    EXPECT_THAT(html, HasSubstr("class=\"padmark\" data-part=\"R1\""));
    EXPECT_THAT(html, HasSubstr("href=\"#board\">The board</a>"));
    EXPECT_THAT(html, HasSubstr("id=\"to-board\""));
    // The net that is lit up on the board is the one of the tables.
    EXPECT_THAT(html, HasSubstr("data-net=\"N1\">N1</a>"));
}

TEST(CopperOnThePage, DoubtsHaveShapesAndNumbersAndQuestionsTheirCaution) {
    const std::string html = html_of(square_study());
    EXPECT_THAT(html, HasSubstr("<title>Doubt 1: "));
    EXPECT_THAT(html, HasSubstr("What to ask the board"));
    EXPECT_THAT(html, HasSubstr("Unplug it, take out batteries"));
    EXPECT_THAT(html, HasSubstr("does not beep, but clear copper joins them"));
    EXPECT_THAT(html, HasSubstr("The top photo is dark; use more light."));
    EXPECT_THAT(html, HasSubstr("not to be trusted"));
}

TEST(CopperOnThePage, FoldsALongListOfRemarks) {
    EXPECT_THAT(html_of(square_study()), Not(HasSubstr(" remarks</summary>")));
    Study study = square_study();
    auto trace = std::make_shared<copper::Trace>(*study.copper->trace);
    for (int i = 0; i < 20; ++i) {
        trace->remarks.push_back({"pin " + std::to_string(i) + " lies on no copper", "look"});
    }
    study.copper->trace = trace;
    EXPECT_THAT(html_of(study), HasSubstr(" remarks</summary>"));
}

TEST(CopperOnThePage, IsNotThereWhereNobodyFollowedIt) {
    const std::string html = html_of(everything());
    EXPECT_THAT(html, Not(HasSubstr("<section id=\"board\"")));
    EXPECT_THAT(html, Not(HasSubstr("to-board\" href")));
}

TEST(CopperOnThePage, SaysWhyItCouldNotBeFollowed) {
    Study study = everything();
    study.copper = Copper{{}, {{{}, "the file 'photos/top.jpg' is no picture", "take another"}}};
    EXPECT_THAT(html_of(study), HasSubstr("is no picture; take another.</li>"));
}

TEST(CopperNames, AreEscapedInThePicture) {
    Copper copper = square_copper();
    copper::Trace trace = *copper.trace;
    trace.nets.nets[0].name = "</svg><b>\"&";
    trace.pads[0].part = "<i>";
    for (const bool standalone : {true, false}) {
        const auto svg =
            board_svg(trace, copper::Side::top, {.standalone = standalone, .photo = false});
        ASSERT_TRUE(svg);
        EXPECT_THAT(*svg, Not(HasSubstr("<b>")));
        EXPECT_THAT(*svg, Not(HasSubstr("<i>")));
    }
}

TEST(BoardPicture, TheBottomIsShownAsOneLooksAtIt) {
    const Copper copper = square_copper();
    const auto top = board_svg(*copper.trace, copper::Side::top);
    const auto bottom = board_svg(*copper.trace, copper::Side::bottom);
    ASSERT_TRUE(top && bottom);
    // The square on the bottom is the last from the left as seen from the top: now the first.
    EXPECT_THAT(*bottom, HasSubstr("d=\"M1.5 0.5"));
    EXPECT_THAT(*top, HasSubstr("d=\"M0.5 0.5"));
}

TEST(BoardPicture, SameCopperGivesTheSameBytes) {
    const auto one = board_svg(*square_copper().trace, copper::Side::top);
    const auto two = board_svg(*square_copper().trace, copper::Side::top);
    ASSERT_TRUE(one && two);
    EXPECT_EQ(*one, *two);
}

TEST(CopperInWords, CountsNetsPadsDoubtsAndQuestions) {
    const CopperView view = view_of(*square_copper().trace);
    EXPECT_THAT(view.headline, HasSubstr("nets on 6 pads"));
    EXPECT_THAT(view.lines[0], HasSubstr("miss each other by 0.06 mm (RMS), at worst by 0.12 mm"));
    EXPECT_EQ(view.doubts.size(), square_copper().trace->nets.doubts.size());
    for (const CopperQuestionView& question : view.questions) {
        EXPECT_FALSE(question.settles.empty());
    }
    EXPECT_THAT(view.contradictions, SizeIs(1));
}

TEST(CopperIsFollowed, OnlyWhereThereIsSomethingToTell) {
    const auto dossier_of = [](const std::string& toml) {
        return *dossier::read(
            "format = 1\nitem.name = \"x\"\n" + toml, "dossier.toml", data().catalogue);
    };
    const std::string photo = "[[photos]]\nfile = \"t.jpg\"\nside = \"top\"\n";
    const std::string pads = "pads = { 1 = [1, 1], 2 = [3, 1] }\n";
    const std::string pins = "pins = { 1 = \"A\", 2 = \"B\" }\n";
    const std::string part = "[parts.R1]\nkind = \"resistor\"\n";
    EXPECT_FALSE(shows_copper(dossier_of(part + pads)));
    EXPECT_FALSE(shows_copper(dossier_of(photo + part + pins)));
    EXPECT_TRUE(shows_copper(dossier_of(photo + part + pads + pins)));
    EXPECT_FALSE(needs_copper(dossier_of(photo + part + pads + pins)));
    EXPECT_TRUE(needs_copper(dossier_of(photo + part + pads)));
}

TEST(CopperOnPaper, HasASectionWithFiguresQuestionsAndDoubts) {
    const Study study = square_study();
    render::Paper paper;
    ASSERT_TRUE(detail::paper_board(paper, study).empty());
    std::string text;
    for (const render::PaperBlock& block : paper.blocks) {
        for (const render::Span& span : block.spans) {
            text += span.text + "\n";
        }
        for (const auto& row : block.rows) {
            for (const std::string& cell : row) {
                text += cell + "\n";
            }
        }
    }
    EXPECT_THAT(text, HasSubstr("The board\n"));
    EXPECT_THAT(text, HasSubstr("What to ask the board\n"));
    EXPECT_THAT(text, HasSubstr("Unplug it, take out batteries"));
    EXPECT_THAT(text, HasSubstr("Doubts about the copper\n"));
    EXPECT_THAT(text, HasSubstr("does not beep, but clear copper joins them"));
    render::Paper none;
    EXPECT_TRUE(detail::paper_board(none, everything()).empty());
    EXPECT_THAT(none.blocks, SizeIs(0));
}

}  // namespace
}  // namespace etchback::report
