// The graph, its domains and its complaints on whole dossiers as people write them.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>
#include <sstream>

#include "circuit/build.h"
#include "circuit/domains.h"
#include "circuit/reductions.h"
#include "circuit/sanity.h"
#include "dossier/read.h"
#include "dossier/tables.h"

namespace etchback::circuit {
namespace {

using testing::Contains;
using testing::ElementsAre;
using testing::IsEmpty;

std::string content(const std::filesystem::path& file) {
    std::ifstream in(file);
    std::stringstream text;
    text << in.rdbuf();
    return text.str();
}

dossier::Dossier everything() {
    const std::filesystem::path file = ETCHBACK_SOURCE_DIR "/docs/everything.toml";
    const auto read = dossier::read(content(file), "everything.toml", test::catalogue());
    if (!read) {
        throw std::runtime_error(base::to_string(read.errors().front()));
    }
    return *read;
}

std::vector<std::string> certain(const std::vector<Complaint>& all) {
    std::vector<std::string> out;
    for (const Complaint& each : all) {
        if (!each.doubtful) {
            out.push_back(base::to_string(each.error));
        }
    }
    return out;
}

TEST(WholeDossiers, TheExampleOfEverythingIsSound) {
    const dossier::Dossier dossier = everything();
    const Circuit circuit = circuit::build(dossier, test::catalogue());
    EXPECT_THAT(certain(complaints(circuit, dossier)), IsEmpty());
    EXPECT_EQ(circuit.net("PGND"), circuit.net("HV-"));
    const Domains found = domains(circuit);
    ASSERT_EQ(found.domains.size(), 2u);
    EXPECT_EQ(circuit[found.domains[0].reference].name, "HV-");
    EXPECT_EQ(circuit[found.domains[1].reference].name, "OUT-");
    std::vector<std::string> bridges;
    for (const Bridge& bridge : found.bridges) {
        bridges.push_back(circuit[bridge.part].name);
    }
    EXPECT_THAT(bridges, ElementsAre("C5", "T1", "U2"));
}

TEST(WholeDossiers, ComplaintsPointIntoTheFile) {
    std::string text = content(ETCHBACK_SOURCE_DIR "/docs/everything.toml");
    const std::string right = "pins = { 1 = \"CS\", 2 = \"HV-\" }";
    const std::size_t at = text.find(right);
    ASSERT_NE(at, std::string::npos);
    text.replace(at, right.size(), "pins = { 1 = \"CS\", 2 = \"HVx\" }");
    const auto line =
        1 + std::count(text.begin(), text.begin() + static_cast<std::ptrdiff_t>(at), '\n');
    const auto read = dossier::read(text, "everything.toml", test::catalogue());
    ASSERT_TRUE(read);
    const auto all = complaints(circuit::build(*read, test::catalogue()), *read);
    std::vector<Complaint> sure;
    std::copy_if(all.begin(), all.end(), std::back_inserter(sure), [](const Complaint& c) {
        return !c.doubtful;
    });
    ASSERT_EQ(sure.size(), 1u);
    EXPECT_EQ(sure[0].kind, ComplaintKind::net_with_one_pin);
    EXPECT_EQ(sure[0].error.place.line, line);
    EXPECT_EQ(sure[0].error.place.column, 24) << "of the net's name";
}

TEST(WholeDossiers, ExamplesAndTheirCleanTwinsAreSoundAndOneSupplyEach) {
    int seen = 0;
    for (const char* folder : {"/examples", "/tests/data/clean"}) {
        const std::filesystem::path root = ETCHBACK_SOURCE_DIR + std::string(folder);
        if (!std::filesystem::is_directory(root)) {
            continue;
        }
        for (const auto& entry : std::filesystem::directory_iterator(root)) {
            if (!std::filesystem::exists(entry.path() / "dossier.toml")) {
                continue;
            }
            const auto read = dossier::read_folder(entry.path(), test::catalogue());
            ASSERT_TRUE(read) << base::to_string(read.errors().front());
            const Circuit circuit = circuit::build(*read, test::catalogue());
            EXPECT_THAT(certain(complaints(circuit, *read)), IsEmpty()) << entry.path();
            const Domains found = domains(circuit);
            ASSERT_FALSE(found.domains.empty());
            EXPECT_EQ(found.domains[0].nature, Domain::Nature::mains) << entry.path();
            for (const Domain& domain : found.domains) {
                EXPECT_TRUE(domain.reference.known()) << entry.path() << " " << domain.name;
            }
            const bool isolated = entry.path().filename() != "henhouse-lamp";
            EXPECT_EQ(found.domains.size(), isolated ? 2u : 1u) << entry.path();
            ++seen;
        }
    }
    EXPECT_GT(seen, 0);
}

}  // namespace
}  // namespace etchback::circuit
