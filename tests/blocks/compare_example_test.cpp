// Against its reference circuit, the example shows the departures that its truth lists.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <toml++/toml.h>

#include "blocks/compare_stage.h"

namespace etchback::blocks {
namespace {

using Line = std::string;  // "missing R4,R5 | "

std::string joined(const std::vector<std::string>& names) {
    std::string out;
    for (const std::string& name : names) {
        out += (out.empty() ? "" : ",") + name;
    }
    return out;
}

std::vector<std::string> names(const circuit::Circuit& circuit,
                               const std::vector<circuit::PartId>& parts) {
    std::vector<std::string> out;
    for (const circuit::PartId part : parts) {
        out.push_back(circuit[part].name);
    }
    std::sort(out.begin(), out.end(), base::natural_less);
    return out;
}

std::vector<Line> departures_in_truth(const std::string& example) {
    const toml::table truth =
        toml::parse_file(ETCHBACK_SOURCE_DIR "/examples/" + example + "/truth.toml");
    std::vector<Line> lines;
    for (const auto& node : *truth["departure"].as_array()) {
        const toml::table& row = *node.as_table();
        const auto list = [&](const char* key) {
            std::vector<std::string> out;
            for (const auto& name : *row[key].as_array()) {
                out.push_back(*name.value<std::string>());
            }
            std::sort(out.begin(), out.end(), base::natural_less);
            return out;
        };
        lines.push_back(*row["kind"].value<std::string>() + " " + joined(list("reference")) +
                        " | " + joined(list("board")));
    }
    std::sort(lines.begin(), lines.end());
    return lines;
}

class SeedlingDriver : public testing::Test {
protected:
    dossier::Dossier dossier_ = test::example("seedling-driver");
    circuit::Circuit found_ = circuit::build(dossier_, test::catalogue());
    circuit::Circuit reference_ = circuit::build(dossier_.reference->parts, {}, test::catalogue());
    Comparison comparison_ = [this] {
        Comparison comparison = compare(found_, reference_);
        name_empty_places(comparison, found_, reference_, dossier_.parts, test::catalogue());
        return comparison;
    }();

    std::string all_words() const {
        std::string out;
        for (const Difference& difference : comparison_.differences) {
            out += std::string(name_of(difference.kind)) + ": " + difference.words + "\n";
        }
        return out;
    }
};

TEST_F(SeedlingDriver, ShowsTheDeparturesOfItsTruthAndNoOther) {
    std::vector<Line> lines;
    for (const Difference& difference : comparison_.differences) {
        std::vector<std::string> board = names(found_, difference.found);
        board.insert(board.end(), difference.empty_places.begin(), difference.empty_places.end());
        std::string kind(name_of(difference.kind));
        if (difference.kind == DifferenceKind::value || difference.kind == DifferenceKind::rating) {
            kind = "changed";
        }
        lines.push_back(kind + " " + joined(names(reference_, difference.reference)) + " | " +
                        joined(board));
    }
    std::sort(lines.begin(), lines.end());
    EXPECT_EQ(lines, departures_in_truth("seedling-driver")) << all_words();
}

TEST_F(SeedlingDriver, TellsThatThePinOfTheMissingDividerLiesOnTheReturn) {
    EXPECT_THAT(all_words(), testing::HasSubstr("and U1.DET is on HV-"));
    EXPECT_THAT(all_words(), testing::HasSubstr("the places R10 and R11 are empty"));
}

TEST_F(SeedlingDriver, IsLikeItself) {
    const Comparison same = compare(found_, found_);
    EXPECT_THAT(same.differences, testing::IsEmpty());
    EXPECT_TRUE(same.proven());
    EXPECT_EQ(same.parts.size(), found_.parts.size());
    EXPECT_EQ(same.nets.size(), found_.nets.size());
}

TEST(Compare, TakesCircuitsWithoutAnyPart) {
    const Comparison nothing = compare({}, {});
    EXPECT_THAT(nothing.differences, testing::IsEmpty());
    EXPECT_TRUE(nothing.proven());
}

}  // namespace
}  // namespace etchback::blocks
