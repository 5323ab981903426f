// Results of campaign runs as JSON, for the journal and for what ranks send each other. What is
// read back is equal to what was written, to the last bit of every number.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "behaviour/campaign.h"

namespace etchback::behaviour::detail {

std::string json_of(const FaultRun& run);
// Nothing where the text is no such result.
std::optional<FaultRun> fault_run_in(const std::string& json);

// What came of a sample: its figures, or nothing where it failed.
struct SampleRun {
    bool failed = false;
    std::vector<FigureRow> figures;
    bool operator==(const SampleRun&) const = default;
};
std::string json_of(const SampleRun& run);
std::optional<SampleRun> sample_run_in(const std::string& json);

}  // namespace etchback::behaviour::detail
