// Simulated scenarios as JSON, as docs/json.md describes them. For report.json and for the commands
// that simulate; whoever includes this links nlohmann_json.
#pragma once

#include <nlohmann/json.hpp>

#include "report/behaviour_view.h"

namespace etchback::report {

// With `samples` the curves of plots hold their numbers, to seven digits; else only what they are.
nlohmann::ordered_json json_of(const behaviour::Outcome& outcome,
                               const dossier::Dossier& dossier,
                               bool samples);
nlohmann::ordered_json json_of(const Behaviour& behaviour,
                               const dossier::Dossier& dossier,
                               bool samples);
nlohmann::ordered_json json_of(const behaviour::FigureRow& figure);
nlohmann::ordered_json json_of(const behaviour::StressRow& row);
nlohmann::ordered_json json_of(const behaviour::StoryLine& line);

}  // namespace etchback::report
