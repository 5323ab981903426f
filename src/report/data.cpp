#include "report/study.h"

namespace etchback::report {

base::Result<Data> load_data(const std::filesystem::path& folder) {
    auto catalogue = parts::load_catalogue(folder / "parts");
    auto rules = findings::load_rule_texts(folder / "findings");
    base::Errors errors;
    if (!catalogue) {
        errors = catalogue.errors();
    }
    if (!rules) {
        errors.insert(errors.end(), rules.errors().begin(), rules.errors().end());
    }
    if (!errors.empty()) {
        return errors;
    }
    return Data{.catalogue = *std::move(catalogue), .rules = *std::move(rules), .folder = folder};
}

}  // namespace etchback::report
