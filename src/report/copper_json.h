// What the copper tells as JSON, as docs/json.md describes it. For report.json and for the command
// `copper`; whoever includes this links nlohmann_json.
#pragma once

#include <nlohmann/json.hpp>

#include "report/study.h"

namespace etchback::report {

nlohmann::ordered_json json_of(const copper::Trace& trace);
nlohmann::ordered_json json_of(const Copper& copper);

}  // namespace etchback::report
