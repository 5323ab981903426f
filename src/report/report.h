// The report that a person publishes.
#pragma once

#include <filesystem>
#include <string>

#include "base/error.h"
#include "report/study.h"

namespace etchback::report {

// One self-contained page: style, script, circuit and photos inside, no network.
// `dossier_folder` is where photos lie; templates come from data/report.
base::Result<std::string> to_html(const Study& study,
                                  const Data& data,
                                  const std::filesystem::path& dossier_folder);

// docs/json.md describes it.
std::string to_json(const Study& study);

base::Result<std::string> to_pdf(const Study& study);

struct Written {
    std::vector<std::filesystem::path> files;
};
// report.html, report.pdf, report.json and circuit.svg into `folder`, each written atomically.
base::Result<Written> write_report(const Study& study,
                                   const Data& data,
                                   const std::filesystem::path& dossier_folder,
                                   const std::filesystem::path& folder);

}  // namespace etchback::report
