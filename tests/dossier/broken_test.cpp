// The dossiers in tests/data/broken have one fault each. What must be said of it stands in lines
// "# expect: LINE:COLUMN: what; what to do" at the top of the file, or where the file cannot begin
// with a comment, in a file NAME.expect beside it.
#include <algorithm>
#include <sstream>

#include "base/file.h"
#include "dossier/fixture.h"

namespace etchback::dossier {
namespace {

std::filesystem::path folder() {
    return source_dir() / "tests" / "data" / "broken";
}

std::vector<std::filesystem::path> broken_files() {
    std::vector<std::filesystem::path> files;
    for (const auto& entry : std::filesystem::directory_iterator(folder())) {
        if (entry.path().extension() == ".toml") {
            files.push_back(entry.path());
        }
    }
    std::ranges::sort(files);
    return files;
}

std::vector<std::string> expectations(const std::filesystem::path& file, const std::string& text) {
    constexpr std::string_view mark = "# expect: ";
    auto beside = file;
    beside.replace_extension(".expect");
    const bool has_sidecar = std::filesystem::exists(beside);
    std::istringstream lines(has_sidecar ? base::read_file(beside) : text);
    std::vector<std::string> expected;
    for (std::string line; std::getline(lines, line);) {
        if (has_sidecar) {
            expected.push_back(line);
        } else if (line.starts_with(mark)) {
            expected.push_back(line.substr(mark.size()));
        } else {
            break;
        }
    }
    return expected;
}

class BrokenDossier : public testing::TestWithParam<std::filesystem::path> {};

TEST_P(BrokenDossier, GetsTheRightPlaceAndAHelpfulRemedy) {
    const std::string text = base::read_file(GetParam());
    const std::vector<std::string> expected = expectations(GetParam(), text);
    ASSERT_FALSE(expected.empty()) << "the file says nothing of what to expect";
    const auto dossier = read(text, "", catalogue());
    ASSERT_FALSE(dossier) << "no error";
    std::vector<std::string> said;
    for (const base::Error& error : dossier.errors()) {
        EXPECT_FALSE(error.todo.empty());
        EXPECT_GT(error.place.line, 0);
        EXPECT_GT(error.place.column, 0);
        const std::string line = base::to_string(error);
        said.push_back(line.substr(std::string_view("line ").size()));
    }
    EXPECT_EQ(said, expected);
}

INSTANTIATE_TEST_SUITE_P(
    Files, BrokenDossier, testing::ValuesIn(broken_files()), [](const auto& one) {
        std::string name;
        bool capital = true;
        for (const char c : one.param.stem().string()) {
            if (c == '-') {
                capital = true;
            } else {
                name += capital && c >= 'a' ? static_cast<char>(c - 'a' + 'A') : c;
                capital = false;
            }
        }
        return name;
    });

TEST(BrokenDossiers, AreFortyOrMore) {
    EXPECT_GE(broken_files().size(), 40U);
}

// A line for the reader of a failure: the fault, not the file, is what the error speaks of.
TEST(BrokenDossiers, FiveFaultsGiveFiveErrorsInOneRun) {
    const auto errors = errors_of(base::read_file(folder() / "five-faults.toml"));
    ASSERT_EQ(errors.size(), 5U);
    EXPECT_TRUE(
        std::ranges::is_sorted(errors, {}, [](const base::Error& e) { return e.place.line; }));
}

TEST(BrokenDossiers, NoMessageIsLongerThanAPersonReads) {
    for (const auto& file : broken_files()) {
        for (const base::Error& error : errors_of(base::read_file(file))) {
            EXPECT_LT(base::to_string(error).size(), 700U) << file;
        }
    }
}

}  // namespace
}  // namespace etchback::dossier
