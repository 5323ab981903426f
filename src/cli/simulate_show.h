// What `etchback simulate` prints and writes.
#pragma once

#include <string>
#include <vector>

#include "report/behaviour_view.h"

namespace etchback::cli {

// One scenario for a person: what was done, figures, stress, story, ledger.
std::string scenario_text(const report::ScenarioView& scenario);
// What all scenarios assume and leave out.
std::string assumptions_text(const report::BehaviourView& view);

// A table of the curves of one plot (RFC 4180): time, then a column for each curve, or three for an
// envelope. Names and units in the header. Curves with sample times of their own are joined at all
// times, with straight lines between samples.
struct CurveFile {
    std::string scenario, plot;  // ids
    std::string text;
};
std::vector<CurveFile> curve_files(const report::Behaviour& behaviour);

}  // namespace etchback::cli
