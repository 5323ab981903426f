// Paper: what comes out is looked at with the ordinary PDF tools (poppler-utils), not with our own.
#include "render/paper.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cstdio>
#include <cstdlib>
#include <ctime>
#include <filesystem>
#include <fstream>

#include "base/error.h"

namespace etchback::render {
namespace {

using testing::HasSubstr;

const char* const drawing = R"(<svg xmlns="http://www.w3.org/2000/svg" width="200" height="100">
  <rect x="10" y="40" width="60" height="20" fill="none" stroke="black" stroke-width="2"/>
  <text x="40" y="30" font-family="Liberation Sans" font-size="12" text-anchor="middle">R17</text>
</svg>)";

// A file in the test's own folder, gone afterwards.
class Scratch {
public:
    Scratch() {
        std::string name = (std::filesystem::temp_directory_path() / "etchback-paper-XXXXXX");
        folder_ = mkdtemp(name.data());
    }
    ~Scratch() { std::filesystem::remove_all(folder_); }
    std::filesystem::path write(const std::string& name, const std::string& bytes) const {
        std::ofstream(folder_ / name, std::ios::binary) << bytes;
        return folder_ / name;
    }

private:
    std::filesystem::path folder_;
};

std::string output_of(const std::string& command) {
    std::FILE* pipe = popen(command.c_str(), "r");
    std::string text;
    char buffer[4096];
    while (std::size_t got = std::fread(buffer, 1, sizeof buffer, pipe)) {
        text.append(buffer, got);
    }
    EXPECT_EQ(pclose(pipe), 0) << command;
    return text;
}

std::string text_of(const std::string& pdf) {
    const Scratch scratch;
    return output_of("pdftotext -layout " + scratch.write("a.pdf", pdf).string() + " -");
}

std::string facts_of(const std::string& pdf) {
    const Scratch scratch;
    return output_of("pdfinfo -l 99 " + scratch.write("a.pdf", pdf).string());
}

int count(const std::string& text, const std::string& word) {
    int found = 0;
    for (auto at = text.find(word); at != std::string::npos; at = text.find(word, at + 1)) {
        ++found;
    }
    return found;
}

PaperBlock words(PaperBlock::Kind kind, const std::string& text) {
    PaperBlock block;
    block.kind = kind;
    block.spans = {Span{.text = text}};
    return block;
}

PaperBlock table_of(int rows) {
    PaperBlock block;
    block.kind = PaperBlock::Kind::table;
    block.widths = {1, 3};
    block.rows = {{"Part", "Purpose"}};
    for (int i = 1; i <= rows; ++i) {
        block.rows.push_back({"R" + std::to_string(i), "drops the voltage"});
    }
    return block;
}

std::string pdf_of(const Paper& paper) {
    const auto pdf = pdf_from_paper(paper);
    EXPECT_TRUE(pdf) << base::to_string(pdf.errors().front());
    return pdf ? *pdf : "";
}

TEST(PaperPicture, PngHasTheAskedWidthAndTheDrawingsProportion) {
    const auto png = png_from_svg(drawing, 640);
    ASSERT_TRUE(png) << base::to_string(png.errors().front());
    ASSERT_GT(png->size(), 32u);
    EXPECT_EQ(png->substr(1, 3), "PNG");
    const auto number = [&](std::size_t at) {
        return (static_cast<unsigned char>((*png)[at + 2]) << 8) +
               static_cast<unsigned char>((*png)[at + 3]);
    };
    EXPECT_EQ(number(16), 640);
    EXPECT_EQ(number(20), 320);
}

TEST(PaperPicture, PdfKeepsTextAsTextOnAPageOfTheDrawingsSize) {
    const auto pdf = pdf_from_svg(drawing);
    ASSERT_TRUE(pdf) << base::to_string(pdf.errors().front());
    EXPECT_THAT(text_of(*pdf), HasSubstr("R17"));
    EXPECT_THAT(facts_of(*pdf), HasSubstr("150 x 75 pts"));
}

TEST(PaperPicture, WhatIsNoSvgIsAnErrorAndNoCrash) {
    const std::string deep(200000, '<');
    for (const std::string& text : {std::string(),
                                    std::string("no svg"),
                                    deep,
                                    std::string("<svg xmlns='http://www.w3.org/2000/svg'/>")}) {
        const auto png = png_from_svg(text, 100);
        if (!png) {
            EXPECT_FALSE(png.errors().front().what.empty());
            EXPECT_FALSE(png.errors().front().todo.empty());
        }
    }
    EXPECT_FALSE(pdf_from_svg("no svg"));
}

TEST(PaperPicture, WidthsOutOfReachAreErrors) {
    for (const int width : {0, -5, 2000000000}) {
        const auto png = png_from_svg(drawing, width);
        ASSERT_FALSE(png);
        EXPECT_THAT(png.errors().front().todo, HasSubstr("32000"));
    }
}

TEST(PaperPages, SayTheirNumberAndTheirCount) {
    Paper paper{
        .title = "Henhouse lamp", .author = "", .footer = "Henhouse lamp, invented", .blocks = {}};
    paper.blocks = {words(PaperBlock::Kind::title, "Henhouse lamp"), table_of(150)};
    const std::string text = text_of(pdf_of(paper));
    EXPECT_THAT(text, HasSubstr("page 1 of 4"));
    EXPECT_THAT(text, HasSubstr("page 4 of 4"));
    EXPECT_EQ(count(text, "Henhouse lamp, invented"), 4);
}

TEST(PaperPages, TableRepeatsItsHeadAndLosesNoRow) {
    Paper paper;
    paper.blocks = {table_of(150)};
    const std::string text = text_of(pdf_of(paper));
    EXPECT_EQ(count(text, "Purpose"), count(text, "page "));
    EXPECT_EQ(count(text, "drops the voltage"), 150);
}

TEST(PaperPages, RowTallerThanAPageGoesOnWithAllItsWords) {
    PaperBlock block = table_of(1);
    std::string tall;
    for (int i = 0; i < 2000; ++i) {
        tall += "word" + std::to_string(i) + " ";
    }
    block.rows.push_back({"U1", tall});
    block.rows.push_back({"U2", "short"});
    Paper paper;
    paper.blocks = {block};
    const std::string text = text_of(pdf_of(paper));
    EXPECT_EQ(count(text, "word"), 2000);
    EXPECT_THAT(text, HasSubstr("U2"));
}

TEST(PaperPages, ALongWordIsBrokenAndStaysOnThePage) {
    Paper paper;
    paper.blocks = {words(PaperBlock::Kind::paragraph, std::string(1000, 'W'))};
    EXPECT_EQ(count(text_of(pdf_of(paper)), "W"), 1000);
}

TEST(PaperPages, WideDrawingGetsALandscapePage) {
    PaperBlock wide;
    wide.kind = PaperBlock::Kind::drawing;
    wide.svg = R"(<svg xmlns="http://www.w3.org/2000/svg" width="1400" height="600"/>)";
    Paper paper;
    paper.blocks = {words(PaperBlock::Kind::paragraph, "before"),
                    wide,
                    words(PaperBlock::Kind::paragraph, "after")};
    const std::string facts = facts_of(pdf_of(paper));
    EXPECT_THAT(facts, HasSubstr("Page    1 size:  595.276 x 841.89 pts (A4)"));
    EXPECT_THAT(facts, HasSubstr("Page    2 size:  841.89 x 595.276 pts (A4)"));
    EXPECT_THAT(facts, HasSubstr("Page    3 size:  595.276 x 841.89 pts (A4)"));
}

TEST(PaperPages, HeadingGoesWithItsDrawingToTheLandscapePage) {
    PaperBlock wide;
    wide.kind = PaperBlock::Kind::drawing;
    wide.svg = R"(<svg xmlns="http://www.w3.org/2000/svg" width="1400" height="900"/>)";
    Paper paper;
    paper.blocks = {words(PaperBlock::Kind::paragraph, "before"),
                    words(PaperBlock::Kind::heading, "The circuit"),
                    wide,
                    words(PaperBlock::Kind::paragraph, "after")};
    const std::string pdf = pdf_of(paper);
    EXPECT_THAT(facts_of(pdf), HasSubstr("Pages:           3"));
    const std::string text = text_of(pdf);
    EXPECT_LT(text.find('\f'), text.find("The circuit"));
    EXPECT_LT(text.find("The circuit"), text.find("page 2 of 3"));
}

TEST(PaperPages, SmallDrawingStaysInTheText) {
    PaperBlock small;
    small.kind = PaperBlock::Kind::drawing;
    small.svg = drawing;
    Paper paper;
    paper.blocks = {words(PaperBlock::Kind::paragraph, "before"), small};
    const std::string pdf = pdf_of(paper);
    EXPECT_THAT(facts_of(pdf), HasSubstr("Pages:           1"));
    EXPECT_THAT(text_of(pdf), HasSubstr("R17"));
}

TEST(PaperPages, BrokenDrawingIsAnErrorAndNotAnEmptyPlace) {
    PaperBlock broken;
    broken.kind = PaperBlock::Kind::drawing;
    broken.svg = "<svg";
    Paper paper;
    paper.blocks = {broken};
    EXPECT_FALSE(pdf_from_paper(paper));
}

TEST(PaperPages, TheSamePaperGivesTheSameBytes) {
    PaperBlock figure;
    figure.kind = PaperBlock::Kind::drawing;
    figure.svg = drawing;
    Paper paper{.title = "Twice", .author = "A. Example", .footer = "Ω µ ± · ≥", .blocks = {}};
    paper.blocks = {words(PaperBlock::Kind::heading, "Figures"),
                    figure,
                    words(PaperBlock::Kind::caution, "Mains kills."),
                    table_of(60)};
    const std::string first = pdf_of(paper);
    const std::time_t start = std::time(nullptr);
    while (std::time(nullptr) == start) {  // into another second: no clock may show
    }
    EXPECT_EQ(first, pdf_of(paper));
    EXPECT_THAT(facts_of(first), testing::ContainsRegex("CreationDate: .*2000"));
}

TEST(PaperPages, HostileTextIsOnlyText) {
    Paper paper;
    paper.blocks = {words(PaperBlock::Kind::paragraph, "<b>&amp;</b> \xff\xfe stays"),
                    words(PaperBlock::Kind::small, ""),
                    words(PaperBlock::Kind::caution, "")};
    const std::string text = text_of(pdf_of(paper));
    EXPECT_THAT(text, HasSubstr("<b>&amp;</b>"));
    EXPECT_THAT(text, HasSubstr("stays"));
}

TEST(PaperPages, EmptyPaperIsOneEmptyPage) {
    EXPECT_THAT(facts_of(pdf_of({})), HasSubstr("Pages:           1"));
}

TEST(PaperPlugin, MissingPluginSaysWhereItLookedAndWhatToDo) {
    setenv("ETCHBACK_LIB", "/nowhere/at/all", 1);
    const auto png = png_from_svg(drawing, 100);
    unsetenv("ETCHBACK_LIB");
    ASSERT_FALSE(png);
    EXPECT_THAT(png.errors().front().what, HasSubstr("/nowhere/at/all"));
    EXPECT_THAT(png.errors().front().todo, HasSubstr("ETCHBACK_LIB"));
}

TEST(PaperPlugin, AFileThatIsNoPluginIsAnErrorWithARemedy) {
    const Scratch scratch;
    const auto file = scratch.write("etchback_paper.so", "no library");
    setenv("ETCHBACK_LIB", file.parent_path().c_str(), 1);
    const auto pdf = pdf_from_svg(drawing);
    unsetenv("ETCHBACK_LIB");
    ASSERT_FALSE(pdf);
    EXPECT_THAT(pdf.errors().front().what, HasSubstr("cannot use"));
    EXPECT_THAT(pdf.errors().front().todo, HasSubstr("reinstall"));
}

}  // namespace
}  // namespace etchback::render
