// The examples against their truth: what is planted is found, what would be wrong is not claimed,
// and the twins that were put right are clean. Figures are compared with those worked out by hand.
#include <cmath>
#include <set>

#include "base/file.h"
#include "base/toml_reader.h"
#include "findings_of.h"

namespace etchback::test {
namespace {

namespace fs = std::filesystem;

const fs::path source = ETCHBACK_SOURCE_DIR;

struct Truth {
    toml::table table;

    explicit Truth(const std::string& example) {
        const fs::path file = source / "examples" / example / "truth.toml";
        auto parsed = base::parse_toml(base::read_file(file), file.string());
        if (!parsed) {
            throw std::runtime_error(base::to_string(parsed.errors().front()));
        }
        table = *std::move(parsed);
    }

    std::vector<const toml::table*> all(std::string_view key) const {
        std::vector<const toml::table*> found;
        if (const auto* array = table[key].as_array()) {
            for (const auto& node : *array) {
                found.push_back(node.as_table());
            }
        }
        return found;
    }
};

std::vector<std::string> texts(const toml::table& table, std::string_view key) {
    std::vector<std::string> found;
    if (const auto* array = table[key].as_array()) {
        for (const auto& node : *array) {
            found.push_back(node.value_or(std::string()));
        }
    }
    return found;
}

bool covered(const toml::table& table) {
    return table["covered_by_this_version"].value_or(true);
}

bool names_all(const std::vector<std::string>& named, const std::vector<std::string>& wanted) {
    return std::all_of(wanted.begin(), wanted.end(), [&](const std::string& each) {
        return std::find(named.begin(), named.end(), each) != named.end();
    });
}

// A rule may speak once for each part: the findings together must name what is wanted.
bool is_found(const std::vector<findings::Finding>& all, const toml::table& planted) {
    const std::string rule = planted["rule"].value_or(std::string());
    std::string quantity = planted["quantity"].value_or(std::string());
    std::replace(quantity.begin(), quantity.end(), ' ', '_');
    std::vector<std::string> named;
    bool any = false;
    for (const auto& f : all) {
        if (f.rule == rule && (quantity.empty() || f.id == rule + "." + quantity)) {
            any = true;
            named.insert(named.end(), f.parts.begin(), f.parts.end());
        }
    }
    return any && names_all(named, texts(planted, "parts"));
}

double amount(const toml::table& figure, std::string_view key, double of) {
    const auto q = base::parse_quantity(figure[key].value_or(std::string("0")));
    if (!q) {
        return std::nan("");
    }
    return q->unit == base::Unit::percent && of != 0.0 ? of * q->value / 100.0 : q->value;
}

class Examples : public ::testing::TestWithParam<const char*> {
protected:
    Derived derive(const fs::path& folder) const {
        auto dossier = dossier::read_folder(folder, catalogue());
        if (!dossier) {
            throw std::runtime_error(base::to_string(dossier.errors().front()));
        }
        return Derived(*std::move(dossier));
    }
    Truth truth_{GetParam()};
};

TEST_P(Examples, WhatIsPlantedIsFound) {
    const auto all = findings_of(derive(source / "examples" / GetParam()));
    int count = 0;
    for (const toml::table* planted : truth_.all("planted")) {
        if (covered(*planted)) {
            ++count;
            EXPECT_TRUE(is_found(all, *planted)) << (*planted)["rule"].value_or("");
        }
    }
    EXPECT_GE(count, 2) << "a truth without planted faults tests nothing";
}

TEST_P(Examples, WhatWouldBeWrongIsNotClaimed) {
    const auto all = findings_of(derive(source / "examples" / GetParam()));
    for (const toml::table* wrong : truth_.all("must_not_claim")) {
        const std::string rule = (*wrong)["rule"].value_or(std::string());
        const auto parts = texts(*wrong, "parts");
        for (const auto& f : all) {
            const bool names_one =
                std::any_of(parts.begin(), parts.end(), [&](const std::string& part) {
                    return std::find(f.parts.begin(), f.parts.end(), part) != f.parts.end();
                });
            EXPECT_FALSE(f.rule == rule && (parts.empty() || names_one)) << f.id << ": " << f.title;
        }
    }
}

TEST_P(Examples, TheCleanTwinIsClean) {
    std::set<std::string> rules;
    for (const char* key : {"planted", "must_not_claim"}) {
        for (const toml::table* each : truth_.all(key)) {
            rules.insert((*each)["rule"].value_or(std::string()));
        }
    }
    EXPECT_FALSE(rules.empty());
    for (const auto& f : findings_of(derive(source / "tests/data/clean" / GetParam()))) {
        EXPECT_FALSE(rules.contains(f.rule)) << f.id << ": " << f.title;
    }
}

TEST_P(Examples, FiguresAreAsWorkedOutByHand) {
    const Derived d = derive(source / "examples" / GetParam());
    std::vector<base::Figure> all = d.figures;
    std::vector<std::pair<std::string, base::Figure>> of_groups;
    for (const auto& t : bench::power_triangles(d.dossier.readings)) {
        for (const base::Figure& f : t.figures) {
            of_groups.emplace_back(t.group, f);
        }
    }
    int count = 0;
    for (const toml::table* wanted : truth_.all("figure")) {
        if (!covered(*wanted)) {
            continue;
        }
        const std::string id = (*wanted)["id"].value_or(std::string());
        const std::string group = (*wanted)["group"].value_or(std::string());
        const double value = amount(*wanted, "value", 0.0);
        const double tolerance = amount(*wanted, "tolerance", value);
        std::string seen;
        bool good = false;
        const auto look = [&](const base::Figure& f) {
            if (f.id.starts_with(id) && names_all(f.parts, texts(*wanted, "parts")) &&
                names_all(f.nets, texts(*wanted, "nets"))) {
                seen += f.id + " = " + std::to_string(f.value) + "; ";
                good = good || std::abs(f.value - value) <= tolerance;
            }
        };
        for (const auto& [of, f] : of_groups) {
            if (of == group) {
                look(f);
            }
        }
        for (const base::Figure& f : all) {
            if (group.empty()) {
                look(f);
            }
        }
        ++count;
        EXPECT_TRUE(good) << id << " should be " << value << " ± " << tolerance << "; there is "
                          << seen;
    }
    EXPECT_GE(count, 3);
}

INSTANTIATE_TEST_SUITE_P(All,
                         Examples,
                         ::testing::Values("henhouse-lamp", "sewing-adapter", "seedling-driver"),
                         [](const auto& example) {
                             std::string name = example.param;
                             std::erase(name, '-');
                             return name;
                         });

}  // namespace
}  // namespace etchback::test
