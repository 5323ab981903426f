#include "blocks/compare_consequences.h"
#include "report/study.h"

namespace etchback::report {

base::Result<Data> load_data(const std::filesystem::path& folder) {
    auto catalogue = parts::load_catalogue(folder / "parts");
    auto rules = findings::load_rule_texts(folder / "findings");
    auto consequence = blocks::load_consequences(folder);
    auto patterns = blocks::load_patterns({folder / "blocks"});
    auto meters = bench::load_meters(folder / "meters" / "meters.toml");
    base::Errors errors;
    if (!catalogue) {
        errors = catalogue.errors();
    }
    if (!rules) {
        errors.insert(errors.end(), rules.errors().begin(), rules.errors().end());
    }
    if (!consequence) {
        errors.insert(errors.end(), consequence.errors().begin(), consequence.errors().end());
    }
    if (!patterns) {
        errors.insert(errors.end(), patterns.errors().begin(), patterns.errors().end());
    }
    if (!meters) {
        errors.insert(errors.end(), meters.errors().begin(), meters.errors().end());
    }
    if (!errors.empty()) {
        return errors;
    }
    return Data{.catalogue = *std::move(catalogue),
                .rules = *std::move(rules),
                .patterns = *std::move(patterns),
                .consequence = *std::move(consequence),
                .meters = *std::move(meters),
                .folder = folder};
}

}  // namespace etchback::report
