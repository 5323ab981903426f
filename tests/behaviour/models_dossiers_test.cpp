// Whole dossiers made into networks.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>

#include "behaviour/models_stage.h"

namespace etchback::behaviour {
namespace {

using testing::Contains;
using testing::IsEmpty;

const Branch* branch(const Model& model, std::string_view name) {
    for (const Branch& each : model.network.branches()) {
        if (each.name == name) {
            return &each;
        }
    }
    return nullptr;
}

class EveryDossier : public testing::TestWithParam<const char*> {};

TEST_P(EveryDossier, BecomesANetworkWithoutFaults) {
    const auto dossier = test::read_dossier(GetParam());
    const auto made = test::try_model(dossier);
    ASSERT_TRUE(made) << test::all_of(made.errors());
    EXPECT_THAT(test::all_of(faults_of(made->network)), IsEmpty());
    EXPECT_FALSE(made->terminals.mains.empty());
    EXPECT_TRUE(made->terminals.mains_peak.has_value());
    EXPECT_FALSE(made->terminals.loads.empty());
    EXPECT_FALSE(made->notable.empty());
    for (const Assumed& each : made->assumed) {
        EXPECT_FALSE(each.source.empty()) << each.part << " " << each.parameter;
    }
    std::string list;
    for (const std::string& each : made->left_out) {
        list += each + "\n";
    }
    SCOPED_TRACE(list);
}

INSTANTIATE_TEST_SUITE_P(Examples,
                         EveryDossier,
                         testing::Values("examples/seedling-driver",
                                         "examples/henhouse-lamp",
                                         "examples/sewing-adapter",
                                         "tests/data/dossiers/caravan-dimmer",
                                         "tests/data/dossiers/stall-charger"),
                         [](const auto& test) {
                             std::string name;
                             for (const char* c = test.param; *c != '\0'; ++c) {
                                 if (std::isalpha(static_cast<unsigned char>(*c)) != 0) {
                                     name += *c;
                                 }
                             }
                             return name;
                         });

TEST(SeedlingDriver, HasTheValuesOfItsDossier) {
    const auto model = test::model(test::read_dossier("examples/seedling-driver"));
    ASSERT_NE(branch(model, "R9"), nullptr);
    EXPECT_DOUBLE_EQ(std::get<Conductance>(branch(model, "R9")->element).siemens, 1.0 / 1.5);
    EXPECT_DOUBLE_EQ(std::get<Capacitance>(branch(model, "C2")->element).farad, 220e-9);
    EXPECT_DOUBLE_EQ(std::get<Winding>(branch(model, "T1.leakage")->element).henry, 12e-6);
    EXPECT_DOUBLE_EQ(std::get<Winding>(branch(model, "T1.leakage")->element).ohm, 3.4);
    EXPECT_DOUBLE_EQ(std::get<Winding>(branch(model, "T1.magnetising")->element).henry, 1.4e-3);
    ASSERT_EQ(model.network.transformers().size(), 2u);
    EXPECT_DOUBLE_EQ(model.network.transformers()[0].ratio, 120.0 / 50.0);
    EXPECT_DOUBLE_EQ(model.network.transformers()[1].ratio, 120.0 / 24.0);
}

TEST(SeedlingDriver, IsWorkedByItsController) {
    const auto model = test::model(test::read_dossier("examples/seedling-driver"));
    EXPECT_NE(branch(model, "Q1.channel"), nullptr);
    EXPECT_EQ(branch(model, "R8"), nullptr) << "the gate resistor carries nothing";
    EXPECT_THAT(model.machines,
                Contains(testing::Pointee(testing::Property(&Machine::name, "U1"))));
}

// Whatever else is asked of a drive's parts and pins, their faults take the drive away.
TEST(SeedlingDriver, LosesItsDriveByEveryFaultOnTheWay) {
    const auto dossier = test::read_dossier("examples/seedling-driver");
    ModelOptions options;
    const auto fault = [](Fault::Kind kind, std::string part, std::string pin = "") {
        return Fault{kind, std::move(part), std::move(pin), ""};
    };
    options.dormant = {fault(Fault::Kind::open, "R8"),
                       fault(Fault::Kind::shorted, "R8"),
                       fault(Fault::Kind::open, "U1", "DRV"),
                       fault(Fault::Kind::open, "Q1", "gate")};
    const auto model = test::model(dossier, options);
    const auto drives = [&](std::size_t f) {
        const SwitchId id = model.dormant[f].id;
        const BranchId branch = model.network.switches()[static_cast<std::size_t>(id.index)];
        return model.network[branch].name == "Q1.drive" && !model.dormant[f].faulty;
    };
    EXPECT_TRUE(drives(0));
    EXPECT_FALSE(drives(1));
    EXPECT_TRUE(drives(2));
    EXPECT_TRUE(drives(3));
}

}  // namespace
}  // namespace etchback::behaviour
