// All that is derived from one dossier, computed once and shown in many ways.
#pragma once

#include <filesystem>
#include <memory>
#include <optional>
#include <vector>

#include "base/error.h"
#include "base/figure.h"
#include "bench/power_triangle.h"
#include "blocks/blocks.h"
#include "blocks/compare.h"
#include "blocks/figures.h"
#include "blocks/voltages.h"
#include "circuit/circuit.h"
#include "circuit/domains.h"
#include "circuit/reductions.h"
#include "circuit/sanity.h"
#include "copper/trace.h"
#include "dossier/dossier.h"
#include "drawing/drawing.h"
#include "drawing/figures.h"
#include "findings/finding.h"
#include "parts/catalogue.h"
#include "report/behaviour_view.h"
#include "report/bench_view.h"
#include "report/circuit_sheet.h"

namespace etchback::report {

// The tables under data/, read once.
struct Data {
    parts::Catalogue catalogue;
    findings::RuleTexts rules;
    blocks::PatternBook patterns;
    blocks::KnowConsequence consequence;  // what a difference from a reference means
    std::vector<bench::Meter> meters;
    std::filesystem::path folder;
};
base::Result<Data> load_data(const std::filesystem::path& folder);

// What was followed on the photos, or why nothing was.
struct Copper {
    std::shared_ptr<const copper::Trace> trace;
    base::Errors why_not;
};

struct Study {
    dossier::Dossier dossier;
    circuit::Circuit circuit;
    circuit::Domains domains;
    std::vector<circuit::Complaint> complaints;
    std::vector<circuit::Reduction> reductions;
    blocks::Voltages voltages;
    std::vector<blocks::Stage> stages;  // in which blocks are told
    blocks::Blocks blocks;
    // Against the dossier's reference circuit, where it has one.
    struct Against {
        circuit::Circuit reference;
        blocks::Comparison comparison;
    };
    std::optional<Against> against;
    std::vector<base::Figure> figures;  // of structure and of the bench
    AtBench bench;                      // without waveforms until read_waveforms() was called
    std::vector<findings::Finding> findings;
    SheetWords sheet_words;    // how the circuit is drawn and set on paper: see circuit_sheet.h
    drawing::Drawing drawing;  // plain, without layers
    drawing::DrawingFigures drawing_figures;
    std::optional<Copper> copper;        // see copper_run.h: derive() looks at no photo
    std::optional<Behaviour> behaviour;  // see behaviour_run.h: derive() does not simulate
};
// `figures` hold those of the bench, too. `standard` takes the place of what the dossier says of
// symbols.
Study derive(const dossier::Dossier& dossier,
             const Data& data,
             const std::optional<drawing::Standard>& standard = std::nullopt);

// Reads the waveforms that lie in the dossier's folder, and holds claims and readings against what
// they show. What cannot be read says so in its record.
void read_waveforms(Study& study, const Data& data, const std::filesystem::path& folder);

}  // namespace etchback::report
