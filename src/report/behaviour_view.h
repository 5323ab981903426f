// What a simulated scenario comes to, in words and in order. The page, the paper and the command
// `simulate` are made from this, so that they cannot say different things.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "behaviour/scenario.h"
#include "dossier/dossier.h"
#include "report/plot.h"

namespace etchback::report {

// Outcomes of the scenarios that were run, or why there are none.
struct Behaviour {
    std::vector<behaviour::Outcome> outcomes;
    base::Errors why_not;
};

struct SimulatedFigure {
    std::string id, title, value, note;
    std::string read;        // "16.4 W ± 0.2 W (warm)"; empty where nobody read it
    std::string difference;  // "+1.2 %": simulated against read
    bool apart = false;      // by more than the reading's uncertainty and what models are good for
};

struct StressView {
    std::string part;
    std::string what;     // "peak voltage"
    std::string value;    // "612 V"
    std::string rating;   // "650 V"; empty where there is none
    std::string share;    // "94 %"
    std::string basis;    // "marking"
    std::string verdict;  // "above its rating", "close to its rating", "within", "no rating known"
    bool exceeded = false;
    bool half_used = false;  // at least half of the rating is
    bool assumed = false;    // the rating is
};

struct StoryView {
    int number = 0;
    std::string time;  // "123.4 ms"
    std::string who, text;
};

struct ScenarioView {
    std::string id, title, words;
    std::string supply;  // "230 V, 50 Hz", "12 V direct"
    std::string ending;  // how the run ended, in a sentence
    bool ran_to_end = true;
    bool books_fit = true;  // the energy ledger is in order
    bool in_order = true;   // both
    std::vector<std::string> trouble;
    std::vector<SimulatedFigure> figures;
    bool has_read = false;   // some figure has a reading beside it
    bool any_apart = false;  // and differs beyond its uncertainty
    std::vector<StressView> stress;
    int exceeded = 0, close = 0;
    std::string stress_words;  // one sentence
    std::vector<StoryView> story;
    std::vector<PlotMark> marks;                  // of the story, by its numbers
    std::string ledger;                           // sentences
    std::string steady;                           // empty where no steady state was asked for
    std::string harmonics;                        // a sentence; empty where there are none
    const behaviour::Outcome* outcome = nullptr;  // for its plots
};

struct AssumedView {
    std::string part, parameter, value, source;
};

struct BehaviourView {
    std::string why_not;  // sentences; empty where all were run
    std::vector<ScenarioView> scenarios;
    std::vector<AssumedView> assumed;   // of all scenarios, each once
    std::vector<std::string> left_out;  // likewise
};

// `outcome` must outlive the view.
ScenarioView view_of(const behaviour::Outcome& outcome, const dossier::Dossier& dossier);
BehaviourView view_of(const Behaviour& behaviour, const dossier::Dossier& dossier);

const char* words_of(behaviour::Limit::Kind kind);  // "peak voltage"

// "231 V, 50 Hz" or "12 V direct".
std::string supply_in_words(const behaviour::Outcome& outcome);

// The run reached its end and its energy ledger holds.
bool in_order(const behaviour::Outcome& outcome);

// The reading that says the same as a figure of a scenario: of the same quantity, and taken in a
// state that the scenario plays. Nothing for scenarios that nobody holds a meter to.
const dossier::Reading* reading_of(const behaviour::FigureRow& figure,
                                   const behaviour::Outcome& outcome,
                                   const dossier::Dossier& dossier);

// Whether a reading, or another of the same moment, says that nothing was connected.
bool taken_without_load(const dossier::Reading& reading, const dossier::Dossier& dossier);

}  // namespace etchback::report
