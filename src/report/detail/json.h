// Pieces of report.json, which docs/json.md describes key by key. Numbers are in SI base units,
// lengths on the board in mm; what is not known is left out.
#pragma once

#include <nlohmann/json.hpp>

#include "report/study.h"

namespace etchback::report::detail {

using Json = nlohmann::ordered_json;

// Evidence: what the dossier says.
Json json_of(const base::Place& place);
Json json_of(const base::Quantity& quantity);
Json json_of(const dossier::Item& item);
Json json_of(const dossier::Supply& supply);
Json json_of(const dossier::Claim& claim);
Json json_of(const dossier::Reading& reading);
Json json_of(const dossier::Continuity& check);
Json json_of(const dossier::Waveform& wave);
Json json_of(const dossier::Photo& photo);
Json json_of(const dossier::Reference& reference);
Json json_of_said(const dossier::Part& part);  // without its pins

// Derived: what follows from it.
Json json_of(const circuit::Part& part, const circuit::Circuit& circuit);
Json json_of_net(const circuit::Net& net, const Study& study, std::size_t index);
Json json_of(const circuit::Domain& domain, const circuit::Circuit& circuit);
Json json_of(const circuit::Bridge& bridge, const Study& study);
Json json_of(const circuit::Complaint& complaint);
Json json_of(const circuit::Reduction& reduction, const circuit::Circuit& circuit);
Json json_of(const blocks::VoltageBetween& voltage, const circuit::Circuit& circuit);
Json json_of(const base::Evidence& evidence);
Json json_of(const base::Figure& figure);
Json json_of(const bench::PowerTriangle& triangle);
Json json_of(const findings::Finding& finding);
Json json_of(const drawing::DrawingFigures& figures);

// Sets `key` unless the text is empty.
void set_text(Json& object, const char* key, const std::string& text);

}  // namespace etchback::report::detail
