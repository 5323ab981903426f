// Five hundred generated circuits: whatever they do, energy and charge must balance.
#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "published/behaviour_kit.h"

namespace etchback::behaviour::test {
namespace {

// Draws circuits that a person might build: every node has a resistive way to the reference, every
// coil and source some resistance, every switch a leak. The distributions are spelt out, because
// those of the standard library differ between libraries. Edges of pulses take 10 microseconds or
// more: see docs/engine-proof.md for faster ones.
class Generator {
public:
    explicit Generator(std::uint32_t seed) : random_(seed) {}

    Bench circuit() {
        const int nodes = 3 + pick(18);
        names_ = {"0"};
        // A tree of resistors, resistive coils and resistive supplies reaches every node.
        for (int k = 1; k < nodes; ++k) {
            const std::string name = "n" + std::to_string(k);
            reach(name, any());
            names_.push_back(name);
        }
        supply("0", names_[1 + static_cast<std::size_t>(pick(nodes - 1))]);
        const int more = nodes + pick(nodes + 4);
        for (int k = 0; k < more; ++k) {
            extra();
        }
        return std::move(bench_);
    }

private:
    double share() { return static_cast<double>(random_()) / 4294967296.0; }
    int pick(int below) { return static_cast<int>(share() * below); }
    double between(double low, double high) { return low * std::pow(high / low, share()); }
    std::string any() {
        return names_[static_cast<std::size_t>(pick(static_cast<int>(names_.size())))];
    }
    std::string inner() { return "m" + std::to_string(++inner_); }

    void reach(const std::string& name, const std::string& from) {
        switch (pick(4)) {
            case 0:
                bench_.coil(from, name, between(1e-6, 0.1), 0.0, between(0.1, 50.0));
                bench_.resistor(name, "0", between(1e3, 1e6));
                break;
            case 1:
                supply(from, name);
                break;
            default:
                bench_.resistor(from, name, between(1.0, 1e5));
        }
    }

    void supply(const std::string& from, const std::string& to) {
        const std::string source = inner();
        bench_.resistor(source, to, between(0.5, 1e3));
        switch (pick(4)) {
            case 0:
                bench_.battery(source, from, between(1.0, 400.0));
                break;
            case 1:
                bench_.sine(source, from, between(1.0, 400.0), between(40.0, 2e4));
                break;
            case 2:
                bench_.source(source,
                              from,
                              pulse(0.0,
                                    between(1.0, 50.0),
                                    between(1e-6, 1e-3),
                                    between(1e-5, 1e-4),
                                    between(1e-5, 1e-4),
                                    between(1e-5, 1e-4),
                                    between(1.5e-3, 3e-3)));
                break;
            default:
                bench_.current(from, source, between(1e-3, 1.0));
                bench_.resistor(source, from, between(10.0, 1e3));
        }
    }

    void extra() {
        const std::string a = any();
        std::string b = any();
        if (a == b) {
            b = a == "0" ? names_[1] : "0";
        }
        switch (pick(7)) {
            case 0:
                bench_.resistor(a, b, between(1.0, 1e5));
                break;
            case 1:
            case 2:
                bench_.capacitor(a, b, between(1e-9, 1e-4), between(0.1, 20.0) - 10.0);
                break;
            case 3: {
                const std::string middle = inner();
                bench_.coil(a, middle, between(1e-6, 0.1), 0.0, between(0.1, 50.0));
                bench_.resistor(middle, b, between(1.0, 1e3));
                break;
            }
            case 4:
            case 5:
                bench_.diode(
                    a,
                    b,
                    between(0.2, 3.0),
                    {.on_siemens = between(0.1, 100.0), .off_siemens = 1e-9, .scale_v = 1.0});
                break;
            default: {
                const SwitchId gate = bench_.contact(
                    a, b, {.on_siemens = between(0.1, 100.0), .off_siemens = 1e-9, .scale_v = 1.0});
                const double period = between(2e-5, 2e-3);
                bench_.machine<ida::FixedDuty>(
                    gate,
                    ida::FixedDuty::Numbers{.period_s = period,
                                            .on_s = period * (0.1 + 0.8 * share()),
                                            .delay_s = period * share()});
            }
        }
    }

    std::mt19937 random_;
    Bench bench_;
    std::vector<std::string> names_;
    int inner_ = 0;
};

TEST(GeneratedCircuits, FiveHundredBalanceTheirEnergyAndCharge) {
    double worst_residual = 0.0, worst_kirchhoff = 0.0;
    int moved = 0;
    for (std::uint32_t seed = 1; seed <= 500; ++seed) {
        SCOPED_TRACE("seed " + std::to_string(seed));
        Bench bench = Generator(seed).circuit();
        ASSERT_TRUE(faults_of(bench.network).empty()) << faults_of(bench.network).front().what;
        Simulation simulation = bench.simulate();
        simulation.measure({});
        run_to(simulation, 5e-3);
        ASSERT_NEAR(simulation.now_s(), 5e-3, 1e-12);
        const Ledger ledger = simulation.ledger();
        EXPECT_LT(ledger.residual(), 1e-3);
        EXPECT_LT(ledger.worst_kirchhoff_a, 1e-4) << ledger.worst_node;
        worst_residual = std::max(worst_residual, ledger.residual());
        worst_kirchhoff = std::max(worst_kirchhoff, ledger.worst_kirchhoff_a);
        moved += ledger.throughput_j > 0.0 ? 1 : 0;
    }
    EXPECT_EQ(moved, 500);  // a ledger of nothing balances too
    RecordProperty("worst_residual", std::to_string(worst_residual));
    RecordProperty("worst_kirchhoff_a", std::to_string(worst_kirchhoff));
}

}  // namespace
}  // namespace etchback::behaviour::test
