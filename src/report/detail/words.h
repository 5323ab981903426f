// Numbers, places and names as the report prints them.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "bench/power_triangle.h"
#include "dossier/dossier.h"
#include "report/detail/page.h"

namespace etchback::report::detail {

// "220 V to 240 V"; empty where there is none.
std::string text_of(const std::optional<dossier::Amount>& amount);

// What a claim says, as labels print it: protection classes in Roman numerals.
std::string text_of(const dossier::Claim& claim);

// The value to as many digits as its uncertainty allows: "3.90 W ± 0.10 W" (k = 2).
std::string with_uncertainty(double value, double standard_uncertainty, base::Unit unit);
std::string text_of(const std::optional<bench::Estimate>& estimate, base::Unit unit);

// "dossier.toml, line 12"; only the file's last name, so that the same dossier gives the same
// report wherever it lies.
std::string text_of(const base::Place& place);

// An id for the page from any name: letters, digits, '-' and '_' stay, all else becomes its hex
// code, so that two names never share one id.
std::string anchor(std::string_view prefix, std::string_view name);

Link part_link(const std::string& name);
Link words(std::string text);  // that lead nowhere
std::string text_of(const Sentence& sentence);
Link net_link(const std::string& name);
std::vector<Link> part_links(const std::vector<std::string>& names);
std::vector<Link> net_links(const std::vector<std::string>& names);
EvidenceView view_of(const base::Evidence& evidence);

// "rated_power" -> "rated power".
std::string spelled(std::string key);
// "value may be 47k: the 4 at the end may be a 3 (likelihood 10 %)".
std::string alternative_text(const dossier::Alternative& other);

// "1 part", "2 parts".
std::string counted(std::size_t number, std::string_view one, std::string_view many);
std::string first_upper(std::string text);

}  // namespace etchback::report::detail
