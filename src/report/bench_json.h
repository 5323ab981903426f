// Readings and records as JSON: docs/json.md describes it.
#pragma once

#include <nlohmann/json.hpp>

#include "report/bench_view.h"

namespace etchback::report {

nlohmann::ordered_json json_of(const bench::ClaimCheck& check);
nlohmann::ordered_json json_of(const bench::ReadingDoubt& doubt);

// `behaviour` may be null.
nlohmann::ordered_json json_of(const bench::Record& record,
                               const Behaviour* behaviour,
                               const dossier::Dossier& dossier);

}  // namespace etchback::report
