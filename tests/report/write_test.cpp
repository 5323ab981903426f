// The four files of a report, and that the same dossier gives the same bytes.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cstdio>
#include <cstdlib>

#include "base/file.h"
#include "report/study_fixture.h"

namespace etchback::report {
namespace {

using testing::HasSubstr;

// pdftotext writes a plain space for one that does not break.
std::string with_plain_spaces(std::string text) {
    const std::string hard = "\u00a0";
    for (auto at = text.find(hard); at != std::string::npos; at = text.find(hard, at)) {
        text.replace(at, hard.size(), " ");
    }
    return text;
}

std::string text_of_pdf(const std::filesystem::path& pdf) {
    std::FILE* pipe = popen(("pdftotext -layout " + pdf.string() + " -").c_str(), "r");
    std::string text;
    char buffer[4096];
    while (const std::size_t got = std::fread(buffer, 1, sizeof buffer, pipe)) {
        text.append(buffer, got);
    }
    EXPECT_EQ(pclose(pipe), 0);
    return with_plain_spaces(text);
}

std::vector<std::string> bytes_of(const Study& study, const std::filesystem::path& folder) {
    const auto written = write_report(study, data(), "/nowhere", folder);
    EXPECT_TRUE(written) << base::to_string(written.errors().front());
    std::vector<std::string> all;
    for (const std::filesystem::path& file : written->files) {
        all.push_back(base::read_file(file));
    }
    return all;
}

TEST(ReportFiles, AreFourAndNothingElseIsLeftBehind) {
    const Scratch scratch;
    const std::filesystem::path folder = scratch.path() / "new" / "out";
    ASSERT_EQ(bytes_of(everything(), folder).size(), 4u);
    std::set<std::string> names;
    for (const auto& entry : std::filesystem::directory_iterator(folder)) {
        names.insert(entry.path().filename());
    }
    EXPECT_THAT(names,
                testing::ElementsAre("circuit.svg", "report.html", "report.json", "report.pdf"));
}

TEST(ReportFiles, SameDossierGivesTheSameBytes) {
    const Scratch scratch;
    const auto first = bytes_of(everything(), scratch.path() / "a");
    const auto second = bytes_of(everything(), scratch.path() / "b");
    EXPECT_TRUE(first == second);
}

TEST(ReportFiles, FailureLeavesTheOldReportAsItWas) {
    const Scratch scratch;
    const auto before = bytes_of(everything(), scratch.path());
    setenv("ETCHBACK_LIB", "/nowhere", 1);
    const auto written = write_report(study_of(hostile), data(), "/nowhere", scratch.path());
    unsetenv("ETCHBACK_LIB");
    ASSERT_FALSE(written);
    EXPECT_TRUE(base::read_file(scratch.path() / "report.html") == before.front());
}

TEST(ReportFiles, PdfTellsTheSameFactsAsThePage) {
    const Scratch scratch;
    const Study study = everything();
    bytes_of(study, scratch.path());
    const std::string text = text_of_pdf(scratch.path() / "report.pdf");
    for (const char* words : {"Workbench night light",
                              "Invented example, not a real item.",
                              "Before you touch anything",
                              "Mains kills.",
                              "The circuit",
                              "On the bench",
                              "How sure we are",
                              "CC-BY-4.0",
                              "page 1 of "}) {
        EXPECT_THAT(text, HasSubstr(words));
    }
    for (const circuit::Part& part : study.circuit.parts) {
        EXPECT_THAT(text, HasSubstr(part.name));
    }
    for (const findings::Finding& finding : study.findings) {
        EXPECT_THAT(text, HasSubstr(with_plain_spaces(finding.title).substr(0, 20)));
    }
}

TEST(ReportFiles, HostileDossierGivesAWholeReport) {
    const Scratch scratch;
    EXPECT_EQ(bytes_of(study_of(hostile), scratch.path()).size(), 4u);
    EXPECT_THAT(text_of_pdf(scratch.path() / "report.pdf"), HasSubstr("</script><b>R1&"));
}

}  // namespace
}  // namespace etchback::report
