// Whatever somebody draws, however wrong, the rules must come back with whole sentences: the
// examples rewired, stripped and devalued at random.
#include <random>

#include "findings_of.h"

namespace etchback::test {
namespace {

class Rewiring : public ::testing::TestWithParam<const char*> {
protected:
    Rewiring() {
        auto result = dossier::read_folder(
            std::filesystem::path(ETCHBACK_SOURCE_DIR) / "examples" / GetParam(), catalogue());
        if (!result) {
            throw std::runtime_error(base::to_string(result.errors().front()));
        }
        sound_ = *std::move(result);
    }

    unsigned pick(std::size_t below) { return static_cast<unsigned>(random_() % below); }

    dossier::Part& any_part(dossier::Dossier& d) { return d.parts[pick(d.parts.size())]; }

    // A few changes of the kinds that a tired person makes, and some that nobody would.
    dossier::Dossier broken(unsigned seed) {
        random_.seed(seed);
        dossier::Dossier d = sound_;
        const unsigned changes = 1 + pick(12);
        for (unsigned i = 0; i < changes; ++i) {
            dossier::Part& part = any_part(d);
            dossier::Part& other = any_part(d);
            switch (pick(8)) {
                case 0:
                case 1:
                case 2:
                    if (!part.pins.empty() && !other.pins.empty()) {
                        part.pins[pick(part.pins.size())].net =
                            other.pins[pick(other.pins.size())].net;
                    }
                    break;
                case 3:
                    part.value.reset();
                    break;
                case 4:
                    part.fitted = false;
                    break;
                case 5:
                    part.kind = other.kind;
                    break;
                case 6:
                    if (part.value) {
                        part.value->value = base::Quantity::of(0.0, part.value->value.unit);
                    }
                    break;
                default:
                    part.windings.clear();
                    part.thresholds.clear();
                    part.touchable = !part.touchable;
            }
        }
        return d;
    }

    std::mt19937 random_;
    dossier::Dossier sound_;
};

TEST_P(Rewiring, NeverBreaksFiguresOrFindings) {
    for (unsigned seed = 0; seed < 150; ++seed) {
        const Derived d(broken(seed));
        for (const auto& v : d.voltages.known) {
            EXPECT_TRUE(std::isfinite(v.working_v_peak)) << seed << " " << v.figure.id;
            EXPECT_GE(v.working_v_peak, 0.0) << seed << " " << v.figure.id;
            EXPECT_NE(v.from, v.to) << seed;
        }
        for (const auto& f : d.figures) {
            EXPECT_TRUE(std::isfinite(f.value)) << seed << " " << f.id << " " << f.worked;
        }
        std::vector<std::string> ids;
        for (const auto& f : findings_of(d)) {
            EXPECT_FALSE(f.title.empty() || f.text.empty()) << seed << " " << f.id;
            EXPECT_EQ(f.title.find('{'), std::string::npos) << seed << " " << f.title;
            ids.push_back(f.id);
        }
        std::sort(ids.begin(), ids.end());
        EXPECT_EQ(std::adjacent_find(ids.begin(), ids.end()), ids.end()) << seed;
    }
}

INSTANTIATE_TEST_SUITE_P(All,
                         Rewiring,
                         ::testing::Values("henhouse-lamp", "sewing-adapter", "seedling-driver"),
                         [](const auto& example) {
                             std::string name = example.param;
                             std::erase(name, '-');
                             return name;
                         });

}  // namespace
}  // namespace etchback::test
