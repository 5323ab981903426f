// How the item works, from the mains to the load: what the patterns say of each group, and beside
// it what runs in time show of the same.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "behaviour/scenario.h"
#include "blocks/blocks.h"
#include "report/study.h"

namespace etchback::report {

// A closed form, and the same quantity as a run in time shows it.
struct FigureBeside {
    const blocks::BlockFigure* closed = nullptr;
    std::optional<double> simulated;  // in the closed form's unit
    double difference = 0.0;          // simulated over closed, less 1
    std::string scenario;             // title of the run; empty where nothing is simulated
    // They differ by more than this closed form does as a rule.
    bool beyond() const;
};

struct BlockTold {
    const blocks::Block* block = nullptr;
    std::vector<FigureBeside> figures;
    // "Simulated in normal use: output power 13.7 W (−3 %)." Empty where nothing is.
    std::string simulated;
    std::vector<std::string> doubts;  // where closed form and run disagree
};

// What happened in one run, that belongs to a stage.
struct EventLine {
    double t_s = 0.0;  // after switching on, or after the scenario's deed
    std::string text;  // "U1 starts: its supply has reached 16 V."
};
struct StageEvents {
    std::string scenario;  // id
    std::string lead;      // "Simulated in normal use at 231 V, 50 Hz, after switching on:"
    std::vector<EventLine> lines;
    int more = 0;         // left out, so that a hiccup does not fill a page
    std::string outcome;  // a sentence on how it ends; may be empty
};

struct StageTold {
    std::string id, title;
    std::vector<BlockTold> blocks;  // all of the stage
    std::vector<StageEvents> events;
    bool empty() const;  // nothing to read
};

// Scenarios that an explanation looks at: normal use, what protects the item, and those that
// figures of `found` name.
std::vector<std::string> scenarios_to_explain(const blocks::Blocks& found);

// `found` must outlive the result. Outcomes that are not in order say nothing.
std::vector<StageTold> explain(const blocks::Blocks& found,
                               const circuit::Circuit& circuit,
                               const std::vector<blocks::Stage>& stages,
                               const std::vector<behaviour::Outcome>& outcomes);

std::vector<StageTold> explained(const Study& study);

// "320 mW (−29 %)".
std::string in_words(const FigureBeside& figure);

}  // namespace etchback::report
