#include "behaviour/network.h"

#include <gtest/gtest.h>

#include <cmath>

namespace etchback::behaviour {
namespace {

TEST(PiecewiseLinear, IsContinuousAcrossItsCorners) {
    const PiecewiseLinear f{{-1.0, 0.5, 2.0}, {3.0, 0.0, 2.0, -1.0}, 4.0};
    EXPECT_DOUBLE_EQ(f(-2.0), 1.0);
    EXPECT_DOUBLE_EQ(f(-1.0), 4.0);
    EXPECT_DOUBLE_EQ(f(0.5), 4.0);
    EXPECT_DOUBLE_EQ(f(1.5), 6.0);
    EXPECT_DOUBLE_EQ(f(2.0), 7.0);
    EXPECT_DOUBLE_EQ(f(4.0), 5.0);
}

TEST(Network, NamesTheNegativeValue) {
    Network n;
    n.add("R1", n.node("a"), reference, Conductance{-1.0});
    const auto errors = faults_of(n);
    ASSERT_EQ(errors.size(), 1u);
    EXPECT_NE(errors[0].what.find("R1"), std::string::npos);
}

TEST(Network, NamesTheSourceThatClosesALoop) {
    Network n;
    const NodeId a = n.node("a");
    n.add("V1", a, reference, VoltageSource{Constant{5.0}});
    n.add("V2", a, reference, VoltageSource{Constant{6.0}});
    const auto errors = faults_of(n);
    ASSERT_EQ(errors.size(), 1u);
    EXPECT_NE(errors[0].what.find("V2 closes a loop"), std::string::npos);
}

TEST(Network, RefusesACouplingAboveOne) {
    Network n;
    const BranchId l1 = n.add("L1", n.node("a"), reference, Winding{1e-3});
    const BranchId l2 = n.add("L2", n.node("b"), reference, Winding{1e-3});
    n.couple(l1, l2, 1e-3);
    EXPECT_EQ(faults_of(n).size(), 1u);
}

TEST(Network, RefusesATableThatRunsBackwards) {
    Network n;
    n.add("V1", n.node("a"), reference, VoltageSource{Table{{0.0, 2.0, 1.0}, {0, 1, 2}, {}}});
    EXPECT_EQ(faults_of(n).size(), 1u);
}

TEST(Network, RefusesAProbeOnNoBranch) {
    Network n;
    n.probe_current("i", BranchId{3});
    EXPECT_EQ(faults_of(n).size(), 1u);
}

TEST(Network, HasNothingToSayAboutASoundOne) {
    Network n;
    const NodeId a = n.node("a"), b = n.node("b");
    n.add("V1", a, reference, VoltageSource{pulse(0, 5, 1e-3, 1e-9, 1e-3, 1e-9, 4e-3)});
    n.add("R1", a, b, Conductance{1e-3});
    n.add("C1", b, reference, Capacitance{1e-6, 0.0});
    n.probe_voltage("out", b);
    EXPECT_TRUE(faults_of(n).empty());
}

}  // namespace
}  // namespace etchback::behaviour
