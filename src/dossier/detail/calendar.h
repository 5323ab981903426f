// Dates as a dossier has them.
#pragma once

#include <string_view>

namespace etchback::dossier::detail {

// A day that the calendar has: "2026-03-14".
bool is_day(std::string_view text);
// Such a day, a month or a year: "2026-03", "2026".
bool is_date(std::string_view text);

}  // namespace etchback::dossier::detail
