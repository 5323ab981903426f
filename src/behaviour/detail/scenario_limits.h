// Watchmen over the ratings of parts: each tells the story when its part's voltage or current first
// passes what it is made for.
#pragma once

#include <memory>
#include <vector>

#include "behaviour/machine.h"
#include "behaviour/models.h"

namespace etchback::behaviour::detail {

// One machine for each part that has a rating of peak voltage or peak current. RMS, mean and power
// are no matter of an instant; the stress table has them.
std::vector<std::unique_ptr<Machine>> limit_machines(const std::vector<Limit>& limits);

// "peak voltage", "mean current" ...
std::string_view words_for(Limit::Kind kind);

}  // namespace etchback::behaviour::detail
