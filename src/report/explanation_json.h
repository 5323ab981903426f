// What each part is for and how the item works, as JSON that docs/json.md describes. For
// report.json and for the command `explain`; whoever includes this links nlohmann_json.
#pragma once

#include <nlohmann/json.hpp>

#include "blocks/compare.h"
#include "report/explanation.h"

namespace etchback::report {

nlohmann::ordered_json json_of(const blocks::Blocks& found,
                               const std::vector<StageTold>& told,
                               const circuit::Circuit& circuit);

// How `found` differs from `reference`, which is called `title`.
nlohmann::ordered_json json_of(const blocks::Comparison& comparison,
                               const circuit::Circuit& found,
                               const circuit::Circuit& reference,
                               const std::string& title);

}  // namespace etchback::report
