// What following the copper comes to, in words and in order. The command `copper` and the page are
// made from this, so that they cannot say different things.
#pragma once

#include <string>
#include <vector>

#include "copper/trace.h"

namespace etchback::report {

struct CopperNetView {
    std::string name;
    std::vector<std::string> pads;   // "R1.2", in natural order
    std::vector<std::string> parts;  // of the pads, alike
    bool doubted = false;            // a doubt touches it
};

struct CopperDoubtView {
    int number = 0;
    std::string words;  // "between R1.2 and C1.1: a neck of 0.10 mm at ..."
    std::string wrong;  // "12 %"
    int pairs = 0;
    std::string taken;  // for what it is taken: "joined", "parted", "on no copper"
};

struct CopperQuestionView {
    int number = 0;
    std::string from, to;
    bool beeps = true;
    std::string chance;        // "88 %"
    std::vector<int> settles;  // numbers of doubts
};

struct CopperView {
    std::string headline;            // "23 nets on 61 pads."
    std::vector<std::string> lines;  // registration, scale, figures: sentences
    bool registered = true;          // good enough
    std::vector<CopperNetView> nets;
    std::vector<CopperDoubtView> doubts;
    std::vector<CopperQuestionView> questions;
    std::vector<std::string> contradictions;
    std::vector<copper::Remark> remarks;  // of photos, pads and nets
};

CopperView view_of(const copper::Trace& trace);

// What to heed before one probes a board.
extern const char* const probe_caution;

}  // namespace etchback::report
