// `etchback compare`: the list, its JSON, its picture, and what it says where nothing can be
// compared.
#include "cli/campaigns.h"

namespace etchback::cli {
namespace {

using testing::HasSubstr;

const std::string kDriver = ETCHBACK_SOURCE_DIR "/examples/seedling-driver";
const std::string kLamp = ETCHBACK_SOURCE_DIR "/examples/henhouse-lamp";

class Compare : public Campaign {};

TEST_F(Compare, ListsWhatDepartsFromTheReferenceAndWhatItMeans) {
    const CampaignRan ran = etchback({"compare", kDriver});
    ASSERT_EQ(ran.status, done) << ran.err;
    EXPECT_THAT(ran.out, HasSubstr("the places R10 and R11 are empty"));
    EXPECT_THAT(ran.out, HasSubstr("so a lower power factor"));
}

TEST_F(Compare, FindsNoDifferenceBetweenADossierAndItself) {
    const CampaignRan ran = etchback({"compare", kLamp, kLamp});
    ASSERT_EQ(ran.status, done) << ran.err;
    EXPECT_THAT(ran.out, HasSubstr("No difference"));
}

TEST_F(Compare, WithoutAReferenceSaysWhereToWriteOne) {
    const CampaignRan ran = etchback({"compare", kLamp});
    EXPECT_EQ(ran.status, not_in_order);
    EXPECT_THAT(ran.err, HasSubstr("[reference]"));
}

TEST_F(Compare, PrintsItsJsonAsDocumented) {
    const CampaignRan ran = etchback({"compare", kDriver, "--json"});
    ASSERT_EQ(ran.status, done) << ran.err;
    expect_documented(ran.out, "compare", {"compare", "difference", "matched part", "matched net"});
}

TEST_F(Compare, DrawsBothWithEachDifferenceMarkedByShapeAndNumber) {
    const CampaignRan ran = etchback({"compare", kDriver, "--svg", path("both.svg")});
    ASSERT_EQ(ran.status, done) << ran.err;
    const std::string svg = base::read_file(path("both.svg"));
    EXPECT_THAT(svg, HasSubstr("stroke-dasharray=\"6 4\""));
    EXPECT_THAT(svg, HasSubstr("id=\"reference-part-R4\""));
    EXPECT_THAT(svg, HasSubstr(">13</text>"));
    EXPECT_EQ(etchback({"compare", kDriver, "--svg", path("both.bmp")}).status, wrong_usage);
}

}  // namespace
}  // namespace etchback::cli
