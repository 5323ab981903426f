// The page as text; tests/browser looks at it with a browser's eyes.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>
#include <regex>

#include "base/file.h"
#include "report/study_fixture.h"

namespace etchback::report {
namespace {

using testing::HasSubstr;
using testing::Not;

// What stands between two marks.
std::string between(const std::string& text, const std::string& from, const std::string& to) {
    const auto start = text.find(from);
    const auto end = text.find(to, start + from.size());
    if (start == std::string::npos || end == std::string::npos) {
        return "";
    }
    return text.substr(start + from.size(), end - start - from.size());
}

int count(const std::string& text, const std::string& word) {
    int found = 0;
    for (auto at = text.find(word); at != std::string::npos; at = text.find(word, at + 1)) {
        ++found;
    }
    return found;
}

TEST(ReportPage, SectionsStandInTheOrderOfImportance) {
    const std::string html = html_of(everything());
    std::size_t before = 0;
    for (const char* id : {"glance",
                           "findings",
                           "cautions",
                           "circuit",
                           "photos",
                           "parts",
                           "nets",
                           "domains",
                           "figures",
                           "bench",
                           "complaints",
                           "sureness",
                           "made"}) {
        const std::size_t at = html.find(" id=\"" + std::string(id) + "\"");
        ASSERT_NE(at, std::string::npos) << id;
        EXPECT_GT(at, before) << id;
        before = at;
    }
}

TEST(ReportPage, TellsEveryPartNetFindingAndFigure) {
    const Study study = everything();
    const std::string html = html_of(study);
    for (const circuit::Part& part : study.circuit.parts) {
        EXPECT_THAT(html,
                    HasSubstr("<tr id=\"row-part-" + part.name + "\" data-part=\"" + part.name));
    }
    EXPECT_EQ(count(html, "<tr id=\"row-net-"), static_cast<int>(study.circuit.nets.size()));
    EXPECT_EQ(count(html, "<article class=\"finding "), static_cast<int>(study.findings.size()));
    EXPECT_EQ(count(html, "<details class=\"figure\" id="), static_cast<int>(study.figures.size()));
    EXPECT_THAT(html, HasSubstr("empty place"));  // R9
    EXPECT_THAT(html, HasSubstr("value may be 47k: the 4 at the end may be a 3"));
    EXPECT_THAT(html, HasSubstr("primary winding"));
    EXPECT_THAT(html, HasSubstr("Typical application, 12 V adaptor"));
    EXPECT_THAT(html, HasSubstr("Invented example, not a real item"));
}

TEST(ReportPage, IdsAreUnique) {
    const std::string html = html_of(everything());
    std::set<std::string> seen;
    const std::regex id(R"rx(\sid="([^"]*)")rx");
    for (auto at = std::sregex_iterator(html.begin(), html.end(), id); at != std::sregex_iterator();
         ++at) {
        EXPECT_TRUE(seen.insert((*at)[1]).second) << (*at)[1];
    }
    EXPECT_GT(seen.size(), 40u);
}

TEST(ReportPage, EveryLinkWithinThePageLeadsSomewhere) {
    const Study study = everything();
    const std::string html = html_of(study);
    const std::regex link(R"rx(<a[^>]*href="#([^"]*)"([^>]*)>)rx");
    int links = 0;
    for (auto at = std::sregex_iterator(html.begin(), html.end(), link);
         at != std::sregex_iterator();
         ++at) {
        const std::string goal = (*at)[1];
        ++links;
        // Links to parts and nets are followed by the script, and without it by the drawing's ids.
        if ((*at)[0].str().find("data-part=") != std::string::npos ||
            (*at)[0].str().find("data-net=") != std::string::npos) {
            continue;
        }
        EXPECT_THAT(html, HasSubstr(" id=\"" + goal + "\"")) << (*at)[0];
    }
    EXPECT_GT(links, 50);
}

TEST(ReportPage, AsksNothingOfTheNetwork) {
    const std::string html = html_of(everything());
    const std::string policy = between(html, "Content-Security-Policy\" content=\"", "\"");
    EXPECT_THAT(policy, HasSubstr("default-src 'none'"));
    EXPECT_THAT(policy, testing::ContainsRegex("script-src 'sha256-[A-Za-z0-9+/=]{44}'"));
    EXPECT_THAT(policy, Not(HasSubstr("http")));
    for (const char* forbidden :
         {" src=\"http", "@import", "url(http", "<link rel=\"stylesheet", "<script src"}) {
        EXPECT_THAT(html, Not(HasSubstr(forbidden)));
    }
}

TEST(ReportPage, HostileTextsStayTexts) {
    const Study study = study_of(hostile);
    const std::string html = html_of(study);
    // Two scripts: the facts and the program. All else that looks like one is escaped.
    EXPECT_EQ(count(html, "<script"), 2);
    EXPECT_EQ(count(html, "</script"), 2);
    EXPECT_THAT(html, Not(HasSubstr("<img src=x")));
    EXPECT_THAT(html, Not(HasSubstr("<b>R1")));
    EXPECT_THAT(html, Not(HasSubstr("<u>")));
    EXPECT_THAT(html, HasSubstr("&lt;/script&gt;&lt;b&gt;R1&amp;"));
    EXPECT_THAT(html, HasSubstr("{{{css}}}"));  // a text with braces is not a template
}

TEST(ReportPage, FactsForTheScriptsAreJsonThatCannotLeaveItsElement) {
    const std::string html = html_of(study_of(hostile));
    const std::string facts = between(html, "id=\"facts\">", "</script>");
    for (const char* harmful : {"<", ">", "&"}) {
        EXPECT_THAT(facts, Not(HasSubstr(harmful)));
    }
    const auto json = nlohmann::json::parse(facts);
    EXPECT_EQ(json["parts"][0][0], "</script><b>R1&");
}

TEST(ReportPage, PhotosAreInlinedAndFilesOutsideAreNot) {
    const Scratch scratch;
    std::filesystem::create_directories(scratch.path() / "dossier" / "photos");
    base::write_file_atomically(scratch.path() / "dossier/photos/top.jpg",
                                "\xff\xd8\xff\xe0 picture");
    base::write_file_atomically(scratch.path() / "secret.jpg", "\xff\xd8\xff\xe0 secret");
    base::write_file_atomically(scratch.path() / "dossier/text.jpg", "no picture");
    std::filesystem::create_symlink(scratch.path() / "secret.jpg",
                                    scratch.path() / "dossier/link.jpg");
    const Study study = study_of(R"toml(
format = 1
[item]
name = "Photographed"
[[photos]]
file = "photos/top.jpg"
side = "top"
[[photos]]
file = "link.jpg"
[[photos]]
file = "text.jpg"
[[photos]]
file = "gone.jpg"
)toml");
    const std::string html = html_of(study, scratch.path() / "dossier");
    EXPECT_EQ(count(html, "src=\"data:image/jpeg;base64,"), 1);
    EXPECT_THAT(html, HasSubstr("data:image/jpeg;base64,/9j/4CBwaWN0dXJl"));
    EXPECT_EQ(count(html, "lies outside of the dossier"), 1);
    EXPECT_THAT(html, HasSubstr("text.jpg is no JPEG, PNG or WebP picture"));
    EXPECT_THAT(html, HasSubstr("gone.jpg is named in the dossier but not there"));
}

TEST(ReportPage, AnAlmostEmptyDossierStillGivesAPage) {
    const std::string html = html_of(study_of("format = 1\n[item]\nname = \"Nothing yet\"\n"));
    EXPECT_THAT(html,
                HasSubstr("The dossier holds no supply, no claims, no readings and no photos"));
    EXPECT_THAT(html, HasSubstr("No net was traced"));
    EXPECT_THAT(html, HasSubstr("No licence is stated"));
}

TEST(ReportPage, BrokenTemplateIsAnErrorWithItsPlace) {
    const Scratch scratch;
    std::filesystem::copy(source_folder() / "data" / "report",
                          scratch.path() / "report",
                          std::filesystem::copy_options::recursive);
    base::write_file_atomically(scratch.path() / "report/report.mustache",
                                "{{#open}} never closed");
    Data broken = data();
    broken.folder = scratch.path();
    const auto html = to_html(everything(), broken, "/nowhere");
    ASSERT_FALSE(html);
    EXPECT_THAT(html.errors().front().place.file, HasSubstr("report.mustache"));
}

}  // namespace
}  // namespace etchback::report
