// What was found at the bench, computed once, and how it is told. Page, paper, JSON and the command
// `bench` are made from this, so that they cannot say different things.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "bench/claims.h"
#include "bench/from_readings.h"
#include "bench/meters.h"
#include "bench/power_triangle.h"
#include "bench/record.h"
#include "report/bench_over.h"
#include "report/chart.h"

namespace etchback::report {

struct AtBench {
    // With the limits of error of their meters; wider, or left out, where `doubts` say so.
    std::vector<dossier::Reading> readings;
    std::vector<bench::ReadingDoubt> doubts;
    std::vector<bench::PowerTriangle> triangles;
    std::vector<base::Figure> figures;  // from readings, besides the triangles'
    std::vector<bench::Record> records;
    std::vector<bench::ClaimCheck> claims;  // against readings, figures and records
};

// Without a folder no waveform is read.
AtBench at_bench(const dossier::Dossier& dossier,
                 const std::vector<bench::Meter>& meters,
                 const std::optional<std::filesystem::path>& folder);

struct RecordRow {
    std::string title, symbol, value, source;
    std::string simulated, difference;  // empty where nothing simulated says the same
    bool assumed = false;
};
struct LimitTable {
    std::string title, verdict;
    std::vector<std::vector<std::string>> rows;  // what, value, limit, verdict: of the remarkable
    std::string rest;                            // "17 more within"
};
struct RecordView {
    std::string anchor;
    std::string file, what, note, how;  // how: sentences
    std::string problem;                // why it could not be read; then all else is empty
    std::vector<RecordRow> rows;
    bool any_simulated = false;
    std::string limits;  // which class holds, and the verdict
    std::vector<LimitTable> tables;
    std::string region;                    // of light, a sentence
    std::vector<std::string> differences;  // of measured against simulated: sentences
    std::vector<std::string> warnings;
    std::vector<Chart> charts;
};

// `behaviour` may be null: nothing is laid over then.
RecordView view_of(const bench::Record& record,
                   const Behaviour* behaviour,
                   const dossier::Dossier& dossier);

}  // namespace etchback::report
