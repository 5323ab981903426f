#include "circuit/reductions.h"

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <eigen3/Eigen/Dense>
#include <map>
#include <optional>
#include <random>
#include <set>

#include "circuit/build.h"

namespace etchback::circuit {
namespace {

using test::build;
using test::c;
using test::part;
using test::r;
using testing::ElementsAre;
using testing::IsEmpty;
using testing::SizeIs;

// Terminals, so that the ends of a network are ends.
dossier::Part terminals(const std::string& a, const std::string& b) {
    return part("J1", "connector", {{"1", a}, {"2", b}});
}

std::vector<std::string> names_of(const std::vector<Reduction>& all) {
    std::vector<std::string> names;
    for (const Reduction& each : all) {
        names.push_back(each.name);
    }
    return names;
}

TEST(Reductions, SeriesAddsResistances) {
    const Circuit circuit =
        build({terminals("A", "B"), r("R5", "470k", "A", "M"), r("R6", "470k", "M", "B")});
    const auto all = reductions(circuit);
    ASSERT_THAT(all, SizeIs(1));
    const Reduction& one = all[0];
    EXPECT_EQ(one.kind, Reduction::Kind::series);
    EXPECT_EQ(one.name, "R5+R6");
    EXPECT_EQ(one.family, "resistor");
    EXPECT_THAT(one.parts, ElementsAre("R5", "R6"));
    EXPECT_EQ(circuit[one.from].name, "A");
    EXPECT_EQ(circuit[one.to].name, "B");
    EXPECT_DOUBLE_EQ(one.value, 940e3);
    EXPECT_EQ(one.figure.id, "series.R5+R6");
    EXPECT_EQ(one.figure.title, "R5 and R6 in series");
    EXPECT_EQ(one.figure.formula, "R = R5 + R6");
    EXPECT_EQ(one.figure.worked, "R = 470\u00a0kΩ + 470\u00a0kΩ = 940\u00a0kΩ");
    EXPECT_EQ(one.figure.unit, base::Unit::ohm);
    EXPECT_THAT(one.figure.nets, ElementsAre("A", "B"));
    ASSERT_THAT(one.figure.evidence, SizeIs(2));
    EXPECT_EQ(one.figure.evidence[0].name, "R5");
    EXPECT_FALSE(one.figure.assumed);
}

TEST(Reductions, ParallelAddsConductances) {
    const Circuit circuit =
        build({terminals("A", "B"), r("R10", "10k", "B", "A"), r("R9", "15k", "A", "B")});
    const auto all = reductions(circuit);
    ASSERT_THAT(all, SizeIs(1));
    EXPECT_EQ(all[0].name, "R9||R10");
    EXPECT_NEAR(all[0].value, 6000.0, 1e-9);
    EXPECT_EQ(all[0].figure.formula, "R = 1/(1/R9 + 1/R10)");
    EXPECT_EQ(all[0].figure.worked, "R = 1/(1/15\u00a0kΩ + 1/10\u00a0kΩ) = 6\u00a0kΩ");
}

TEST(Reductions, CapacitorsGoTheOtherWayRoundAndInductorsLikeResistors) {
    const auto l = [](const std::string& name, const std::string& a, const std::string& b) {
        return part(name, "inductor", "1 mH", {{"1", a}, {"2", b}});
    };
    const auto all = reductions(build({terminals("A", "B"),
                                       c("C1", "100n", "A", "M"),
                                       c("C2", "100n", "M", "B"),
                                       test::electrolytic("C3", "A", "B"),
                                       test::electrolytic("C4", "A", "B"),
                                       l("L1", "A", "P"),
                                       l("L2", "P", "B")}));
    ASSERT_THAT(names_of(all), ElementsAre("C1+C2", "(C1+C2)||C3||C4", "L1+L2"));
    EXPECT_NEAR(all[0].value, 50e-9, 1e-18);
    EXPECT_EQ(all[0].figure.formula, "C = 1/(1/C1 + 1/C2)");
    EXPECT_NEAR(all[1].value, 20.05e-6, 1e-15);
    EXPECT_EQ(all[1].figure.formula, "C = (C1+C2) + C3 + C4");
    EXPECT_NEAR(all[2].value, 2e-3, 1e-12);
    EXPECT_EQ(all[2].unit, base::Unit::henry);
}

TEST(Reductions, SetsAreNestedInnermostFirst) {
    const auto all = reductions(build({terminals("A", "B"),
                                       r("R5", "1k", "A", "M"),
                                       r("R6", "2k", "M", "B"),
                                       r("R7", "2k", "B", "M"),
                                       r("R8", "8k", "A", "B")}));
    EXPECT_THAT(names_of(all), ElementsAre("R6||R7", "R5+(R6||R7)", "(R5+(R6||R7))||R8"));
    EXPECT_NEAR(all[2].value, 1600.0, 1e-9);
    EXPECT_EQ(all[1].figure.formula, "R = R5 + (R6||R7)");
    EXPECT_EQ(all[1].figure.worked, "R = 1\u00a0kΩ + 1\u00a0kΩ = 2\u00a0kΩ");
}

TEST(Reductions, AChainIsOneSetHoweverItIsOrdered) {
    const auto all = reductions(build({terminals("A", "B"),
                                       r("R3", "1k", "A", "X"),
                                       r("R1", "1k", "Y", "B"),
                                       r("R2", "1k", "Y", "X")}));
    EXPECT_THAT(names_of(all), ElementsAre("R1+R2+R3"));
}

TEST(Reductions, ATestPointDoesNotEndASeriesButAnyOtherPartDoes) {
    std::vector<dossier::Part> parts = {
        terminals("A", "B"), r("R1", "1k", "A", "M"), r("R2", "1k", "M", "B")};
    parts.push_back(part("TP1", "test point", {{"1", "M"}}));
    EXPECT_THAT(names_of(reductions(build(parts))), ElementsAre("R1+R2"));
    parts.push_back(part("U1", "controller", {{"FB", "M"}}));
    EXPECT_THAT(reductions(build(parts)), IsEmpty());
}

TEST(Reductions, PartsWithoutAUsableValueAreNotFolded) {
    const auto no_value = part("R2", "resistor", {{"1", "M"}, {"2", "B"}});
    EXPECT_THAT(reductions(build({terminals("A", "B"), r("R1", "1k", "A", "M"), no_value})),
                IsEmpty());
    EXPECT_THAT(
        reductions(build({terminals("A", "B"), r("R1", "1k", "A", "M"), r("R2", "0", "M", "B")})),
        IsEmpty());
    // A ferrite bead is an inductor by family, but its value is an impedance.
    const auto bead = [](const std::string& name, const std::string& a, const std::string& b) {
        return part(name, "ferrite bead", "600", {{"1", a}, {"2", b}});
    };
    EXPECT_THAT(
        reductions(build({terminals("A", "B"), bead("L1", "A", "M"), bead("L2", "M", "B")})),
        IsEmpty());
}

TEST(Reductions, RingsAndShortedPartsAreLeftAlone) {
    EXPECT_THAT(reductions(build(
                    {r("R1", "1k", "A", "B"), r("R2", "1k", "B", "C"), r("R3", "1k", "C", "A")})),
                IsEmpty());
    EXPECT_THAT(reductions(build({terminals("A", "A"),
                                  r("R1", "1k", "A", "B"),
                                  r("R2", "1k", "B", "C"),
                                  r("R3", "1k", "C", "A")})),
                IsEmpty());
    EXPECT_THAT(reductions(build({terminals("A", "B"), r("R1", "1k", "A", "A")})), IsEmpty());
}

TEST(Reductions, AssumedValuesMarkTheFigure) {
    dossier::Part r1 = r("R1", "1k", "A", "M");
    r1.known["value"] = dossier::Basis::assumed;
    const auto all = reductions(build({terminals("A", "B"), r1, r("R2", "1k", "M", "B")}));
    EXPECT_TRUE(all.at(0).figure.assumed);
    EXPECT_THAT(all.at(0).figure.evidence.at(0).detail, testing::HasSubstr("assumed"));
}

TEST(Reductions, NothingToFoldGivesNothing) {
    EXPECT_THAT(reductions(build(test::flyback())), IsEmpty());
    EXPECT_THAT(reductions(build({})), IsEmpty());
}

struct Resistor {
    std::string a, b;
    double ohm;
};

// The resistance between two nets by solving all node equations at once: an independent way.
double solved(const std::vector<Resistor>& network,
              const std::string& from,
              const std::string& to) {
    std::map<std::string, int> index;  // `to` is 0 V and has no equation
    for (const Resistor& each : network) {
        for (const std::string& net : {each.a, each.b}) {
            if (net != to) {
                index.emplace(net, static_cast<int>(index.size()));
            }
        }
    }
    const auto n = static_cast<Eigen::Index>(index.size());
    Eigen::MatrixXd g = Eigen::MatrixXd::Zero(n, n);
    for (const Resistor& each : network) {
        if (each.a == each.b) {
            continue;
        }
        for (const auto& [here, there] : {std::pair(each.a, each.b), std::pair(each.b, each.a)}) {
            if (here == to) {
                continue;
            }
            g(index.at(here), index.at(here)) += 1.0 / each.ohm;
            if (there != to) {
                g(index.at(here), index.at(there)) -= 1.0 / each.ohm;
            }
        }
    }
    Eigen::VectorXd current = Eigen::VectorXd::Zero(n);
    current(index.at(from)) = 1.0;
    return g.fullPivLu().solve(current)(index.at(from));
}

class SeriesParallel {
public:
    explicit SeriesParallel(unsigned seed) : random_(seed) {}

    // A random network between two nets.
    void grow(const std::string& a, const std::string& b, int depth) {
        const auto choice = depth == 0 ? 0 : random_() % 3;
        if (choice == 0) {
            network.push_back({a, b, 10.0 * static_cast<double>(1 + random_() % 1000)});
            return;
        }
        const int count = 2 + static_cast<int>(random_() % 2);
        std::string at = a;
        for (int i = 0; i < count; ++i) {
            if (choice == 1) {
                grow(a, b, depth - 1);
            } else {
                const std::string next = i + 1 == count ? b : "M" + std::to_string(++joints_);
                grow(at, next, depth - 1);
                at = next;
            }
        }
    }

    std::vector<Resistor> network;

private:
    std::mt19937 random_;
    int joints_ = 0;
};

std::vector<dossier::Part> parts_of(const std::vector<Resistor>& network) {
    std::vector<dossier::Part> parts = {terminals("A", "B")};
    for (std::size_t i = 0; i < network.size(); ++i) {
        parts.push_back(r("R" + std::to_string(i + 1),
                          fmt::format("{}", network[i].ohm),
                          network[i].a,
                          network[i].b));
    }
    return parts;
}

TEST(Reductions, RandomSeriesParallelNetworksComeDownToTheirSolvedResistance) {
    int folded = 0;
    for (unsigned seed = 0; seed < 200; ++seed) {
        SeriesParallel grown(seed);
        grown.grow("A", "B", 4);
        if (grown.network.size() < 2) {
            continue;
        }
        const auto all = reductions(build(parts_of(grown.network)));
        ASSERT_FALSE(all.empty());
        const Reduction& whole = all.back();
        EXPECT_EQ(whole.parts.size(), grown.network.size()) << seed;
        const double expected = solved(grown.network, "A", "B");
        EXPECT_NEAR(whole.value, expected, 1e-9 * expected) << seed;
        ++folded;
    }
    EXPECT_GT(folded, 100);
}

// Whatever the network, putting one resistor in the place of each outermost set changes nothing
// between the terminals.
TEST(Reductions, FoldingAnyRandomNetworkKeepsItsResistance) {
    std::mt19937 random(42);
    int folded = 0;
    for (int round = 0; round < 200; ++round) {
        std::vector<Resistor> network = {{"A", "N0", 100.0}, {"N0", "B", 220.0}};
        const int count = 3 + static_cast<int>(random() % 12);
        for (int i = 0; i < count; ++i) {
            const auto net = [&] {
                const auto pick = random() % 9;
                return pick == 7 ? std::string("A")
                                 : (pick == 8 ? std::string("B") : "N" + std::to_string(pick));
            };
            network.push_back({net(), net(), 10.0 * static_cast<double>(1 + random() % 1000)});
        }
        const Circuit circuit = build(parts_of(network));
        const auto all = reductions(circuit);
        std::map<std::string, const Reduction*> outermost;  // of each part: sets come inside out
        for (const Reduction& each : all) {
            for (const std::string& name : each.parts) {
                outermost[name] = &each;
            }
        }
        std::set<const Reduction*> sets;
        std::vector<Resistor> less;
        for (std::size_t i = 0; i < network.size(); ++i) {
            const auto it = outermost.find("R" + std::to_string(i + 1));
            if (it == outermost.end()) {
                less.push_back(network[i]);
            } else if (sets.insert(it->second).second) {
                const Reduction& set = *it->second;
                less.push_back({circuit[set.from].name, circuit[set.to].name, set.value});
            }
        }
        // Islands without a way to the terminals make no difference, but the equations singular.
        const double before = solved(network, "A", "B");
        const double after = solved(less, "A", "B");
        EXPECT_NEAR(after, before, 1e-6 * before) << round;
        folded += static_cast<int>(sets.size());
    }
    EXPECT_GT(folded, 100);
}

TEST(Reductions, TheOrderOfPartsDoesNotMatter) {
    std::mt19937 random(3);
    for (unsigned seed = 0; seed < 30; ++seed) {
        SeriesParallel grown(seed);
        grown.grow("A", "B", 4);
        std::vector<dossier::Part> parts = parts_of(grown.network);
        const auto expected = reductions(build(parts));
        std::shuffle(parts.begin(), parts.end(), random);
        const auto found = reductions(build(parts));
        ASSERT_EQ(names_of(found), names_of(expected));
        for (std::size_t i = 0; i < found.size(); ++i) {
            EXPECT_EQ(found[i].figure, expected[i].figure);
        }
    }
}

}  // namespace
}  // namespace etchback::circuit
